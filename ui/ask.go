package ui

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/view/shop"
)

// showShop opens the page of the shop itself.
func (w *window) showShop() {
	d := dialog.NewCustom(lang.L("The shop"), lang.L("Close"), shop.Page(w), w.win)
	size := w.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(size.Width-60, 980), size.Height-80))
	d.Show()
}

// reckoning is a question that takes a while: it is worked out behind, shows how
// far it is and can be given up.
type reckoning struct {
	w      *window
	said   *widget.Label
	cancel context.CancelFunc
	dialog *dialog.CustomDialog
	foot   *fyne.Container // what can be done with the answer
}

// ask shows the dialog and runs work on a goroutine of its own; say may be called
// from it, and what work returns is shown at the end; then may offer to do something
// with it.
func (w *window) ask(title string, work func(ctx context.Context, say func(string)) (string, error), then ...func(*reckoning)) {
	ctx, cancel := context.WithCancel(context.Background())
	r := &reckoning{w: w, said: widget.NewLabel(lang.L("Working it out…")), cancel: cancel, foot: container.NewHBox()}
	r.said.Wrapping = fyne.TextWrapWord
	r.dialog = dialog.NewCustom(title, lang.L("Close"), container.NewBorder(nil, r.foot, nil, nil, container.NewVScroll(r.said)), w.win)
	r.dialog.SetOnClosed(cancel)
	r.dialog.Resize(fyne.NewSize(520, 260))
	r.dialog.Show()
	go func() {
		text, err := work(ctx, func(s string) { fyne.Do(func() { r.said.SetText(s) }) })
		if ctx.Err() != nil {
			return
		}
		if err != nil {
			text = sentence(err)
		}
		fyne.Do(func() {
			r.said.SetText(text)
			for _, offer := range then {
				offer(r)
			}
		})
	}()
}

// offerSizes lets the maker take the sizes that were found; the piece is planned
// with them at once.
func (w *window) offerSizes(l *plan.Largest) func(*reckoning) {
	return func(r *reckoning) {
		if len(l.Sizes) == 0 {
			return
		}
		r.foot.Add(widget.NewButton(lang.L("Make it so large"), func() {
			w.Fail(w.session.Edit(lang.L("as large as the pile allows"), "", func(p *plan.Project) (*plan.Project, error) { return p.WithSizes(l.Sizes), nil }))
			r.dialog.Hide()
		}))
	}
}

// largest asks which measure and finds how large it can be from this pile.
func (w *window) largest() {
	p := w.session.Project()
	var names []string
	for _, m := range p.Measures {
		names = append(names, m.Name)
	}
	if len(names) == 0 {
		w.Fail(locale.Error("the piece has no measures to make larger"))
		return
	}
	scaled := p.InProportion()
	if len(scaled) > 1 {
		var list []string
		for _, m := range scaled {
			list = append(list, m.Name)
		}
		names = append(names, lang.L("In proportion: {{.names}}", locale.With{"names": strings.Join(list, ", ")}))
	}
	which := widget.NewSelect(names, nil)
	which.SetSelectedIndex(0)
	dialog.ShowForm(lang.L("How large can it be from this pile?"), lang.L("Find out"), lang.L("Cancel"), []*widget.FormItem{widget.NewFormItem(lang.L("Measure"), which)}, func(ok bool) {
		if !ok {
			return
		}
		tools := w.deps.Tools()
		if which.SelectedIndex() == len(p.Measures) {
			w.largestInProportion(p, tools)
			return
		}
		m := p.Measures[which.SelectedIndex()]
		var l plan.Largest
		w.ask(lang.L("The largest {{.name}}", locale.With{"name": m.Name}), func(ctx context.Context, say func(string)) (_ string, err error) {
			l, err = p.Largest(ctx, tools, m.ID, func(at measure.Length, possible bool) {
				verdict := lang.L("too much")
				if possible {
					verdict = lang.L("possible")
				}
				say(fmt.Sprintf("%s: %s", desk.Length(p, at), verdict))
			})
			if err != nil {
				return "", err
			}
			return largestText(p, l), nil
		}, w.offerSizes(&l))
	}, w.win)
}

func (w *window) largestInProportion(p *plan.Project, tools plan.Tools) {
	var l plan.Largest
	w.ask(lang.L("The largest in proportion"), func(ctx context.Context, say func(string)) (_ string, err error) {
		l, err = p.LargestInProportion(ctx, tools, func(percent int, possible bool) {
			verdict := lang.L("too much")
			if possible {
				verdict = lang.L("possible")
			}
			say(fmt.Sprintf("%d %%: %s", percent, verdict))
		})
		if err != nil {
			return "", err
		}
		return largestText(p, l), nil
	}, w.offerSizes(&l))
}

// checkProof has the proof of the cuts reckoned anew.
func (w *window) checkProof() {
	made := w.session.Plan()
	if busy, _ := w.session.Busy(); busy || made == nil || made.Cuts.Proof == nil {
		w.Fail(locale.Error("there are no finished cuts whose proof could be checked; ask again when planning has ended"))
		return
	}
	w.ask(lang.L("The proof of the cuts"), func(ctx context.Context, _ func(string)) (string, error) {
		if err := made.Cuts.Proof.Check(ctx); err != nil {
			return "", locale.Error("The proof does not hold: {{.why}}. The cuts can be made as they are drawn, but better ones may exist.", locale.With{"why": locale.Say(err.Error())})
		}
		text := lang.L("The proof holds. Every cut was read against the rules of its board, and every bound reckoned anew in whole numbers, apart from the search that found it.")
		if slices.ContainsFunc(made.Cuts.Boards, func(c plan.CutBoard) bool {
			b, _ := made.Project.Board(c.Board)
			return b.Sheet
		}) {
			text += " " + lang.L("Sheets are left out of this check.")
		}
		return text + "\n\n" + locale.Say(made.Cuts.Sentence), nil
	})
}

// largestText tells how large the piece can be, what is in the way of more, and
// which machines it runs into.
func largestText(p *plan.Project, l plan.Largest) string {
	if l.Value == 0 {
		return lang.L("The pile does not make the piece at any {{.name}} tried. In the way: {{.cause}}.", locale.With{"name": l.Measure.Name, "cause": l.Cause})
	}
	var sizes []string
	for _, s := range l.Sizes {
		if v, err := measure.Parse(s.Text, measure.Inches); err == nil {
			sizes = append(sizes, s.Name+" "+desk.Length(p, v))
		}
	}
	text := lang.L("{{.name}} can be {{.value}}.", locale.With{"name": l.Measure.Name, "value": desk.Length(p, l.Value)})
	if l.Percent > 0 {
		text = fmt.Sprintf("%d %%: %s", l.Percent, strings.Join(sizes, ", "))
	}
	if l.Next > 0 {
		text += "\n\n" + lang.L("At {{.next}} no plan was found. In the way: {{.cause}}.", locale.With{"next": desk.Length(p, l.Next), "cause": l.Cause})
	} else {
		text += "\n\n" + lang.L("Larger values were not tried.")
	}
	for _, limit := range l.Limits {
		text += "\n\n" + locale.Say(limit)
	}
	return text + "\n\n" + lang.L("The quick solver was used; a longer search may find room for a little more.")
}

// collect asks how many more pallets or crates make the piece possible.
func (w *window) collect() {
	made := w.session.Plan()
	if made == nil {
		w.Fail(locale.Error("there is no plan yet"))
		return
	}
	var lots []plan.Lot
	for _, l := range made.Project.Lots {
		if l.PerUnit > 0 && l.UnitBoard > 0 {
			lots = append(lots, l)
		}
	}
	if len(lots) == 0 {
		w.Fail(locale.Error("say at a lot in the Pile how many boards one pallet or crate holds, and their size"))
		return
	}
	tools := w.deps.Tools()
	w.ask(lang.L("How much to collect"), func(ctx context.Context, say func(string)) (string, error) {
		text := ""
		for _, e := range made.Project.ExpectedBoards() {
			text += lang.L("{{.name}}: of {{.boards}} boards, {{.low}} to {{.high}} come out whole nine times in ten (about {{.mid}}).", locale.With{"name": e.Lot.Name, "boards": e.Boards, "low": e.Low, "high": e.High, "mid": e.Mid}) + "\n"
		}
		for _, l := range lots {
			say(text + "\n" + lang.L("Trying boards of {{.name}}…", locale.With{"name": l.Name}))
			c, err := made.Collect(ctx, tools, l, 0.9)
			if err != nil {
				return "", err
			}
			text += fmt.Sprintf("\n%s: %s", l.Name, c.Say)
		}
		return text, nil
	})
}

// swap asks for two copies and tells what exchanging them would do.
func (w *window) swap() {
	made := w.session.Plan()
	if made == nil || len(made.Copies) < 2 {
		w.Fail(locale.Error("the piece needs two copies to exchange"))
		return
	}
	var marks []string
	for _, c := range made.Copies {
		part, _ := made.Part(c.Part)
		marks = append(marks, c.Mark+"  "+part.Name)
	}
	a, b := widget.NewSelect(marks, nil), widget.NewSelect(marks, nil)
	a.SetSelectedIndex(0)
	b.SetSelectedIndex(1)
	dialog.ShowForm(lang.L("What if two copies were swapped?"), lang.L("Tell"), lang.L("Cancel"), []*widget.FormItem{widget.NewFormItem(lang.L("This"), a), widget.NewFormItem(lang.L("for that"), b)}, func(ok bool) {
		if !ok {
			return
		}
		x, y := made.Copies[a.SelectedIndex()].Mark, made.Copies[b.SelectedIndex()].Mark
		w.ask(lang.L("Swapping {{.x}} and {{.y}}", locale.With{"x": x, "y": y}), func(context.Context, func(string)) (string, error) {
			said := made.Swap(x, y)
			if len(said) == 0 {
				return lang.L("{{.x}} and {{.y}} may take each other's place: nothing would be noticed.", locale.With{"x": x, "y": y}), nil
			}
			return strings.Join(said, "\n"), nil
		})
	}, w.win)
}

// showPiece opens the page of the open piece.
func (w *window) showPiece() {
	d := dialog.NewCustom(lang.L("This piece"), lang.L("Close"), shop.PiecePage(w), w.win)
	size := w.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(size.Width-60, 860), min(size.Height-80, 420)))
	d.Show()
}
