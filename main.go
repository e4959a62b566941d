package main

import (
	_ "codeberg.org/go-pdf/fpdf"
	_ "fyne.io/fyne/v2/app"
	_ "fyne.io/fyne/v2/test"
	_ "github.com/google/go-cmp/cmp"
	_ "github.com/mattn/go-sqlite3"
	_ "github.com/shopspring/decimal"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/image/vector"
	_ "gonum.org/v1/gonum/stat/distuv"
	_ "github.com/arran4/golang-ical"
)

func main() {}
