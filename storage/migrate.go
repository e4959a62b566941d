package storage

import (
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"slices"
)

//go:embed migrations/*.sql
var migrations embed.FS

// scripts are the migrations in order; script n brings a file to version n+1.
var scripts = readScripts()

func readScripts() []string {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil || len(names) == 0 {
		panic("storage: the embedded migrations are missing")
	}
	slices.Sort(names)
	out := make([]string, len(names))
	for i, n := range names {
		text, err := migrations.ReadFile(n)
		if err != nil {
			panic("storage: the embedded migrations are missing")
		}
		out[i] = string(text)
	}
	return out
}

// update brings an older file to the newest version after a verified backup. A
// file that may not be written can't be brought up and is refused.
func (f *File) update(version int) error {
	if f.readOnly {
		return fmt.Errorf("%w, and it is of an older version that must be updated first: %s", ErrReadOnly, f.reason)
	}
	if _, err := f.backupNow(fmt.Sprintf("before-v%d", len(scripts))); err != nil {
		return fmt.Errorf("back up before updating the file: %w", err)
	}
	return migrate(f.db, version)
}

// migrate runs the scripts from version on, all in one transaction: the file is
// of the newest version afterwards, or as it was.
func migrate(db *sql.DB, version int) error {
	return inTx(db, func(tx *sql.Tx) error {
		for ; version < len(scripts); version++ {
			if _, err := tx.Exec(scripts[version]); err != nil {
				return fmt.Errorf("bring the file to version %d: %w", version+1, err)
			}
		}
		_, err := tx.Exec(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", ApplicationID, version))
		return err
	})
}

// inTx runs work in one transaction, rolled back on any error.
func inTx(db *sql.DB, work func(*sql.Tx) error) error {
	tx, err := db.Begin()
	if err != nil {
		return translate(err)
	}
	if err := work(tx); err != nil {
		if back := tx.Rollback(); back != nil {
			return fmt.Errorf("%w (and the rollback failed: %v)", translate(err), back)
		}
		return translate(err)
	}
	if err := tx.Commit(); err != nil {
		return translate(err)
	}
	return nil
}
