package storage

import (
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// The reports kept: not more than these many, and none larger than this.
const (
	reportsKept = 10
	reportBytes = 32 << 20
)

// ReportDir is where the reports about a shop file's plans lie.
func ReportDir(path string) string { return path + ".reports" }

// KeepReport writes a report about a plan of the shop file at path where it can
// be found and sent by hand, and gives its place: a folder beside the shop file,
// or where that can't be, the folder spare. Only the owner may read it. The same
// report is kept once; the oldest go when there are many.
func KeepReport(path, spare string, body []byte, now time.Time) (string, error) {
	if len(body) > reportBytes {
		return "", fmt.Errorf("the report of %d MB is too large to be kept", len(body)>>20)
	}
	at, err := keepReport(ReportDir(path), body, now)
	if err != nil && spare != "" {
		var again error
		if at, again = keepReport(spare, body, now); again == nil {
			return at, nil
		}
		err = errors.Join(err, again)
	}
	if err != nil {
		return "", fmt.Errorf("write the report: %w", err)
	}
	return at, nil
}

func keepReport(dir string, body []byte, now time.Time) (string, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", translate(err)
	}
	sum := fmt.Sprintf("%08x", crc32.Checksum(body, castagnoli))
	list, err := reports(dir)
	if err != nil {
		return "", err
	}
	for _, name := range list {
		if old, err := os.ReadFile(name); err == nil && string(old) == string(body) {
			return name, nil
		}
	}
	at := filepath.Join(dir, now.UTC().Format("2006-01-02-150405")+"-"+sum+".json")
	if err := WriteWhole(at, 0o600, func(w io.Writer) error { _, err := w.Write(body); return err }); err != nil {
		return "", translate(err)
	}
	// By their time, not their names: the clock may have been set back.
	list = slices.DeleteFunc(list, func(name string) bool { return name == at })
	slices.SortStableFunc(list, func(a, b string) int { return modified(a).Compare(modified(b)) })
	for len(list) > reportsKept-1 {
		if err := removeIfThere(list[0]); err != nil {
			return at, err
		}
		list = list[1:]
	}
	return at, nil
}

// reports lists a folder's reports by name.
func reports(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, translate(err)
	}
	var out []string
	for _, e := range entries {
		if e.Type().IsRegular() && filepath.Ext(e.Name()) == ".json" {
			out = append(out, filepath.Join(dir, e.Name()))
		}
	}
	return out, nil
}

func modified(path string) time.Time {
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}
