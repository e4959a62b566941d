package storage

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lock is held by the window that may write. The system frees it when the
// process ends, however it ends.
type lock struct{ file *os.File }

func takeLock(path string) (*lock, error) {
	h, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, translate(err)
	}
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	if err := windows.LockFileEx(windows.Handle(h.Fd()), flags, 0, 1, 0, new(windows.Overlapped)); err != nil {
		if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
			err = ErrBusy
		}
		return nil, errors.Join(err, h.Close())
	}
	return &lock{h}, nil
}

// release lets go. The lock file stays where it can't be removed; it is
// harmless without a holder.
func (l *lock) release() {
	l.file.Close()
	os.Remove(l.file.Name())
}
