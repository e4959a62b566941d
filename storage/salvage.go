package storage

import (
	"cmp"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pilewright/plan"
)

// Salvaged tells what Salvage brought over.
type Salvaged struct {
	Records int      // nouns brought over
	Loose   int      // of them, found outside the file's own tree: some may have been deleted once
	History bool     // whether the undo history came along
	Lost    []string // what is known to be lost, in sentences
}

// Salvage reads what can be read of a damaged shop file and writes it as a new
// shop file at into, which must not exist. The damaged file is not touched. The
// error is for a file in which nothing was found, or a copy that can't be written.
func Salvage(path, into string) (Salvaged, error) {
	report, err := salvage(path, into)
	if err != nil {
		return Salvaged{}, fmt.Errorf("salvage %s: %w", path, err)
	}
	return report, nil
}

func salvage(path, into string) (report Salvaged, err error) {
	w, err := takeWreck(path)
	if err != nil {
		return report, err
	}
	defer os.RemoveAll(w.dir)
	records, report, err := w.records()
	if err != nil {
		return report, err
	}
	history, whole := w.history()
	report.History = whole
	if !whole {
		report.Lost = append(report.Lost, "The undo history can't be read; it begins anew.")
	}
	err = createWhole(into, func(db *sql.DB) error {
		if err := migrate(db, 0); err != nil {
			return err
		}
		return inTx(db, func(tx *sql.Tx) error {
			last := w.lastID
			for _, r := range records {
				if err := put(tx, r); err != nil {
					return err
				}
				last = max(last, r.ID)
			}
			for _, e := range history {
				if err := e.put(tx); err != nil {
					return err
				}
				for _, c := range e.changes {
					last = max(last, c.ID)
				}
			}
			_, err := tx.Exec("INSERT INTO setting (name, value) VALUES (?, ?)", lastIDSetting, last)
			return err
		})
	})
	if err != nil {
		return report, fmt.Errorf("write %s: %w", into, err)
	}
	if _, err = inspect(into); err != nil {
		err = errors.Join(err, removeIfThere(into))
	}
	return report, err
}

// wreck is a damaged file's copy, to be read at leisure.
type wreck struct {
	dir    string
	path   string
	lastID plan.ID
}

// takeWreck copies the file and its journal aside and lets SQLite take back a
// half edit there, where it can.
func takeWreck(path string) (w wreck, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return w, translate(err)
	}
	if !info.Mode().IsRegular() || info.Size() > 4<<30 {
		return w, ErrForeign
	}
	sweepWrecks(time.Now())
	if w.dir, err = os.MkdirTemp("", wreckFolder+"*"); err != nil {
		return w, translate(err)
	}
	w.path = filepath.Join(w.dir, "wreck")
	for _, tail := range []string{"", "-journal"} {
		body, err := os.ReadFile(path + tail)
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err == nil {
			err = os.WriteFile(w.path+tail, body, 0o600)
		}
		if err != nil {
			return w, errors.Join(translate(err), os.RemoveAll(w.dir))
		}
	}
	return w, nil
}

// wreckFolder is how the folders begin in which wrecks are read.
const wreckFolder = "pilewright-wreck-"

// sweepWrecks removes the copies that a power cut left behind a day ago or more.
// What can't be removed stays for the system's own cleaning.
func sweepWrecks(now time.Time) {
	left, err := filepath.Glob(filepath.Join(escaped(os.TempDir()), wreckFolder+"*"))
	if err != nil {
		return
	}
	for _, dir := range left {
		if info, err := os.Lstat(dir); err == nil && info.IsDir() && now.Sub(info.ModTime()) > 24*time.Hour {
			os.RemoveAll(dir)
		}
	}
}

// records are those that plan can read, each once.
func (w *wreck) records() ([]plan.Record, Salvaged, error) {
	var report Salvaged
	root := w.root()
	file, err := os.ReadFile(w.path)
	if err != nil {
		return nil, report, translate(err)
	}
	found, broken := carve(file, root)
	if broken > 0 {
		report.Lost = append(report.Lost, fmt.Sprintf("%d rows are damaged and can't be read.", broken))
	}
	type name struct {
		kind plan.Kind
		id   plan.ID
	}
	best := map[name]carved{}
	pieces := map[plan.ID]bool{}
	for _, c := range found {
		key := name{c.Kind, c.ID}
		if was, twice := best[key]; twice && (was.live || !c.live) {
			continue
		}
		_, err := plan.FromRecords([]plan.Record{c.Record}, c.Piece)
		if err == nil && (c.Piece < 0 || c.Piece >= plan.MaxID || c.Piece == 0 && c.Kind.PieceOnly()) {
			err = fmt.Errorf("no piece has the number %d", c.Piece)
		}
		if err != nil {
			report.Lost = append(report.Lost, fmt.Sprintf("The %s with number %d can't be read: %v.", c.Kind, c.ID, err))
			continue
		}
		best[key] = c
		if c.Kind == plan.KindPiece {
			pieces[c.ID] = true
		}
	}
	if len(best) == 0 {
		return nil, report, fmt.Errorf("%w, and nothing in it can be read", ErrCorrupt)
	}
	var out []plan.Record
	for _, c := range best {
		if c.Kind.PieceOnly() && !pieces[c.Piece] {
			head, err := headless(c.Piece)
			if err != nil {
				return nil, report, err
			}
			pieces[c.Piece] = true
			out = append(out, head)
			report.Lost = append(report.Lost, fmt.Sprintf("The name and the targets of piece number %d are lost; it is called “Salvaged piece %d”.", c.Piece, c.Piece))
		}
		if !c.live {
			report.Loose++
		}
		out = append(out, c.Record)
	}
	slices.SortFunc(out, func(a, b plan.Record) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID))
	})
	slices.Sort(report.Lost)
	report.Records = len(out)
	return out, report, nil
}

// headless is a header for a piece that lost its own.
func headless(id plan.ID) (plan.Record, error) {
	body, err := json.Marshal(plan.Piece{ID: id, Name: fmt.Sprintf("Salvaged piece %d", id)})
	if err != nil {
		return plan.Record{}, fmt.Errorf("write the header of piece %d: %w", id, err)
	}
	return plan.Record{Kind: plan.KindPiece, ID: id, Body: body}, nil
}

// root asks SQLite where the records' tree begins, and for the last number used;
// 0 where it can't tell. Connecting rolls a hot journal back.
func (w *wreck) root() (page int) {
	db, err := connect(w.path, false)
	if err != nil {
		return 0
	}
	defer db.Close()
	if db.QueryRow("SELECT rootpage FROM sqlite_schema WHERE name = 'record'").Scan(&page) != nil {
		page = 0
	}
	if db.QueryRow("SELECT value FROM setting WHERE name = ?", lastIDSetting).Scan(&w.lastID) != nil || w.lastID < 0 || w.lastID >= plan.MaxID {
		w.lastID = 0
	}
	return page
}

// oldEdit is a remembered edit.
type oldEdit struct {
	seq              int64
	piece            plan.ID
	label, key, time string
	undone           int
	changes          []plan.Change
}

func (e oldEdit) put(tx *sql.Tx) error {
	if _, err := tx.Exec("INSERT INTO edit (seq, piece, label, merge_key, at, undone) VALUES (?, ?, ?, ?, ?, ?)",
		e.seq, e.piece, e.label, e.key, e.time, e.undone); err != nil {
		return err
	}
	return putChanges(tx, e.seq, 0, e.changes)
}

// history is the whole undo history, or none: with a gap in it undo would go
// wrong.
func (w *wreck) history() (list []oldEdit, whole bool) {
	db, err := connect(w.path, false)
	if err != nil {
		return nil, false
	}
	defer db.Close()
	err = inTx(db, func(tx *sql.Tx) error {
		rows, err := tx.Query("SELECT seq, piece, label, merge_key, at, undone FROM edit ORDER BY seq")
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var e oldEdit
			if err := rows.Scan(&e.seq, &e.piece, &e.label, &e.key, &e.time, &e.undone); err != nil {
				return err
			}
			list = append(list, e)
		}
		if err := rows.Err(); err != nil {
			return err
		}
		n := 0
		for i := range list {
			if list[i].changes, err = readChanges(tx, list[i].seq); err != nil {
				return err
			}
			n += len(list[i].changes)
		}
		var all int
		if err := tx.QueryRow("SELECT count(*) FROM edit_change").Scan(&all); err != nil {
			return err
		}
		if n != all {
			return ErrCorrupt
		}
		var verdict string
		if err := tx.QueryRow("PRAGMA integrity_check(edit_change)").Scan(&verdict); err != nil || verdict != "ok" {
			return errors.Join(ErrCorrupt, err)
		}
		return nil
	})
	if err != nil {
		return nil, false
	}
	return list, true
}

// WayOut is what can be done about a shop file that does not open.
type WayOut struct {
	Backups []string // those that open, newest first
	Records int      // nouns that Salvage would bring over; 0 = nothing
}

// Rescue looks what can be done about a shop file that does not open. Nothing is
// written.
func Rescue(path string) (WayOut, error) {
	list, err := Backups(path)
	if err != nil {
		return WayOut{}, err
	}
	var out WayOut
	for _, name := range list {
		if _, err := inspect(name); err == nil {
			out.Backups = append(out.Backups, name)
		}
	}
	if w, err := takeWreck(path); err == nil {
		defer os.RemoveAll(w.dir)
		if records, _, err := w.records(); err == nil {
			out.Records = len(records)
		}
	}
	return out, nil
}

// Restore puts a backup or a salvaged copy in the place of the shop file at path.
// What was there is kept under the name returned; empty where there was nothing.
func Restore(path, from string, now time.Time) (kept string, err error) {
	if _, err := inspect(from); err != nil {
		return "", fmt.Errorf("restore from %s: %w", from, err)
	}
	if sameFile(path, from) {
		return "", fmt.Errorf("restore from %s: that is the shop file itself", from)
	}
	l, err := takeLock(path + ".lock")
	if err != nil {
		return "", fmt.Errorf("restore %s: %w", path, err)
	}
	defer l.release()
	src, err := Open(from, Options{ReadOnly: true})
	if err != nil {
		return "", err
	}
	defer src.Close()
	part := path + ".restored"
	if err := src.CopyTo(part); err != nil {
		return "", err
	}
	if _, err := os.Lstat(path); err == nil {
		kept = freeName(path + ".damaged-" + now.Format("2006-01-02"))
		if err := os.Rename(path, kept); err != nil {
			return "", errors.Join(fmt.Errorf("keep the damaged file as %s: %w", kept, translate(err)), removeIfThere(part))
		}
		// The half edit goes with the file it belongs to.
		if err := os.Rename(path+"-journal", kept+"-journal"); err != nil && !errors.Is(err, os.ErrNotExist) {
			return kept, fmt.Errorf("keep the journal of %s: %w", kept, translate(err))
		}
	}
	if err := os.Rename(part, path); err != nil {
		return kept, fmt.Errorf("restore %s: %w", path, translate(err))
	}
	syncDir(filepath.Dir(path))
	return kept, nil
}

// freeName gives name, numbered where a file has it already.
func freeName(name string) string {
	free := name
	for i := 2; ; i++ {
		if _, err := os.Lstat(free); err != nil {
			return free
		}
		free = fmt.Sprintf("%s-%d", name, i)
	}
}
