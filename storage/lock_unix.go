//go:build unix

package storage

import (
	"errors"
	"os"
	"syscall"
)

// lock is held by the window that may write. The system frees it when the
// process ends, however it ends.
type lock struct{ file *os.File }

func takeLock(path string) (*lock, error) {
	h, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, translate(err)
	}
	if err := syscall.Flock(int(h.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		if errors.Is(err, syscall.EWOULDBLOCK) {
			err = ErrBusy
		}
		return nil, errors.Join(err, h.Close())
	}
	return &lock{h}, nil
}

// release lets go. The lock file stays where it can't be removed; it is
// harmless without a holder.
func (l *lock) release() {
	os.Remove(l.file.Name())
	l.file.Close()
}
