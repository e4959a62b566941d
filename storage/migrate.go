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

// migrate brings the file to the newest version, each script and its version in
// one transaction. A file that already holds a shop is backed up first.
func (f *File) migrate(fresh bool) error {
	var version int
	if err := f.db.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return translate(err)
	}
	if version == len(scripts) {
		return nil
	}
	if !fresh {
		if _, err := f.backupNow(fmt.Sprintf("before-v%d", len(scripts))); err != nil {
			return fmt.Errorf("back up before updating the file: %w", err)
		}
	}
	for ; version < len(scripts); version++ {
		if err := f.inTx(func(tx *sql.Tx) error {
			if _, err := tx.Exec(scripts[version]); err != nil {
				return err
			}
			_, err := tx.Exec(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", ApplicationID, version+1))
			return err
		}); err != nil {
			return fmt.Errorf("update the file to version %d: %w", version+1, err)
		}
	}
	return nil
}

// inTx runs work in one transaction, rolled back on any error.
func (f *File) inTx(work func(*sql.Tx) error) error {
	tx, err := f.db.Begin()
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
