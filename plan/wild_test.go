package plan_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
)

func TestAForgottenClockIsSaidAndCanBeKept(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	s := stepLike(t, made, "mortise/", 6)
	at := time.Date(2026, 2, 3, 18, 0, 0, 0, time.UTC)
	wild := plan.Entry{Phase: s.Phase, Step: s.Key, Start: at, Seconds: 40 * int64(s.Minutes*60), Rate: s.Rate, Quantity: s.Quantity}
	for name, piece := range map[string]plan.ID{"on another piece": 999, "on this piece": p.Piece.ID} {
		t.Run(name, func(t *testing.T) {
			var entry plan.ID
			q := p.With(func(q *plan.Project) {
				e := wild
				e.ID, e.Piece = q.Take(), piece
				entry = e.ID
				q.Log = append(slices.Clone(q.Log), e)
				if piece == p.Piece.ID {
					q.Steps = append(slices.Clone(q.Steps), plan.StepEdit{ID: q.Take(), Piece: piece, Key: s.Key, Done: true})
				}
			})
			got := make1(t, q)
			told := func(made *plan.Plan) bool {
				return slices.ContainsFunc(made.Findings, func(f plan.Finding) bool {
					return f.Code == "time.wild" && strings.Contains(f.Text, "times as long") && strings.Contains(f.Text, "3 February 2026")
				})
			}
			if !told(got) || !slices.ContainsFunc(got.Ledger.Forecast.Doubts, func(d plan.Doubt) bool { return d.Entry == entry && d.Times > 10 }) {
				t.Errorf("not said: %v", got.Ledger.Forecast.Doubts)
			}
			other := stepLike(t, made, "tenon/", 1)
			if after := part(t, got, other.Key); math.Abs(after.Minutes/other.Minutes-1) > 1e-4 {
				t.Errorf("%s takes %v min, before %v", other.Key, after.Minutes, other.Minutes)
			}
			if to, before := got.Ledger.Forecast.P50-got.Ledger.Forecast.Spent, made.Ledger.Forecast.P50-made.Ledger.Forecast.Spent; to > before*1.01 {
				t.Errorf("%v min to go, before %v", to, before)
			}
			kept := make1(t, q.With(func(q *plan.Project) {
				q.Log = slices.Clone(q.Log)
				q.Log[len(q.Log)-1].Kept = true
			}))
			if told(kept) || kept.Ledger.Forecast.P50 <= got.Ledger.Forecast.P50*1.02 {
				t.Errorf("kept: the forecast is %v, set aside %v", kept.Ledger.Forecast.P50, got.Ledger.Forecast.P50)
			}
		})
	}
}

// Two clocks at once count the same minutes twice: that is said, of times of the
// clock only, and however the log is ordered.
func TestTimesThatOverlapAreSaid(t *testing.T) {
	p := demoProject(t)
	at := time.Date(2026, 2, 3, 18, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		start  time.Time
		byHand bool
		told   string
	}{
		"one begins before the other ends": {at.Add(50 * time.Minute), false, "overlap by 10 min"},
		"one lies within the other":        {at.Add(10 * time.Minute), false, "overlap by 30 min"},
		"one begins where the other ends":  {at.Add(time.Hour), false, ""},
		"one was entered by hand":          {at.Add(10 * time.Minute), true, ""},
	} {
		t.Run(name, func(t *testing.T) {
			made := make1(t, p.With(func(q *plan.Project) {
				q.Log = append(slices.Clone(q.Log),
					plan.Entry{ID: q.Take(), Piece: p.Piece.ID, Phase: plan.Phases[0], Start: c.start, Seconds: 1800, ByHand: c.byHand},
					plan.Entry{ID: q.Take(), Piece: p.Piece.ID, Phase: plan.Phases[0], Start: at, Seconds: 3600})
			}))
			var told []string
			for _, f := range made.Findings {
				if f.Code == "time.overlap" {
					told = append(told, f.Text)
				}
			}
			if c.told == "" && len(told) > 0 || c.told != "" && (len(told) != 1 || !strings.Contains(told[0], c.told)) {
				t.Errorf("told %q, want %q", told, c.told)
			}
		})
	}
}
