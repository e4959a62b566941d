//go:build unix

package storage

import "os"

// syncDir makes a name that was given or taken in a folder last through a power
// cut. File systems that can't do it are let pass: the file itself is synced.
func syncDir(dir string) {
	if h, err := os.Open(dir); err == nil {
		h.Sync()
		h.Close()
	}
}
