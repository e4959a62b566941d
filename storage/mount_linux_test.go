package storage_test

import "syscall"

// mountSmall puts a file system of half a megabyte at dir.
func mountSmall(dir string) error { return syscall.Mount("none", dir, "tmpfs", 0, "size=512k") }

func unmount(dir string) { syscall.Unmount(dir, 0) }
