//go:build race

package storage_test

const racing = true
