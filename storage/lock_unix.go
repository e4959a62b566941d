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

// takeLock locks the file at path, which it makes. A holder removes its file
// when it lets go, so the file that was locked may by then be another than the
// one at path; then it is tried again.
func takeLock(path string) (*lock, error) {
	for {
		h, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
		if err != nil {
			return nil, translate(err)
		}
		err = syscall.Flock(int(h.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, errors.Join(ErrBusy, h.Close())
		}
		if err != nil {
			return nil, errors.Join(err, h.Close())
		}
		mine, err := h.Stat()
		if err != nil {
			return nil, errors.Join(err, h.Close())
		}
		if there, err := os.Stat(path); err == nil && os.SameFile(mine, there) {
			return &lock{h}, nil
		}
		h.Close()
	}
}

// release lets go. The file is removed while it is still locked; where it can't
// be, it stays and is harmless without a holder.
func (l *lock) release() {
	os.Remove(l.file.Name())
	l.file.Close()
}
