package ui

import (
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/storage"
	"pilewright/ui/locale"
)

// backupsOffered is how many backups are listed; older ones stay in their folder.
const backupsOffered = 5

// showRescue says what is wrong with a damaged shop file and offers the ways out:
// a backup in its place, or a copy of what can still be read. Nothing is changed
// until one is chosen, and the damaged file is kept whichever it is. open goes on
// with the file that came of it.
func showRescue(a fyne.App, path string, fault error, deps Deps, open func(*storage.File) error) {
	win := a.NewWindow(lang.L("Pilewright – the shop file is damaged"))
	said := widget.NewLabel(sentence(fault))
	said.Wrapping = fyne.TextWrapWord
	goOn := func(path string) {
		file, err := storage.Open(path, storage.Options{Now: deps.Now})
		if err == nil {
			err = open(file)
		}
		if err != nil {
			said.SetText(sentence(err))
			return
		}
		win.Close()
	}
	box := container.NewVBox(said)
	ways, err := storage.Rescue(path)
	if err != nil {
		said.SetText(sentence(fault) + " " + sentence(err))
	}
	for i, backup := range ways.Backups {
		if i == backupsOffered {
			break
		}
		box.Add(widget.NewButton(lang.L("Put the backup of {{.backup}} in its place", locale.With{"backup": strings.TrimSuffix(filepath.Base(backup), ".shop")}), func() {
			if _, err := storage.Restore(path, backup, deps.Now()); err != nil {
				said.SetText(sentence(err))
				return
			}
			goOn(path)
		}))
	}
	if ways.Records > 0 {
		box.Add(widget.NewButton(lang.L("Open a copy of what can be read ({{.records}} things)", locale.With{"records": ways.Records}), func() {
			into := strings.TrimSuffix(path, filepath.Ext(path)) + "-read" + filepath.Ext(path)
			if _, err := storage.Salvage(path, into); err != nil {
				said.SetText(sentence(err))
				return
			}
			goOn(into)
		}))
	}
	if len(ways.Backups) == 0 && ways.Records == 0 {
		box.Add(widget.NewLabel(lang.L("There is no backup of it, and nothing in it can be read.")))
	}
	box.Add(widget.NewButton(lang.L("Leave it as it is"), win.Close))
	win.SetContent(container.NewPadded(box))
	win.Resize(fyne.NewSize(560, 320))
	win.Show()
}
