package storage

import (
	"database/sql"
	"errors"
	"fmt"

	"pilewright/plan"
)

// Undo takes back the last edit of the piece and returns what it was called and
// the changes that were made to do so. ErrNothing comes back where there is none,
// plan.ErrConflict where one of its records was changed from another piece since.
func (f *File) Undo(piece plan.ID) (string, []plan.Change, error) { return f.step(piece, 0) }

// Redo makes the last undone edit of the piece again. Errors are as for Undo.
func (f *File) Redo(piece plan.ID) (string, []plan.Change, error) { return f.step(piece, 1) }

// nextEdit finds what undo (undone = 0) or redo (undone = 1) would take.
const nextUndo = "SELECT seq, label FROM edit WHERE piece = ? AND undone = 0 ORDER BY seq DESC LIMIT 1"
const nextRedo = "SELECT seq, label FROM edit WHERE piece = ? AND undone = 1 ORDER BY seq LIMIT 1"

func (f *File) step(piece plan.ID, undone int) (label string, changes []plan.Change, err error) {
	verb, query := "undo", nextUndo
	if undone == 1 {
		verb, query = "redo", nextRedo
	}
	if err := f.writable(); err != nil {
		return "", nil, fmt.Errorf("%s: %w", verb, err)
	}
	err = inTx(f.db, func(tx *sql.Tx) error {
		var seq int64
		err := tx.QueryRow(query, piece).Scan(&seq, &label)
		if errors.Is(err, sql.ErrNoRows) {
			return ErrNothing
		}
		if err != nil {
			return err
		}
		if changes, err = readChanges(tx, seq); err != nil {
			return err
		}
		if undone == 0 {
			changes = plan.Invert(changes)
		}
		if err := write(tx, changes); err != nil {
			return err
		}
		_, err = tx.Exec("UPDATE edit SET undone = 1 - undone, merge_key = '' WHERE seq = ?", seq)
		return err
	})
	if err != nil {
		return "", nil, fmt.Errorf("%s: %w", verb, err)
	}
	return label, changes, nil
}

func readChanges(tx *sql.Tx, seq int64) ([]plan.Change, error) {
	rows, err := tx.Query("SELECT kind, id, piece, before, after, sum FROM edit_change WHERE seq = ? ORDER BY n", seq)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []plan.Change
	for rows.Next() {
		var c plan.Change
		var stored int64
		if err := scan(rows, &c.Kind, &c.ID, &c.Piece, &c.Before, &c.After, &stored); err != nil {
			return nil, err
		}
		if stored != sum(c.Kind, c.ID, c.Piece, c.Before, c.After) || c.ID >= plan.MaxID {
			return nil, fmt.Errorf("%w: the remembered %s with number %d is not as it was written", ErrCorrupt, c.Kind, c.ID)
		}
		out = append(out, c)
	}
	return out, rows.Err()
}

// History tells what undo and redo of the piece would take back or make again;
// empty where there is nothing.
func (f *File) History(piece plan.ID) (undo, redo string, err error) {
	for _, q := range []struct {
		query string
		into  *string
	}{{nextUndo, &undo}, {nextRedo, &redo}} {
		var seq int64
		err := f.db.QueryRow(q.query, piece).Scan(&seq, q.into)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return "", "", fmt.Errorf("read the history: %w", translate(err))
		}
	}
	return undo, redo, nil
}

// Setting reads how the window was left; empty where it was never stored.
func (f *File) Setting(name string) (string, error) {
	var v string
	err := f.db.QueryRow("SELECT value FROM setting WHERE name = ?", name).Scan(&v)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return "", fmt.Errorf("read setting %s: %w", name, translate(err))
	}
	return v, nil
}

// SetSetting stores how the window was left.
func (f *File) SetSetting(name, value string) error {
	if err := f.writable(); err != nil {
		return fmt.Errorf("store setting %s: %w", name, err)
	}
	_, err := f.db.Exec("INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value", name, value)
	if err != nil {
		return fmt.Errorf("store setting %s: %w", name, translate(err))
	}
	return nil
}
