package storage

import (
	"fmt"
	"slices"

	"pilewright/plan"
)

// Check reads everything in the file and gives what is wrong with it, in
// sentences: SQLite's own integrity check, references, and every record and
// remembered edit. Nothing is written.
func (f *File) Check() ([]string, error) {
	var faults []string
	rows, err := f.db.Query("PRAGMA integrity_check(20)")
	if err != nil {
		return nil, fmt.Errorf("check %s: %w", f.path, translate(err))
	}
	defer rows.Close()
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, fmt.Errorf("check %s: %w", f.path, translate(err))
		}
		if line != "ok" {
			faults = append(faults, "The file itself is damaged: "+line)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("check %s: %w", f.path, translate(err))
	}
	rows.Close()
	found, err := f.checkRecords()
	if err != nil {
		return nil, fmt.Errorf("check %s: %w", f.path, err)
	}
	return append(faults, found...), nil
}

func (f *File) checkRecords() ([]string, error) {
	all, err := f.Load(0)
	if err != nil {
		return []string{"The contents can't be read: " + err.Error()}, nil
	}
	faults := all.Faults()
	for _, piece := range all.Pieces {
		p, err := f.openIn(all, piece)
		if err != nil {
			faults = append(faults, fmt.Sprintf("The piece %q can't be read: %v", piece.Name, err))
			continue
		}
		for _, fault := range p.PieceFaults() {
			faults = append(faults, fmt.Sprintf("Piece %q: %s", piece.Name, fault))
		}
	}
	lost, err := f.orphans(all)
	if err != nil {
		return nil, err
	}
	edits, err := f.checkHistory()
	return slices.Concat(faults, lost, edits), err
}

// openIn gives the shop with a piece open, without reading the shop again.
func (f *File) openIn(all *plan.Project, piece plan.Piece) (*plan.Project, error) {
	var changes []plan.Change
	for _, k := range plan.Kinds() {
		if !k.PieceOnly() {
			continue
		}
		records, err := f.read(nil, "SELECT kind, id, piece, body, sum FROM record WHERE piece = ? AND kind = ? ORDER BY id", piece.ID, k)
		if err != nil {
			return nil, err
		}
		for _, r := range records {
			changes = append(changes, plan.Change{Kind: r.Kind, ID: r.ID, Piece: r.Piece, After: r.Body})
		}
	}
	return all.With(func(q *plan.Project) { q.Piece = piece }).Apply(changes)
}

// orphans finds records of an unknown kind, and those that belong to a piece
// which is not there.
func (f *File) orphans(all *plan.Project) ([]string, error) {
	there := map[plan.ID]bool{}
	for _, p := range all.Pieces {
		there[p.ID] = true
	}
	rows, err := f.db.Query("SELECT kind, id, piece FROM record")
	if err != nil {
		return nil, translate(err)
	}
	defer rows.Close()
	var faults []string
	for rows.Next() {
		var kind plan.Kind
		var id, piece plan.ID
		if err := scan(rows, &kind, &id, &piece); err != nil {
			return nil, err
		}
		switch {
		case !kind.Known():
			faults = append(faults, fmt.Sprintf("The record with number %d is of the unknown kind %q.", id, kind))
		case kind.PieceOnly() && !there[piece]:
			faults = append(faults, fmt.Sprintf("The %s with number %d belongs to a piece that is not there.", kind, id))
		}
	}
	return faults, translate(rows.Err())
}

// checkHistory finds remembered edits that could not be taken back or made again.
func (f *File) checkHistory() ([]string, error) {
	var faults []string
	rows, err := f.db.Query("SELECT seq, kind, id, piece, before, after, sum FROM edit_change ORDER BY seq, n")
	if err != nil {
		return nil, translate(err)
	}
	defer rows.Close()
	for rows.Next() {
		var seq, stored int64
		var c plan.Change
		if err := scan(rows, &seq, &c.Kind, &c.ID, &c.Piece, &c.Before, &c.After, &stored); err != nil {
			faults = append(faults, fmt.Sprintf("A remembered edit can't be read: %v", err))
			continue
		}
		if stored != sum(c.Kind, c.ID, c.Piece, c.Before, c.After) {
			faults = append(faults, fmt.Sprintf("The remembered edit %d is not as it was written.", seq))
			continue
		}
		if _, err := plan.Same(c.Kind, c.Before, c.After); err != nil {
			faults = append(faults, fmt.Sprintf("The remembered edit %d can't be read: %v", seq, err))
		}
	}
	if err := rows.Err(); err != nil {
		return nil, translate(err)
	}
	var loose int
	if err := f.db.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&loose); err != nil {
		return nil, translate(err)
	}
	if loose > 0 {
		faults = append(faults, fmt.Sprintf("%d remembered changes belong to no edit.", loose))
	}
	return faults, nil
}
