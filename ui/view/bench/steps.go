package bench

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/schedule"
	"pilewright/plan/trade"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// Columns of the table of steps.
const (
	colDone = iota
	colTitle
	colTarget
	colLogged
	colWhen
	colMachine
	colSetup
	colWait
	colMarks
	colAfter
	colCautions
)

func (r *Room) stepGrid() *control.Grid {
	list := func() []plan.Step { return r.plan().Work.Steps }
	after := control.Column{Title: lang.L("Locked after"), Width: 110, Kind: control.Choice, Editable: true, Tip: lang.L("the step this one directly follows; empty = the plan decides")}
	after.Choices = func(row int) []string { return afterChoices(list(), row) }
	machine := control.Column{Title: lang.L("Machine"), Width: 92, Tip: lang.L("kind of machine; typed for steps of your own"), Editable: true}
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Done"), Width: 52, Kind: control.Bool, Editable: true}, {Title: lang.L("Step"), Width: 230, Stretch: true, Editable: true},
		{Title: lang.L("Target"), Width: 80, Numeric: true, Editable: true, Tip: lang.L("hands on: quantity at the shop's rate; type 25, 1h20 or 1:20 to set your own, empty takes it back")},
		{Title: lang.L("Logged"), Width: 74, Numeric: true}, {Title: lang.L("When"), Width: 130}, machine, {Title: lang.L("Set-up"), Width: 220, Stretch: true, Editable: true, Tip: lang.L("tool and setting; equal set-ups are worked in one go")},
		{Title: lang.L("Then wait"), Width: 84, Numeric: true, Editable: true, Tip: lang.L("glue or finish: no hands needed")},
		{Title: lang.L("Done to"), Width: 110, Tip: lang.L("marks of copies, blanks or boards")},
		after, {Title: lang.L("Cautions"), Width: 150, Tip: lang.L("each is told in full under One step")},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		return stepCell(r.plan(), r.now(), row, col)
	})
	g.RowID = func(row int) string { return list()[row].Key }
	g.CanAdd, g.AddHint = true, lang.L("Type here to add a step of your own")
	g.Empty = lang.L("There are no steps yet.")
	g.OnMessage = r.desk.Say
	g.Commit = r.commitStep
	g.Delete = r.deleteSteps
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) {
			r.choose(list()[rows[0]].Key)
		}
	}
	g.OnOpen = func(int, int) { r.openOne() }
	return g
}

// afterChoices lists the steps another can be locked after, by number and title.
func afterChoices(steps []plan.Step, row int) []string {
	out := []string{""}
	for i, s := range steps {
		if i != row && !s.Done {
			out = append(out, fmt.Sprintf("%d. %s", i+1, s.Title))
		}
	}
	return out
}

// stepCell gives one cell of the table of steps.
func stepCell(p *plan.Plan, now time.Time, row, col int) (string, control.CellState) {
	s := p.Work.Steps[row]
	state := control.CellState{Dim: s.Done}
	switch col {
	case colDone:
		return strconv.FormatBool(s.Done), state
	case colTitle:
		state.Bold = !s.Done
		return s.Title, state
	case colMarks:
		return strings.Join(s.Marks, " "), state
	case colTarget:
		return minutes(s.Minutes), state
	case colLogged:
		l := logged(p.Work, p.Project, s.Key)
		if l == 0 && s.Done {
			state.Message = lang.L("Done, and not timed: the hours are without it, and nothing is learned from it.")
			return lang.L("not timed"), state
		}
		if l == 0 {
			return "", state
		}
		if l > s.Minutes {
			state.Warn, state.Message = true, lang.L("{{.time}} over its target.", locale.With{"time": minutes(l - s.Minutes)})
		}
		return minutes(l), state
	case colMachine:
		state.Locked = !s.Own
		return locale.Word(s.Machine), state
	case colSetup:
		state.Bold, state.Locked = newSetup(p.Work.Steps, row), !s.Own
		return s.Setup, state
	case colWait:
		if s.Wait == 0 {
			return "", state
		}
		return locale.Say(plan.HoursText(s.Wait)), state
	case colWhen:
		return when(p.Work.Timeline, s.Key, now), state
	case colAfter:
		for i, o := range p.Work.Steps {
			if o.Key == s.After {
				return fmt.Sprintf("%d. %s", i+1, o.Title), state
			}
		}
		return "", state
	}
	text := cautionNames(s.Cautions)
	state.Message = text
	return text, state
}

// newSetup reports whether a machine is set up anew for the step.
func newSetup(steps []plan.Step, row int) bool {
	s := steps[row]
	if s.Machine == "bench" || s.Setup == "" || s.Done {
		return false
	}
	for i := row - 1; i >= 0; i-- {
		if steps[i].Machine == s.Machine {
			return steps[i].Setup != s.Setup
		}
	}
	return true
}

// when tells the session a step begins in.
func when(t schedule.Timeline, key string, now time.Time) string {
	for _, b := range t.Bars {
		if b.Step == key && b.Kind == schedule.Work {
			return locale.Day(b.Start.In(now.Location()), "Mon 2 Jan 15:04")
		}
	}
	return ""
}

// cautionNames lists what the cautions of a step are about.
func cautionNames(codes []string) string {
	var out []string
	for _, code := range codes {
		if c, ok := trade.CautionByCode(code); ok {
			out = append(out, strings.TrimSuffix(strings.ToLower(locale.Say(c.When)), "."))
		}
	}
	return strings.Join(out, "; ")
}

// commitStep takes a typed cell.
func (r *Room) commitStep(row, col int, text string) error {
	text = strings.TrimSpace(text)
	steps := r.plan().Work.Steps
	if row >= len(steps) {
		return r.addNamed(text)
	}
	s := steps[row]
	if t := r.desk.Session().Project().Timer; col == colDone && text == "true" && t.Step == s.Key {
		r.place = s.Key
		r.finish() // the clock's time on it goes into the log
		return nil
	}
	return r.desk.Session().Edit(lang.L("edit “{{.title}}”", locale.With{"title": s.Title}), fmt.Sprintf("step %s %d", s.Key, col), func(p *plan.Project) (*plan.Project, error) {
		var err error
		q := withEdit(p, s.Key, func(e *plan.StepEdit) { err = setStep(e, steps, s, col, text) })
		return q, err
	})
}

// setStep puts a typed text into the edit of a step.
func setStep(e *plan.StepEdit, steps []plan.Step, s plan.Step, col int, text string) error {
	switch col {
	case colDone:
		e.Done = text == "true"
	case colTitle:
		if s.Parts > 1 {
			return locale.Error("parts are named after the whole step; join them to name it anew")
		}
		if text == "" && s.Own {
			return locale.Error("a step needs a name")
		}
		e.Title = text
	case colMachine, colSetup:
		if !s.Own {
			return errFollows
		}
		if col == colMachine {
			e.Machine = locale.ID(text, machineKinds...)
		} else {
			e.Setup = text
		}
	case colTarget:
		if s.Own && s.Parts > 1 {
			return locale.Error("the minutes are shared out by the split; join the parts to change them")
		}
		return setMinutes(&e.Minutes, text, s.Own)
	case colWait:
		return setMinutes(&e.Wait, text, false)
	case colAfter:
		if text == "" {
			e.After = ""
			return nil
		}
		head, _, _ := strings.Cut(text, ".")
		n, err := strconv.Atoi(strings.TrimSpace(head))
		if err != nil || n < 1 || n > len(steps) {
			return locale.Error("“{{.text}}” is no step; write its number", locale.With{"text": text})
		}
		if steps[n-1].Key == s.Key {
			return locale.Error("a step can't follow itself")
		}
		e.After = steps[n-1].Key
	default:
		return errFollows
	}
	return nil
}

var errFollows = errors.New(locale.Mark("this follows from the plan and can't be typed"))

func setMinutes(into *int, text string, needed bool) error {
	if text == "" {
		if needed {
			return locale.Error("a step of your own needs a time")
		}
		*into = 0
		return nil
	}
	d, err := locale.ParseMinutes(text)
	if err != nil {
		return err
	}
	*into = max(int(d.Minutes()+0.5), 1)
	return nil
}

// ownKey gives a key no step has yet.
func ownKey(p *plan.Project) string {
	for n := 1; ; n++ {
		key := fmt.Sprintf("own/%d", n)
		if !slices.ContainsFunc(p.Steps, func(e plan.StepEdit) bool { return e.Key == key }) {
			return key
		}
	}
}

// ownMinutes is what a step of the maker's own takes until a time is typed.
const ownMinutes = 15

func (r *Room) addStep() {
	r.desk.Fail(r.addNamed(lang.L("My step")))
	r.tabs.SelectIndex(tabSteps)
}

func (r *Room) addNamed(title string) error {
	if title == "" {
		return locale.Error("a step needs a name")
	}
	after := ""
	if s, _, ok := r.current(); ok {
		after = s.Key
	}
	key := ownKey(r.desk.Session().Project())
	err := r.desk.Session().Edit(lang.L("add a step"), "", func(p *plan.Project) (*plan.Project, error) {
		return withEdit(p, key, func(e *plan.StepEdit) {
			e.Own, e.Title, e.Phase, e.Machine, e.Minutes = true, title, phaseOf(r.plan(), after), "bench", ownMinutes
			if after != "" {
				e.Needs = []string{after}
			}
		}), nil
	})
	if err == nil {
		r.desk.Say(lang.L("Type its name, minutes and machine in the table; it comes behind the step that was chosen."))
	}
	return err
}

func phaseOf(p *plan.Plan, key string) plan.Phase {
	if s, ok := p.Work.Step(key); ok {
		return s.Phase
	}
	return plan.PhasePrepare
}

// deleteSteps takes own steps out, and the maker's changes off derived ones.
func (r *Room) deleteSteps(rows []int) {
	keys := map[string]bool{}
	steps := r.plan().Work.Steps
	for _, row := range rows {
		if row < len(steps) {
			keys[plan.WholeKey(steps[row].Key)] = true
		}
	}
	touched := func(e plan.StepEdit) bool { return keys[plan.WholeKey(e.Key)] }
	if !slices.ContainsFunc(r.desk.Session().Project().Steps, touched) {
		r.desk.Fail(locale.Error("the step follows from the plan and stays; only steps of your own, and changes to others, are taken out"))
		return
	}
	r.desk.Fail(r.desk.Session().Edit(lang.L("take out steps or changes"), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Steps = slices.DeleteFunc(slices.Clone(p.Steps), touched) }), nil
	}))
}

// lockAfter makes the chosen step follow the one above it directly.
func (r *Room) lockAfter() {
	s, i, ok := r.current()
	if !ok || i == 0 {
		r.desk.Fail(locale.Error("choose a step that has another above it"))
		return
	}
	r.setAfter(s, r.plan().Work.Steps[i-1].Key)
}

func (r *Room) unlock() {
	s, _, ok := r.current()
	if !ok || s.After == "" {
		r.desk.Fail(locale.Error("the step chosen is not locked"))
		return
	}
	r.setAfter(s, "")
}

func (r *Room) setAfter(s plan.Step, after string) {
	label := lang.L("lock “{{.title}}”", locale.With{"title": s.Title})
	if after == "" {
		label = lang.L("unlock “{{.title}}”", locale.With{"title": s.Title})
	}
	r.desk.Fail(r.desk.Session().Edit(label, "", func(p *plan.Project) (*plan.Project, error) {
		return withEdit(p, s.Key, func(e *plan.StepEdit) { e.After = after }), nil
	}))
}

// machineKinds are the kinds of machine a step of the maker's own can name.
var machineKinds = []string{"table-saw", "mitre-saw", "planer", "jointer", "router", "drill", "sander", "bench"}
