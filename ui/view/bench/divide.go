package bench

import (
	"errors"
	"strconv"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/locale"
)

// split asks how the step chosen is shared out.
func (r *Room) split() {
	s, _, ok := r.current()
	if !ok {
		r.desk.Fail(errNoStep)
		return
	}
	if why := s.Undivided(); why != "" {
		r.desk.Fail(locale.Error("“{{.title}}” stays whole. {{.why}}", locale.With{"title": s.Title, "why": locale.Say(why)}))
		return
	}
	entry := widget.NewEntry()
	entry.SetText(halves(s))
	said := widget.NewLabel(lang.L("“{{.title}}” is {{.amount}} {{.unit}}, {{.minutes}} in all. Write the shares: 8 + 4 makes two parts, 8 alone makes 8 and the rest. Every part keeps the machine and the set-up.",
		locale.With{"title": s.Title, "amount": amount(s.Amount()), "unit": locale.Unit(s.AmountUnit()), "minutes": minutes(s.Minutes)}))
	said.Wrapping = fyne.TextWrapWord
	d := dialog.NewCustomConfirm(lang.L("Split the step"), lang.L("Split"), lang.L("Leave it whole"), container.NewVBox(said, entry), func(ok bool) {
		if ok {
			r.desk.Fail(r.takeSplit(s, entry.Text))
		}
	}, r.desk.Window())
	entry.OnSubmitted = func(text string) {
		d.Hide()
		r.desk.Fail(r.takeSplit(s, text))
	}
	d.Resize(fyne.NewSize(520, 240))
	d.Show()
	r.desk.Window().Canvas().Focus(entry)
}

// halves offers a first split: as even as whole numbers allow.
func halves(s plan.Step) string {
	if a := s.Amount(); a == float64(int(a)) {
		return strconv.Itoa((int(a)+1)/2) + " + " + strconv.Itoa(int(a)/2)
	}
	return amount(s.Amount() / 2)
}

// amount writes a quantity as it is typed.
func amount(q float64) string {
	if q == float64(int(q)) {
		return strconv.Itoa(int(q))
	}
	return locale.Float(q, 2)
}

func (r *Room) takeSplit(s plan.Step, text string) error {
	shares, err := plan.ParseShares(text, s, locale.ParseFloat)
	if err != nil {
		return err
	}
	err = r.desk.Session().Edit(lang.L("split “{{.title}}”", locale.With{"title": s.Title}), "", func(p *plan.Project) (*plan.Project, error) { return p.SplitStep(s, shares) })
	if err == nil {
		r.desk.Say(lang.L("Split. Each part can now be ticked, locked and timed by itself; “Join the parts” makes it whole again."))
	}
	return err
}

// join makes the parts of the step chosen one step again.
func (r *Room) join() {
	s, _, ok := r.current()
	if !ok || s.Parts < 2 {
		r.desk.Fail(errors.New(lang.L("choose a part of a step that was split")))
		return
	}
	r.place = plan.WholeKey(s.Key)
	r.desk.Fail(r.desk.Session().Edit(lang.L("join the parts of a step"), "", func(p *plan.Project) (*plan.Project, error) { return p.JoinStep(s) }))
}

// logged is the minutes in the log for a step of the open piece.
func logged(w plan.Work, p *plan.Project, step string) float64 {
	return w.Logged(p, time.Time{})[step]
}
