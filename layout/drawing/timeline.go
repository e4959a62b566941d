package drawing

import (
	"math"
	"sort"
	"time"

	"pilewright/layout/drawing/font"
)

// Session is a stretch of time at the bench, counted from the start of the plan.
type Session struct {
	Label    string // its day
	From, To time.Duration
}

// StretchKind says what goes on in a stretch of a step.
type StretchKind uint8

// What a step's time goes into.
const (
	Working StretchKind = iota
	SettingUp
	Waiting // glue curing, finish drying: no hands needed
)

// Stretch is a part of a step's time.
type Stretch struct {
	Kind     StretchKind
	From, To time.Duration
}

// TimeBar is a step on the timeline.
type TimeBar struct {
	Ref, Label, Hover string
	Stretches         []Stretch
	Done              bool
}

// TimelineView is what a timeline shows.
type TimelineView struct {
	Sessions []Session
	Bars     []TimeBar
	Now      time.Duration // drawn as a line where ShowNow is set
	ShowNow  bool
}

// clock maps time to paper: sessions to scale, the time between them narrow.
type clock struct {
	from, to []time.Duration
	x, w     []float64
}

const sessionGap = 3.0

func newClock(sessions []Session, x, width float64) *clock {
	c := &clock{}
	sorted := append([]Session(nil), sessions...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].From < sorted[j].From })
	total := time.Duration(0)
	for _, s := range sorted {
		total += max(s.To-s.From, time.Minute)
	}
	gap := math.Min(sessionGap, width/3/math.Max(1, float64(len(sorted))))
	scale := (width - gap*float64(len(sorted)-1)) / total.Minutes()
	for _, s := range sorted {
		w := max(s.To-s.From, time.Minute).Minutes() * scale
		c.from, c.to, c.x, c.w = append(c.from, s.From), append(c.to, s.To), append(c.x, x), append(c.w, w)
		x += w + gap
	}
	return c
}

// at gives the place of a moment; between sessions it moves across the gap.
func (c *clock) at(t time.Duration) float64 {
	for i := range c.from {
		if t < c.from[i] {
			if i == 0 {
				return c.x[0]
			}
			end := c.x[i-1] + c.w[i-1]
			part := float64(t-c.to[i-1]) / float64(c.from[i]-c.to[i-1])
			return end + part*(c.x[i]-end)
		}
		if t <= c.to[i] {
			if c.to[i] == c.from[i] {
				return c.x[i]
			}
			return c.x[i] + c.w[i]*float64(t-c.from[i])/float64(c.to[i]-c.from[i])
		}
	}
	last := len(c.x) - 1
	return c.x[last] + c.w[last]
}

// Timeline draws the steps one below the other against the sessions: set-up dark,
// work mid, waiting open and dashed. Time between sessions is drawn narrow.
func Timeline(v TimelineView, o Options) *Picture {
	p := &Picture{Title: "Timeline"}
	if len(v.Sessions) == 0 {
		return p
	}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	const row, size = 4.6, 2.5
	labels := 10.0
	for _, b := range v.Bars {
		labels = math.Max(labels, font.Width(b.Label, size, false)+2)
	}
	labels = math.Min(labels, o.Width*0.35)
	c := newClock(v.Sessions, labels, o.Width-labels)
	top, bottom := 5.0, 5.0+float64(len(v.Bars))*row+1.5
	last := math.Inf(-1)
	for i := range c.x {
		p.Rect(RoleGrid, "", Rect{c.x[i], top, c.x[i] + c.w[i], bottom})
		// The sessions were sorted by the clock; find the label by its start.
		for _, s := range v.Sessions {
			if s.From == c.from[i] && c.x[i] > last+1.5 {
				p.Text(RoleNote, "", c.x[i], top-1.2, 2.2, Left, s.Label)
				last = c.x[i] + font.Width(s.Label, 2.2, false)
				break
			}
		}
	}
	for i, b := range v.Bars {
		y := top + 1 + float64(i)*row
		role := RoleLabel
		if b.Done {
			role = RoleNote
		}
		p.Text(role, b.Ref, 0, y+(row-0.8)/2, size, Centre, font.Fit(b.Label, size, labels-1.5, false))
		p.Say(b.Ref, b.Hover)
		from, to := math.Inf(1), math.Inf(-1)
		for _, s := range b.Stretches {
			x0, x1 := c.at(s.From), c.at(s.To)
			from, to = math.Min(from, x0), math.Max(to, x1)
			r := Rect{x0, y, math.Max(x1, x0+0.4), y + row - 0.8}
			switch s.Kind {
			case SettingUp:
				p.Rect(RoleBarB, b.Ref, r)
			case Waiting:
				r.Y0, r.Y1 = y+0.9, y+row-1.7
				p.Rect(RoleBarC, b.Ref, r)
			default:
				for k := range c.x { // work stands only in sessions
					w := Rect{math.Max(r.X0, c.x[k]), r.Y0, math.Min(r.X1, c.x[k]+c.w[k]), r.Y1}
					if w.X1 > w.X0 {
						p.Rect(RoleBarA, b.Ref, w)
					}
				}
			}
		}
		if b.Done && to > from {
			p.Line(RoleThin, b.Ref, from-0.5, y+(row-0.8)/2, to+0.5, y+(row-0.8)/2)
		}
	}
	if v.ShowNow {
		x := c.at(v.Now)
		p.Line(RoleCut, "", x, top-0.5, x, bottom+1)
		p.Text(RoleNote, "", x, bottom+3.4, 2.2, Middle, o.Words.Word("now"))
	}
	keys(p, labels, bottom+4.5, []key{{RoleBarB, o.Words.Word("set-up")}, {RoleBarA, o.Words.Word("work")}, {RoleBarC, o.Words.Word("waiting")}})
	return p
}

type key struct {
	role Role
	text string
}

// keys explains tones in one line.
func keys(p *Picture, x, y float64, ks []key) {
	for _, k := range ks {
		p.Rect(k.role, "", Rect{x, y, x + 6, y + 2.6})
		p.Text(RoleNote, "", x+7.2, y+1.3, 2.3, Centre, k.text)
		x += 12 + font.Width(k.text, 2.3, false)
	}
}
