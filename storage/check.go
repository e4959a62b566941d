package storage

import (
	"fmt"

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
	var faults []string
	all, err := f.Load(0)
	if err != nil {
		return append(faults, "The contents can't be read: "+err.Error()), nil
	}
	for _, piece := range all.Pieces {
		p, err := f.Load(piece.ID)
		if err != nil {
			faults = append(faults, fmt.Sprintf("The piece %q can't be read: %v", piece.Name, err))
			continue
		}
		faults = append(faults, p.Faults()...)
	}
	if len(all.Pieces) == 0 {
		faults = append(faults, all.Faults()...)
	}
	lost, err := f.orphans(all)
	return append(faults, lost...), err
}

// orphans finds records that belong to a piece which is not there.
func (f *File) orphans(all *plan.Project) ([]string, error) {
	there := map[plan.ID]bool{0: true}
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
		if err := rows.Scan(&kind, &id, &piece); err != nil {
			return nil, translate(err)
		}
		if !there[piece] && kind.PieceOnly() {
			faults = append(faults, fmt.Sprintf("The %s with number %d belongs to a piece that is not there.", kind, id))
		}
	}
	return faults, translate(rows.Err())
}
