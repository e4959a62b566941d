package ui

import (
	"errors"
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

// damaged reports whether a file that does not open may be a shop file that was
// spoiled: one of a newer program, or that may not be read, is not.
func damaged(fault error) bool {
	return errors.Is(fault, storage.ErrCorrupt) || errors.Is(fault, storage.ErrForeign)
}

// showRescue says why a shop file does not open and, where it is damaged, offers
// the ways out: a backup in its place, or a copy of what can still be read.
// Nothing is changed until one is chosen, and the damaged file is kept whichever
// it is. open goes on with the file that came of it, and says what is told of it.
func showRescue(a fyne.App, path string, fault error, deps Deps, open func(f *storage.File, told string) error) {
	title := "Pilewright"
	if damaged(fault) {
		title = lang.L("Pilewright – the shop file is damaged")
	}
	win := a.NewWindow(title)
	said := widget.NewLabel(sentence(fault))
	said.Wrapping = fyne.TextWrapWord
	goOn := func(path, told string) {
		file, err := storage.Open(path, storage.Options{Now: deps.Now})
		if err == nil {
			err = open(file, told)
		}
		if err != nil {
			said.SetText(sentence(err))
			return
		}
		win.Close()
	}
	box := container.NewVBox(said)
	var ways storage.WayOut
	if damaged(fault) {
		var err error
		if ways, err = storage.Rescue(path); err != nil {
			said.SetText(sentence(fault) + " " + sentence(err))
		}
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
			goOn(path, "")
		}))
	}
	if ways.Records > 0 {
		box.Add(widget.NewButton(lang.L("Open a copy of what can be read ({{.records}} things)", locale.With{"records": ways.Records}), func() {
			into := strings.TrimSuffix(path, filepath.Ext(path)) + "-read" + filepath.Ext(path)
			report, err := storage.Salvage(path, into)
			if err != nil {
				said.SetText(sentence(err))
				return
			}
			goOn(into, lossOf(report))
		}))
	}
	if damaged(fault) && len(ways.Backups) == 0 && ways.Records == 0 {
		box.Add(widget.NewLabel(lang.L("There is no backup of it, and nothing in it can be read.")))
	}
	box.Add(widget.NewButton(lang.L("Leave it as it is"), win.Close))
	win.SetContent(container.NewPadded(box))
	win.Resize(fyne.NewSize(560, 320))
	win.Show()
}

// lossOf says what a copy of a damaged file holds, and what is known to be lost.
func lossOf(r storage.Salvaged) string {
	text := lang.L("This copy holds the {{.records}} things that could be read; the damaged file is left as it was.", locale.With{"records": r.Records})
	for i, lost := range r.Lost {
		if i == lossesTold {
			text += " " + lang.L("{{.more}} more are lost.", locale.With{"more": len(r.Lost) - i})
			break
		}
		text += " " + lost
	}
	return text
}

// lossesTold is how many losses are told one by one.
const lossesTold = 3
