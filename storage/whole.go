package storage

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// aside is how the files begin that are being written and not yet in their place.
const aside = ".pilewright-"

// WriteWhole writes a file whole or not at all: aside in the same folder, synced,
// then put in its place, where an older file of that name stays until then. What
// such writing left in the folder when it was cut short a day ago or more is
// removed. A shop file is never written over: ErrIsShop. A full disk is ErrFull.
func WriteWhole(path string, mode os.FileMode, write func(io.Writer) error) error {
	if _, err := sniff(path); err == nil || errors.Is(err, ErrNewerFile) {
		return ErrIsShop
	}
	dir := filepath.Dir(path)
	sweepAside(dir, time.Now())
	part, err := os.CreateTemp(dir, aside+"*") // for its owner only until it is whole
	if err != nil {
		return full(err)
	}
	err = write(part)
	if err == nil {
		err = errors.Join(part.Chmod(mode), part.Sync())
	}
	err = errors.Join(err, part.Close())
	if err == nil {
		err = os.Rename(part.Name(), path)
	}
	if err != nil {
		return errors.Join(full(err), removeIfThere(part.Name()))
	}
	syncDir(dir)
	return nil
}

func full(err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		return ErrFull
	}
	return err
}

// sweepAside removes what was left aside a day ago or more. What can't be removed
// stays.
func sweepAside(dir string, now time.Time) {
	left, err := filepath.Glob(filepath.Join(escaped(dir), aside+"*"))
	if err != nil {
		return
	}
	for _, name := range left {
		if info, err := os.Lstat(name); err == nil && info.Mode()&fs.ModeType == 0 && now.Sub(info.ModTime()) > 24*time.Hour {
			os.Remove(name)
		}
	}
}
