package desk

import (
	"errors"
	"io"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	fynestorage "fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/storage/repository"

	"pilewright/storage"
	"pilewright/ui/locale"
)

// SaveAs asks where a file shall lie and writes it there whole: the old file of
// that name stays until the new one is complete.
func SaveAs(d Desk, name string, write func(io.Writer) error) {
	AskWhere(d, name, "", func(path string) {
		if err := storage.WriteWhole(path, 0o600, write); err != nil {
			d.Fail(locale.Wrap(err, lang.L("{{.path}} was not written: {{.err}}", locale.With{"path": path, "err": err})))
			return
		}
		d.Fail(nil)
		d.Say(lang.L("Written to {{.path}}.", locale.With{"path": path}))
	})
}

// AskWhere asks where a file shall lie, begun with a name; with an extension only
// such files are shown. Nothing is done there before then has the path: what lies
// there stays as it is.
func AskWhere(d Desk, name, extension string, then func(path string)) {
	files, err := repository.ForURI(fynestorage.NewFileURI("/"))
	if err != nil {
		d.Fail(err)
		return
	}
	if whole, ok := files.(allOfFiles); ok {
		repository.Register("file", untouched{whole})
	}
	win := d.Window()
	ask := dialog.NewFileSave(func(u fyne.URIWriteCloser, err error) {
		if err != nil || u == nil {
			d.Fail(err)
			return
		}
		path := u.URI().Path()
		if err := u.Close(); err != nil {
			d.Fail(err)
			return
		}
		then(path)
	}, win)
	ask.SetFileName(name)
	if extension != "" {
		ask.SetFilter(fynestorage.NewExtensionFileFilter([]string{extension}))
	}
	ask.Resize(win.Canvas().Size().Subtract(fyne.NewSize(80, 80)))
	ask.Show()
}

// allOfFiles is what the toolkit's dialogs ask of the files of the system.
type allOfFiles interface {
	repository.Repository
	repository.WritableRepository
	repository.ListableRepository
	repository.HierarchicalRepository
}

// untouched is the files of the system as the toolkit has them, but that choosing
// a place to write does not open it: the toolkit would empty what lies there, were
// it the shop file itself, before anyone could object.
type untouched struct{ allOfFiles }

// Writer implements repository.WritableRepository.
func (untouched) Writer(u fyne.URI) (fyne.URIWriteCloser, error) { return place{u}, nil }

// place is a file that was chosen and not opened.
type place struct{ at fyne.URI }

func (p place) URI() fyne.URI { return p.at }

func (place) Close() error { return nil }

// Write is not for a place: what lies there is written whole, by its path.
func (place) Write([]byte) (int, error) { return 0, errors.ErrUnsupported }
