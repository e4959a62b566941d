package plan_test

import (
	"io/fs"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
)

// readStart reads one of the starting points that ship with the program.
func readStart(t testing.TB, id string) plan.Start {
	t.Helper()
	s, err := plan.OpenStart(assets.Starts, id)
	if err != nil {
		t.Fatalf("%s: %v", id, err)
	}
	return s
}

func startIDs(t testing.TB) []string {
	t.Helper()
	files, err := fs.Glob(assets.Starts, "starts/*.json")
	if err != nil || len(files) < 5 {
		t.Fatalf("starting points: %v, %v", files, err)
	}
	var ids []string
	for _, f := range files {
		ids = append(ids, f[len("starts/"):len(f)-len(".json")])
	}
	return ids
}
