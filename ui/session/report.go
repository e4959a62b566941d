package session

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pilewright/plan"
	"pilewright/storage"
)

// Reported writes a report of every answer that failed its check while a project
// of the shop file at path was planned, and gives the plan's findings with the
// place of the report in them; nil where nothing failed. p and err are what
// plan.Make gave.
func Reported(path string, now time.Time, project *plan.Project, p *plan.Plan, err error) []plan.Finding {
	var failed *plan.CheckError
	if errors.As(err, &failed) {
		return []plan.Finding{withReport(path, now, project, failed.Finding())}
	}
	if p == nil || !slices.ContainsFunc(p.Findings, func(f plan.Finding) bool { return f.Refused != nil }) {
		return nil
	}
	out := slices.Clone(p.Findings)
	for i, f := range out {
		if f.Refused != nil {
			out[i] = withReport(path, now, project, f)
		}
	}
	return out
}

func withReport(path string, now time.Time, project *plan.Project, f plan.Finding) plan.Finding {
	spare, err := os.UserCacheDir()
	if err == nil {
		spare = filepath.Join(spare, "pilewright", "reports")
	}
	at := ""
	body, err := f.Refused.Report(project)
	if err == nil {
		at, err = storage.KeepReport(path, spare, body, now)
	}
	return f.Reported(at, err)
}
