package rows

import (
	"fmt"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// ReliefKind names what could be changed to make a panel possible.
type ReliefKind string

// The changes tried when a panel cannot be made as asked. Value of a Relief is
// the size that would do, or the number of rows.
const (
	SmallerStagger ReliefKind = "smaller-stagger"
	ShorterPieces  ReliefKind = "shorter-pieces"
	HigherSteps    ReliefKind = "higher-steps"
	ThinnerPanel   ReliefKind = "thinner-panel"
	FewerRows      ReliefKind = "fewer-rows"
	NarrowerPanel  ReliefKind = "narrower-panel"
	NoLocks        ReliefKind = "no-locks"
)

// Relief is one change that alone makes the panel possible.
type Relief struct {
	Kind  ReliefKind
	Value measure.Length
	Rows  int // for FewerRows
}

// ShortError tells that no panel was found. Proven means that none exists: the
// strips at least Thickness thick come to Have, rows of Need are wanted, and
// Missing more (of the strips' mean width, where a width is asked for) is the
// least that could do. Otherwise there is wood enough, and the rules on pieces,
// joints and steps stand in the way, or the work limit was reached first.
type ShortError struct {
	Proven    bool
	Thickness measure.Length
	Have      measure.Length
	Need      measure.Length
	Missing   measure.Length
	Reliefs   []Relief
	Nearest   *Panel // made with the first relief; Check tells what it breaks. nil = none found
}

func (e *ShortError) Error() string {
	if e.Proven {
		return fmt.Sprintf("strips at least %d nm thick are %d nm short of the rows", e.Thickness, e.Missing)
	}
	return "no composition found that keeps every rule"
}

// short works out what is missing and which single change would do.
func (c *composer) short(proven bool) *ShortError {
	s := c.s
	e := &ShortError{Proven: proven, Thickness: measure.Length((max(s.least, 1) + s.cleanup2) * s.unit)}
	var have, wide, count int64
	var area float64
	for i := range s.length {
		if s.height[i]-s.cleanup2 < max(s.least, 1) || s.length[i] < s.piece || s.rowWidth(i) <= 0 {
			continue
		}
		have += s.length[i]
		area += float64(s.length[i]) * float64(s.rowWidth(i))
		wide += s.rowWidth(i)
		count++
	}
	need := int64(c.job.Rows) * s.panel
	if c.job.Rows <= 0 {
		// The width as metres of row: of the strips' mean width, or of what
		// the strips at hand would need to be.
		mean := float64(s.width)
		if have > 0 {
			mean = area / float64(have)
		}
		need = int64(float64(s.width)*float64(s.panel)/mean + 0.999999)
	}
	e.Have, e.Need = lengthOf(have, s.unit), lengthOf(need, s.unit)
	e.Missing = max(e.Need-e.Have, 0)
	if c.ctx.Err() == nil {
		e.Reliefs, e.Nearest = c.reliefs()
	}
	return e
}

// reliefs tries changes of one thing at a time, smallest change first, and
// keeps the first panel made; where no single change does, one free of rules.
func (c *composer) reliefs() ([]Relief, *Panel) {
	var out []Relief
	var nearest *Panel
	try := func(change func(*Job)) bool {
		job := *c.job
		change(&job)
		if job.Validate() != nil {
			return false
		}
		t := &composer{job: &job, s: scale(&job), ctx: c.ctx, limit: max(c.limit/12, 20_000)}
		t.boundFloors()
		if len(t.floors) == 0 {
			return false
		}
		for _, beam := range []int{2, 8} {
			for _, f := range t.floors {
				for _, plan := range f.choices() {
					if t.best != nil {
						break
					}
					d := t.s.newSearcher(t.ctx, f.floor, plan, beam)
					d.used, d.limit = &t.work, t.limit
					if st := d.run(); st != nil {
						t.offer(measureUp(&job, d.arrangement(rowsOf(st))))
					}
				}
			}
		}
		if t.best != nil && nearest == nil {
			nearest = t.best
			nearest.Bound, nearest.Status, nearest.Work = decimal.Zero, Given, t.work
		}
		return t.best != nil
	}
	size := func(kind ReliefKind, from measure.Length, shares []int, set func(*Job, measure.Length)) {
		if from <= 0 {
			return
		}
		for _, k := range shares {
			// Whole tenths of a millimetre, or coarser steps the job has already,
			// read well and keep the scale coarse.
			v := from * measure.Length(k) / 100
			v -= v % max(measure.Millimetre/10, measure.Length(c.s.unit))
			if v >= 0 && v != from && try(func(j *Job) { set(j, v) }) {
				out = append(out, Relief{Kind: kind, Value: v})
				return
			}
		}
	}
	size(SmallerStagger, c.job.Stagger, []int{80, 60, 40, 20, 0}, func(j *Job, v measure.Length) { j.Stagger = v })
	size(ShorterPieces, c.job.MinPiece, []int{80, 60, 40, 20}, func(j *Job, v measure.Length) { j.MinPiece = v })
	size(HigherSteps, max(c.job.Step, measure.Millimetre/2), []int{150, 200, 300, 500, 1000}, func(j *Job, v measure.Length) { j.Step = v })
	size(ThinnerPanel, c.job.LeastThickness, []int{95, 90, 80, 70, 50}, func(j *Job, v measure.Length) { j.LeastThickness = v })
	if c.job.Rows > 1 {
		for r := c.job.Rows - 1; r >= max(1, c.job.Rows/2); r-- {
			if try(func(j *Job) { j.Rows = r }) {
				out = append(out, Relief{Kind: FewerRows, Rows: r})
				break
			}
		}
	}
	if c.job.Rows <= 0 {
		size(NarrowerPanel, c.job.Width, []int{95, 90, 80, 70, 60, 50}, func(j *Job, v measure.Length) { j.Width = v })
	}
	if len(c.job.Locks) > 0 && try(func(j *Job) { j.Locks = nil }) {
		out = append(out, Relief{Kind: NoLocks})
	}
	if nearest == nil {
		try(func(j *Job) {
			j.Stagger, j.MinPiece, j.Step, j.LeastThickness, j.Locks = 0, min(j.MinPiece, j.Length/20), measure.Metre, 0, nil
		})
	}
	return out, nearest
}
