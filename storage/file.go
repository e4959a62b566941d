// Package storage keeps the shop file: one SQLite file with the pile, every
// piece, the log, the shop's settings and the undo history. It decides how
// nouns are written and how a file is opened, refused, backed up and repaired;
// what the nouns mean is plan's. Start at Open and File.Commit.
package storage

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/mattn/go-sqlite3"
)

// ApplicationID marks a SQLite file as a shop file ("Pile" in ASCII).
const ApplicationID = 0x50696c65

// Errors that a caller may want to tell apart. They come wrapped with the path.
var (
	ErrMissing   = errors.New("there is no such file")
	ErrForeign   = errors.New("this is not a Pilewright shop file")
	ErrNewerFile = errors.New("this shop file was written by a newer Pilewright; update the program to open it")
	ErrCorrupt   = errors.New("the shop file is damaged")
	ErrBusy      = errors.New("another program is using the shop file")
	ErrFull      = errors.New("the disk is full")
	ErrReadOnly  = errors.New("the shop file may not be written here")
	ErrReplaced  = errors.New("the shop file was removed or replaced while it was open")
	ErrNothing   = errors.New("there is nothing to undo or redo")
)

// File is an open shop file. It is used by one goroutine at a time.
type File struct {
	path     string
	db       *sql.DB
	lock     *lock
	readOnly bool
	reason   string // why it is read-only
	now      func() time.Time
	identity os.FileInfo
}

// Options say how a file is opened.
type Options struct {
	ReadOnly bool             // never write, whatever the file allows
	Now      func() time.Time // the clock for history and backups; nil = time.Now
}

// Path is where the file lies.
func (f *File) Path() string { return f.path }

// ReadOnly reports whether edits are refused, and why.
func (f *File) ReadOnly() (bool, string) { return f.readOnly, f.reason }

// Create makes a new shop file, readable by its owner only. It fails where a
// file of that name exists.
func Create(path string, opt Options) (*File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("make the folder of %s: %w", path, translate(err))
	}
	h, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, fmt.Errorf("create %s: %w", path, translate(err))
	}
	if err := h.Close(); err != nil {
		return nil, fmt.Errorf("create %s: %w", path, translate(err))
	}
	f, err := open(path, opt, true)
	if err != nil {
		return nil, errors.Join(err, os.Remove(path))
	}
	return f, nil
}

// Open opens an existing shop file. A foreign, newer or damaged file is refused
// with ErrForeign, ErrNewerFile or ErrCorrupt and left untouched. A file that
// another window holds, or that may not be written, opens read-only.
func Open(path string, opt Options) (*File, error) { return open(path, opt, false) }

func open(path string, opt Options, fresh bool) (*File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", path, translate(err))
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("open %s: %w", path, ErrForeign)
	}
	f := &File{path: path, now: opt.Now, readOnly: opt.ReadOnly, reason: "it was opened for reading only"}
	if f.now == nil {
		f.now = time.Now
	}
	if !fresh {
		if err := inspect(path); err != nil {
			return nil, fmt.Errorf("open %s: %w", path, err)
		}
	}
	if !f.readOnly {
		f.claim(path)
	}
	if f.db, err = connect(path, f.readOnly); err != nil {
		f.release()
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	if !f.readOnly {
		if err := f.migrate(fresh); err != nil {
			return nil, errors.Join(fmt.Errorf("open %s: %w", path, err), f.Close())
		}
	}
	if f.identity, err = os.Stat(path); err != nil {
		return nil, errors.Join(fmt.Errorf("open %s: %w", path, translate(err)), f.Close())
	}
	return f, nil
}

// claim takes the right to write, or makes the file read-only with the reason.
func (f *File) claim(path string) {
	h, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		f.readOnly, f.reason = true, "it may not be written here"
		return
	}
	if err := h.Close(); err != nil {
		f.readOnly, f.reason = true, "it may not be written here"
		return
	}
	l, err := takeLock(path + ".lock")
	switch {
	case errors.Is(err, ErrBusy):
		f.readOnly, f.reason = true, "another Pilewright window has it open"
	case err != nil:
		f.readOnly, f.reason = true, "its folder may not be written"
	default:
		f.lock = l
	}
}

func (f *File) release() {
	if f.lock != nil {
		f.lock.release()
		f.lock = nil
	}
}

// connect opens one connection. TRUNCATE with FULL keeps everything in the one
// file between commits and survives a power cut at 3 to 6 ms a commit.
func connect(path string, readOnly bool) (*sql.DB, error) {
	q := url.Values{
		"_busy_timeout": {"2000"}, "_foreign_keys": {"1"}, "_txlock": {"immediate"}, "_trusted_schema": {"0"},
	}
	if readOnly {
		q.Set("mode", "ro")
		q.Set("_query_only", "1")
	} else {
		q.Set("mode", "rw")
		q.Set("_journal_mode", "TRUNCATE")
		q.Set("_synchronous", "FULL")
	}
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath(), RawQuery: q.Encode()}
	db, err := sql.Open("sqlite3", u.String())
	if err != nil {
		return nil, translate(err)
	}
	db.SetMaxOpenConns(1)
	if err := db.Ping(); err != nil {
		return nil, errors.Join(translate(err), db.Close())
	}
	return db, nil
}

// inspect refuses a file that is not a sound shop file of a version we know,
// without writing to it.
func inspect(path string) error {
	db, err := connect(path, true)
	if err != nil {
		return err
	}
	defer db.Close()
	var app, version int64
	if err := db.QueryRow("PRAGMA application_id").Scan(&app); err != nil {
		return translate(err)
	}
	if err := db.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return translate(err)
	}
	switch {
	case app != ApplicationID:
		return ErrForeign
	case version > int64(len(scripts)):
		return ErrNewerFile
	case version < 1:
		return ErrForeign
	}
	return quickCheck(db)
}

func quickCheck(db *sql.DB) error {
	var verdict string
	if err := db.QueryRow("PRAGMA quick_check(1)").Scan(&verdict); err != nil {
		return translate(err)
	}
	if verdict != "ok" {
		return fmt.Errorf("%w: %s", ErrCorrupt, verdict)
	}
	return nil
}

// Close releases the file. The file needs no Close to be whole.
func (f *File) Close() error {
	var err error
	if f.db != nil {
		err = f.db.Close()
		f.db = nil
	}
	f.release()
	if err != nil {
		return fmt.Errorf("close %s: %w", f.path, translate(err))
	}
	return nil
}

// inPlace fails with ErrReplaced when the path no longer leads to the file that
// was opened: writing on would go to a file nobody can find.
func (f *File) inPlace() error {
	now, err := os.Stat(f.path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(now, f.identity) {
		return ErrReplaced
	}
	return nil
}

// translate turns driver and system errors into the package's own.
func translate(err error) error {
	var own sqlite3.Error
	if errors.As(err, &own) {
		switch own.Code {
		case sqlite3.ErrNotADB:
			return ErrForeign
		case sqlite3.ErrCorrupt:
			return fmt.Errorf("%w (%s)", ErrCorrupt, own.Error())
		case sqlite3.ErrBusy, sqlite3.ErrLocked:
			return ErrBusy
		case sqlite3.ErrFull:
			return ErrFull
		case sqlite3.ErrReadonly, sqlite3.ErrPerm:
			return ErrReadOnly
		case sqlite3.ErrCantOpen:
			return fmt.Errorf("%w, or its folder can't be used", ErrMissing)
		}
		return err
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ErrMissing
	case errors.Is(err, fs.ErrPermission):
		return ErrReadOnly
	}
	return err
}
