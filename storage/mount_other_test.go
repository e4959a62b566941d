//go:build unix && !linux

package storage_test

import "errors"

func mountSmall(string) error { return errors.ErrUnsupported }

func unmount(string) {}
