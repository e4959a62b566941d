package ui

import (
	"fyne.io/fyne/v2"

	"pilewright/assets"
)

// windowIcon is our own: three boards and a square.
var windowIcon = fyne.NewStaticResource("pilewright.svg", assets.Icon)
