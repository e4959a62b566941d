package storage

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/mattn/go-sqlite3"
)

// The backups kept: not more than these many files and bytes, oldest out first.
const (
	backupsKept = 14
	backupBytes = 512 << 20
)

// BackupDir is where the backups of a shop file lie.
func BackupDir(path string) string { return path + ".backups" }

// Backups lists the backups of a shop file, newest first.
func Backups(path string) ([]string, error) {
	entries, err := os.ReadDir(BackupDir(path))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the backups of %s: %w", path, translate(err))
	}
	var out []string
	for _, e := range entries { // in the order of their names
		if e.Type().IsRegular() && filepath.Ext(e.Name()) == ".shop" {
			out = append(out, filepath.Join(BackupDir(path), e.Name()))
		}
	}
	slices.Reverse(out)
	return out, nil
}

// BackUpDaily makes today's backup where there is none yet; made tells whether
// it did. The copy is verified before it counts.
func (f *File) BackUpDaily() (made bool, err error) {
	if f.readOnly {
		return false, nil
	}
	name := filepath.Join(BackupDir(f.path), f.now().Format("2006-01-02")+".shop")
	if _, err := os.Stat(name); err == nil {
		return false, nil
	}
	_, err = f.backupNow("")
	return err == nil, err
}

// backupNow copies the file into its backup folder under today's date and tag.
func (f *File) backupNow(tag string) (string, error) {
	dir := BackupDir(f.path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("make the backup folder: %w", translate(err))
	}
	name := f.now().Format("2006-01-02")
	if tag != "" {
		name += "-" + tag
	}
	if err := sweepParts(dir); err != nil {
		return "", err
	}
	path := filepath.Join(dir, name+".shop")
	if err := f.CopyTo(path); err != nil {
		return "", err
	}
	return path, prune(f.path, path)
}

// sweepParts removes what backups that were cut short by a power cut left behind.
// Only the window that holds the lock makes backups, so none is being made.
func sweepParts(dir string) error {
	left, err := filepath.Glob(filepath.Join(escaped(dir), "*.shop.part*"))
	if err != nil {
		return fmt.Errorf("look for halves of backups: %w", err)
	}
	for _, name := range left {
		if err := removeIfThere(name); err != nil {
			return fmt.Errorf("remove half a backup: %w", err)
		}
	}
	return nil
}

// escaped is a path in which no sign has a meaning for filepath.Glob.
func escaped(path string) string {
	if filepath.Separator == '\\' {
		return strings.NewReplacer("[", "[[]", "*", "[*]", "?", "[?]").Replace(path)
	}
	return strings.NewReplacer(`\`, `\\`, "[", `\[`, "*", `\*`, "?", `\?`).Replace(path)
}

// prune removes the oldest backups beyond what is kept; fresh, the one just made,
// stays even where the clock was set back and others look newer.
func prune(path, fresh string) error {
	list, err := Backups(path)
	if err != nil {
		return err
	}
	if i := slices.Index(list, fresh); i > 0 {
		list = slices.Insert(slices.Delete(list, i, i+1), 0, fresh)
	}
	var total int64
	for i, name := range list {
		info, err := os.Stat(name)
		if err != nil {
			continue
		}
		total += info.Size()
		if i > 0 && (i >= backupsKept || total > backupBytes) {
			if err := os.Remove(name); err != nil {
				return fmt.Errorf("remove an old backup: %w", translate(err))
			}
		}
	}
	return nil
}

// CopyTo writes a whole, verified copy of the shop file with SQLite's online
// backup, replacing path only when the copy is complete.
func (f *File) CopyTo(path string) error {
	part := path + ".part"
	if sameFile(f.path, path) {
		return fmt.Errorf("copy to %s: that is the shop file itself", path)
	}
	if err := f.copyPart(part); err != nil {
		return errors.Join(fmt.Errorf("copy to %s: %w", path, err), removeIfThere(part))
	}
	if err := os.Rename(part, path); err != nil {
		return errors.Join(fmt.Errorf("copy to %s: %w", path, translate(err)), removeIfThere(part))
	}
	syncDir(filepath.Dir(path))
	return nil
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

func removeIfThere(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return translate(err)
	}
	return nil
}

func (f *File) copyPart(part string) error {
	if err := removeIfThere(part); err != nil {
		return err
	}
	h, err := os.OpenFile(part, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return translate(err)
	}
	if err := h.Close(); err != nil {
		return translate(err)
	}
	dst, err := connect(part, false)
	if err != nil {
		return err
	}
	ctx := context.Background()
	to, err := dst.Conn(ctx)
	if err != nil {
		return errors.Join(translate(err), closeDB(dst, false))
	}
	from, err := f.db.Conn(ctx)
	if err != nil {
		return errors.Join(translate(err), to.Close(), closeDB(dst, false))
	}
	err = to.Raw(func(d any) error {
		return from.Raw(func(s any) error { return copyPages(d.(*sqlite3.SQLiteConn), s.(*sqlite3.SQLiteConn)) })
	})
	err = errors.Join(translate(err), from.Close(), to.Close(), closeDB(dst, false))
	if err != nil {
		return err
	}
	_, err = inspect(part)
	return err
}

func copyPages(dst, src *sqlite3.SQLiteConn) error {
	b, err := dst.Backup("main", src, "main")
	if err != nil {
		return err
	}
	for done := false; !done && err == nil; {
		done, err = b.Step(-1)
	}
	return errors.Join(err, b.Finish())
}
