package storage

import (
	"database/sql"
	"errors"
	"fmt"
	"hash/crc32"
	"time"

	"pilewright/plan"
)

// Load reads the project of one piece; piece 0 reads the pile, the shop and the
// log with no piece open.
func (f *File) Load(piece plan.ID) (*plan.Project, error) {
	records, err := f.records(piece)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", f.path, err)
	}
	p, err := plan.FromRecords(records, piece)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w: %v", f.path, ErrCorrupt, err)
	}
	used, err := lastID(f.db)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", f.path, err)
	}
	p.NextID = max(p.NextID, used+1)
	return p, nil
}

// records reads the shop's records and, where piece is not 0, those of the piece.
func (f *File) records(piece plan.ID) ([]plan.Record, error) {
	var out []plan.Record
	for _, k := range plan.Kinds() {
		var err error
		switch {
		case !k.PieceOnly():
			out, err = f.read(out, "SELECT kind, id, piece, body, sum FROM record WHERE kind = ? ORDER BY id", k)
		case piece != 0:
			out, err = f.read(out, "SELECT kind, id, piece, body, sum FROM record WHERE piece = ? AND kind = ? ORDER BY id", piece, k)
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (f *File) read(into []plan.Record, query string, args ...any) ([]plan.Record, error) {
	rows, err := f.db.Query(query, args...)
	if err != nil {
		return nil, translate(err)
	}
	defer rows.Close()
	for rows.Next() {
		var r plan.Record
		var stored int64
		if err := scan(rows, &r.Kind, &r.ID, &r.Piece, &r.Body, &stored); err != nil {
			return nil, err
		}
		if stored != sum(r.Kind, r.ID, r.Piece, r.Body) {
			return nil, fmt.Errorf("%w: the %s with number %d is not as it was written", ErrCorrupt, r.Kind, r.ID)
		}
		into = append(into, r)
	}
	return into, translate(rows.Err())
}

// lastID is the greatest number any noun has or had, those of other pieces and
// of edits that were taken back included.
func lastID(db *sql.DB) (plan.ID, error) {
	rows, err := db.Query("SELECT value FROM setting WHERE name = ?", lastIDSetting)
	if err != nil {
		return 0, translate(err)
	}
	defer rows.Close()
	var last plan.ID
	if rows.Next() {
		if err := scan(rows, &last); err != nil {
			return 0, err
		}
		if last < 0 || last >= plan.MaxID {
			return 0, fmt.Errorf("%w: no shop has used %d numbers", ErrCorrupt, last)
		}
	}
	return last, translate(rows.Err())
}

// lastIDSetting is where the greatest number ever used is kept.
const lastIDSetting = "last id"

// Edit is one change of the shop as the maker sees it.
type Edit struct {
	Piece    plan.ID // whose history it belongs to
	Label    string  // what undo will say; empty = not undoable (timer, window)
	MergeKey string  // joins the edit before it when both keys are equal and not empty
	Changes  []plan.Change
}

// Commit writes an edit in one transaction: it is stored when Commit returns
// nil. A new edit ends the redo of its piece. plan.ErrConflict comes back when a
// record is no longer as the edit found it.
func (f *File) Commit(e Edit) error {
	if len(e.Changes) == 0 {
		return nil
	}
	if err := f.writable(); err != nil {
		return fmt.Errorf("store %q: %w", e.Label, err)
	}
	err := inTx(f.db, func(tx *sql.Tx) error {
		if err := write(tx, e.Changes); err != nil {
			return err
		}
		if e.Label == "" {
			return nil
		}
		return f.remember(tx, e)
	})
	if err != nil {
		return fmt.Errorf("store %q: %w", e.Label, err)
	}
	return nil
}

func (f *File) writable() error {
	if f.readOnly {
		return fmt.Errorf("%w: %s", ErrReadOnly, f.reason)
	}
	return f.inPlace()
}

// write makes the changes after checking that each record is as expected.
func write(tx *sql.Tx, changes []plan.Change) error {
	var last plan.ID
	for _, c := range changes {
		if c.ID >= plan.MaxID {
			return fmt.Errorf("%w: its numbers are used up", ErrCorrupt)
		}
		var now []byte
		err := tx.QueryRow("SELECT body FROM record WHERE kind = ? AND id = ?", c.Kind, c.ID).Scan(&now)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		if same, err := plan.Same(c.Kind, now, c.Before); err != nil {
			return fmt.Errorf("%w: %v", ErrCorrupt, err)
		} else if !same {
			return fmt.Errorf("the %s with number %d: %w", c.Kind, c.ID, plan.ErrConflict)
		}
		if c.After == nil {
			_, err = tx.Exec("DELETE FROM record WHERE kind = ? AND id = ?", c.Kind, c.ID)
		} else {
			err = put(tx, plan.Record{Kind: c.Kind, ID: c.ID, Piece: c.Piece, Body: c.After})
		}
		if err != nil {
			return err
		}
		last = max(last, c.ID)
	}
	_, err := tx.Exec(`INSERT INTO setting (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = ?2
		WHERE CAST(value AS INTEGER) < ?2`, lastIDSetting, last)
	return err
}

func put(tx *sql.Tx, r plan.Record) error {
	_, err := tx.Exec(`INSERT INTO record (kind, id, piece, body, sum) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (kind, id) DO UPDATE SET piece = excluded.piece, body = excluded.body, sum = excluded.sum`,
		r.Kind, r.ID, r.Piece, string(r.Body), sum(r.Kind, r.ID, r.Piece, r.Body))
	return err
}

// remember appends the edit to its piece's history, or joins it to the last one.
func (f *File) remember(tx *sql.Tx, e Edit) error {
	if _, err := tx.Exec("DELETE FROM edit WHERE piece = ? AND undone = 1", e.Piece); err != nil {
		return err
	}
	if e.MergeKey != "" {
		seq, key, err := lastEdit(tx, e.Piece)
		if err != nil {
			return err
		}
		if key == e.MergeKey {
			return merge(tx, seq, e.Changes)
		}
	}
	res, err := tx.Exec("INSERT INTO edit (piece, label, merge_key, at) VALUES (?, ?, ?, ?)",
		e.Piece, e.Label, e.MergeKey, f.now().UTC().Format(time.RFC3339))
	if err != nil {
		return err
	}
	seq, err := res.LastInsertId()
	if err != nil {
		return err
	}
	return putChanges(tx, seq, 0, e.Changes)
}

func lastEdit(tx *sql.Tx, piece plan.ID) (seq int64, key string, err error) {
	err = tx.QueryRow("SELECT seq, merge_key FROM edit WHERE piece = ? AND undone = 0 ORDER BY seq DESC LIMIT 1", piece).Scan(&seq, &key)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, "", nil
	}
	return seq, key, err
}

// merge joins changes to a stored edit: a record already in it keeps its first
// Before and takes the new After.
func merge(tx *sql.Tx, seq int64, changes []plan.Change) error {
	var n int
	if err := tx.QueryRow("SELECT coalesce(max(n) + 1, 0) FROM edit_change WHERE seq = ?", seq).Scan(&n); err != nil {
		return err
	}
	var fresh []plan.Change
	for _, c := range changes {
		var at int
		var before []byte
		err := tx.QueryRow("SELECT n, before FROM edit_change WHERE seq = ? AND kind = ? AND id = ?", seq, c.Kind, c.ID).Scan(&at, &before)
		if errors.Is(err, sql.ErrNoRows) {
			fresh = append(fresh, c)
			continue
		}
		if err != nil {
			return err
		}
		if _, err := tx.Exec("UPDATE edit_change SET piece = ?, after = ?, sum = ? WHERE seq = ? AND n = ?",
			c.Piece, text(c.After), sum(c.Kind, c.ID, c.Piece, before, c.After), seq, at); err != nil {
			return err
		}
	}
	return putChanges(tx, seq, n, fresh)
}

func putChanges(tx *sql.Tx, seq int64, n int, changes []plan.Change) error {
	for i, c := range changes {
		if _, err := tx.Exec("INSERT INTO edit_change (seq, n, kind, id, piece, before, after, sum) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			seq, n+i, c.Kind, c.ID, c.Piece, text(c.Before), text(c.After), sum(c.Kind, c.ID, c.Piece, c.Before, c.After)); err != nil {
			return err
		}
	}
	return nil
}

// text stores a missing body as NULL.
func text(body []byte) any {
	if body == nil {
		return nil
	}
	return string(body)
}

// sum is the CRC-32C (Castagnoli) of a row. SQLite keeps none, and a flipped bit
// within a number of a body would else be read as another number.
func sum(kind plan.Kind, id, piece plan.ID, bodies ...[]byte) int64 {
	h := crc32.New(castagnoli)
	fmt.Fprintf(h, "%s %d %d", kind, id, piece)
	for _, b := range bodies {
		if b == nil {
			h.Write([]byte{0})
			continue
		}
		h.Write([]byte{1})
		h.Write(b)
	}
	return int64(h.Sum32())
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)
