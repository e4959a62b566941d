package desk

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"

	"pilewright/ui/locale"
)

// SaveAs asks where a file shall lie and writes it there whole: the old file of
// that name stays until the new one is complete.
func SaveAs(d Desk, name string, write func(io.Writer) error) {
	win := d.Window()
	ask := dialog.NewFileSave(func(u fyne.URIWriteCloser, err error) {
		if err != nil || u == nil {
			d.Fail(err)
			return
		}
		path := u.URI().Path()
		if err := errors.Join(u.Close(), WriteFile(path, write)); err != nil {
			d.Fail(locale.Wrap(err, lang.L("{{.path}} was not written: {{.err}}", locale.With{"path": path, "err": err})))
			return
		}
		d.Fail(nil)
		d.Say(lang.L("Written to {{.path}}.", locale.With{"path": path}))
	}, win)
	ask.SetFileName(name)
	ask.Resize(win.Canvas().Size().Subtract(fyne.NewSize(80, 80)))
	ask.Show()
}

// WriteFile writes a file whole or not at all.
func WriteFile(path string, write func(io.Writer) error) error {
	part, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".new-*")
	if err != nil {
		return err
	}
	err = errors.Join(write(part), part.Sync(), part.Close())
	if err == nil {
		err = os.Rename(part.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(part.Name()))
	}
	return nil
}
