package ui

import (
	"runtime/debug"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/locale"
)

// version is what the program was built from, as Go wrote it into it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return lang.L("unknown")
	}
	text := info.Main.Version
	if text == "" || text == "(devel)" {
		text = lang.L("built from source")
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && !strings.Contains(text, s.Value[:min(12, len(s.Value))]) {
			text += " " + s.Value[:min(12, len(s.Value))]
		}
	}
	return text + ", " + info.GoVersion
}

// about tells the version, the licences and where the data come from.
func (w *window) about() {
	text := strings.Join([]string{
		lang.L("Pilewright plans furniture from salvaged boards: cuts with a proof, joints that fit, steps, time, cost and price."),
		lang.L("Version: {{.version}}", locale.With{"version": version()}),
		lang.L("Licence: no licence comes with this version, so all rights are its authors'. It is built on Fyne (BSD), SQLite (public domain) with go-sqlite3 (MIT), go-pdf (MIT), decimal (MIT), the Go libraries (BSD) and the typeface Noto Sans (OFL)."),
		lang.L("Wood data: USDA Forest Products Laboratory, Wood Handbook (public domain). Other trade facts carry their source where they are shown; what has none says so."),
		lang.L("General cautions only. Machine manuals, local law and qualified people come first."),
		lang.L("Shop file: {{.path}}", locale.With{"path": w.session.File().Path()}),
	}, "\n\n")
	label := widget.NewLabel(text)
	label.Wrapping = fyne.TextWrapWord
	d := dialog.NewCustom(lang.L("About Pilewright"), lang.L("Close"), container.NewVScroll(label), w.win)
	size := w.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(560, size.Width-60), min(480, size.Height-80)))
	d.Show()
}
