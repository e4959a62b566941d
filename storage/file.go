// Package storage keeps the shop file: one SQLite file with the pile, every
// piece, the log, the shop's settings and the undo history. It decides how
// nouns are written and how a file is opened, refused, backed up and repaired;
// what the nouns mean is plan's. Start at Open and File.Commit.
package storage

import (
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"github.com/mattn/go-sqlite3"

	"pilewright/plan"
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
	ErrNoLeave   = errors.New("the shop file may not be read; ask its owner for leave, or use a copy")
	ErrReplaced  = errors.New("the shop file was removed or replaced while it was open")
	ErrIsShop    = errors.New("there is a shop file of that name; choose another name")
	ErrExists    = errors.New("there is a file of that name already")
	ErrCutShort  = errors.New("the last edit was cut short; open the file once where it may be written")
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

// Create makes a new shop file, readable by its owner only. It fails with
// ErrExists where a file of that name is. The name appears only when the file is
// whole.
func Create(path string, opt Options) (*File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("make the folder of %s: %w", path, translate(err))
	}
	if _, err := os.Lstat(path); err == nil {
		return nil, fmt.Errorf("create %s: %w", path, ErrExists)
	}
	if err := createWhole(path, migrateNew); err != nil {
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	return Open(path, opt)
}

func migrateNew(db *sql.DB) error { return migrate(db, 0) }

// createWhole fills a new database beside path and gives it that name when fill
// is done, unless the name was taken meanwhile.
func createWhole(path string, fill func(*sql.DB) error) error {
	sweepAside(filepath.Dir(path), time.Now())
	h, err := os.CreateTemp(filepath.Dir(path), aside+"*")
	if err != nil {
		return translate(err)
	}
	part := h.Name()
	defer removeIfThere(part)
	if err := h.Close(); err != nil {
		return translate(err)
	}
	db, err := connect(part, false)
	if err != nil {
		return err
	}
	if err := errors.Join(fill(db), closeDB(db, false)); err != nil {
		return errors.Join(err, removeIfThere(part+"-journal"))
	}
	// A link fails where the name exists; not every file system has links.
	if err := os.Link(part, path); errors.Is(err, fs.ErrExist) {
		return ErrExists
	} else if err != nil {
		if _, err := os.Lstat(path); err == nil {
			return ErrExists
		}
		if err := os.Rename(part, path); err != nil {
			return translate(err)
		}
	}
	syncDir(filepath.Dir(path))
	return nil
}

// Open opens an existing shop file. A foreign, newer or damaged file is refused
// with ErrForeign, ErrNewerFile or ErrCorrupt and left untouched. A file that
// another window holds, or that may not be written, opens read-only.
func Open(path string, opt Options) (*File, error) {
	f, err := open(path, opt)
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	return f, nil
}

func open(path string, opt Options) (*File, error) {
	if _, err := sniff(path); err != nil {
		return nil, err
	}
	f := &File{path: path, now: opt.Now, readOnly: opt.ReadOnly, reason: "it was opened for reading only"}
	if f.now == nil {
		f.now = time.Now
	}
	if !f.readOnly {
		f.claim(path)
	}
	version, err := inspect(path)
	if errors.Is(err, ErrCutShort) && !f.readOnly {
		// The first reading connection that may write takes back the half edit.
		version, err = inspectAs(path, false)
	}
	if err != nil {
		f.release()
		return nil, err
	}
	if f.db, err = connect(path, f.readOnly); err != nil {
		f.release()
		return nil, err
	}
	if version < len(scripts) {
		if err := f.update(version); err != nil {
			return nil, errors.Join(err, f.Close())
		}
	}
	if f.identity, err = os.Stat(path); err != nil {
		return nil, errors.Join(translate(err), f.Close())
	}
	return f, nil
}

// claim takes the right to write, or makes the file read-only with the reason.
func (f *File) claim(path string) {
	h, err := os.OpenFile(path, os.O_RDWR, 0)
	if err == nil {
		err = h.Close()
	}
	if err != nil {
		f.readOnly, f.reason = true, "it may not be written here"
		return
	}
	l, err := takeLock(path + ".lock")
	switch {
	case errors.Is(err, ErrBusy):
		f.readOnly, f.reason = true, "another Pilewright window has it open"
	case errors.Is(err, ErrReadOnly):
		f.readOnly, f.reason = true, "its folder may not be written"
	case err != nil:
		f.readOnly, f.reason = true, "it can't be locked against other windows here"
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

// sniff reads the version from a file's first bytes and refuses what is not a
// shop file of a version we know, without SQLite.
// Source of the places: sqlite.org/fileformat2.html, section 1.3.
func sniff(path string) (version int, err error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrPermission) {
		return 0, ErrNoLeave
	}
	if err != nil {
		return 0, translate(err)
	}
	if !info.Mode().IsRegular() {
		return 0, ErrForeign
	}
	h, err := os.Open(path)
	if errors.Is(err, fs.ErrPermission) {
		return 0, ErrNoLeave
	}
	if err != nil {
		return 0, translate(err)
	}
	defer h.Close()
	head := make([]byte, 100)
	if _, err := io.ReadFull(h, head); err != nil {
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return 0, ErrForeign
		}
		return 0, translate(err)
	}
	number := func(at int) int { return int(int32(binary.BigEndian.Uint32(head[at:]))) }
	version = number(60)
	switch {
	case string(head[:16]) != "SQLite format 3\x00", number(68) != ApplicationID, version < 1:
		return 0, ErrForeign
	case version > len(scripts):
		return 0, ErrNewerFile
	}
	return version, nil
}

// inspect refuses a file that is not a sound shop file of a version we know,
// without writing to it, and gives its version.
func inspect(path string) (version int, err error) { return inspectAs(path, true) }

func inspectAs(path string, readOnly bool) (version int, err error) {
	if _, err := sniff(path); err != nil {
		return 0, err
	}
	db, err := connect(path, readOnly)
	if errors.Is(err, ErrForeign) {
		return 0, ErrCorrupt // its first bytes are ours
	}
	if err != nil {
		return 0, damage(err)
	}
	err = verify(db)
	if e := closeDB(db, readOnly); e != nil && err == nil {
		err = e
	}
	if err != nil {
		return 0, err
	}
	return sniff(path)
}

// verify reads the whole file: SQLite's own check of its structure and indexes,
// every record's sum, and the greatest number used.
func verify(db *sql.DB) error {
	var verdict string
	if err := db.QueryRow("PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return damage(err)
	}
	if verdict != "ok" {
		return fmt.Errorf("%w: %s", ErrCorrupt, verdict)
	}
	rows, err := db.Query("SELECT kind, id, piece, body, sum FROM record")
	if err != nil {
		return damage(err)
	}
	defer rows.Close()
	for rows.Next() {
		var kind, body sql.RawBytes
		var id, piece plan.ID
		var stored int64
		if err := scan(rows, &kind, &id, &piece, &body, &stored); err != nil {
			return err
		}
		if stored != sum(plan.Kind(kind), id, piece, body) {
			return fmt.Errorf("%w: the %s with number %d is not as it was written", ErrCorrupt, kind, id)
		}
		if id >= plan.MaxID {
			return fmt.Errorf("%w: no shop has used %d numbers", ErrCorrupt, id)
		}
	}
	if err := rows.Err(); err != nil {
		return damage(err)
	}
	_, err = lastID(db)
	return damage(err)
}

// scan reads the row that rows stands at. A value of a kind that is never written
// there, such as letters for a number, is damage.
func scan(rows *sql.Rows, into ...any) error {
	if err := rows.Scan(into...); err != nil {
		return fmt.Errorf("%w (%v)", ErrCorrupt, err)
	}
	return nil
}

// damage is translate for a file that calls itself a shop file: what SQLite can't
// make sense of in it is damage.
func damage(err error) error {
	var own sqlite3.Error
	if errors.As(err, &own) && (own.Code == sqlite3.ErrError || own.Code == sqlite3.ErrNotADB || own.Code == sqlite3.ErrFormat ||
		own.ExtendedCode == sqlite3.ErrIoErrShortRead) {
		return fmt.Errorf("%w (%s)", ErrCorrupt, own.Error())
	}
	return translate(err)
}

// Close releases the file. The file needs no Close to be whole.
func (f *File) Close() error {
	var err error
	if f.db != nil {
		err = closeDB(f.db, f.readOnly)
		f.db = nil
	}
	f.release()
	if err != nil {
		return fmt.Errorf("close %s: %w", f.path, translate(err))
	}
	return nil
}

// closeDB closes a connection. One that wrote takes away its empty journal first,
// so that the shop file lies alone.
func closeDB(db *sql.DB, readOnly bool) error {
	if !readOnly {
		// Where it can't be, the empty journal stays, which is harmless.
		db.Exec("PRAGMA journal_mode = DELETE")
	}
	return translate(db.Close())
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
			if own.ExtendedCode == sqlite3.ErrReadonlyRollback {
				return ErrCutShort
			}
			return ErrReadOnly
		case sqlite3.ErrIoErr:
			if own.SystemErrno == syscall.EFBIG || own.SystemErrno == syscall.ENOSPC {
				return ErrFull
			}
		case sqlite3.ErrCantOpen:
			return fmt.Errorf("%w, or its folder can't be used", ErrMissing)
		}
		return err
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ErrMissing
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ErrReadOnly
	case errors.Is(err, syscall.ENOSPC):
		return ErrFull
	case errors.Is(err, fs.ErrExist):
		return ErrExists
	}
	return err
}
