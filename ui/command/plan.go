package command

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/plan/words"
	"pilewright/storage"
	"pilewright/ui/session"
)

// mostTime is how long a command plans, mostCutting how long of that it searches for
// better cuts and their proof: what would cure a shortage is looked for after it.
const (
	mostTime    = 15 * time.Second
	mostCutting = 9 * time.Second
)

// make1 plans a project of the shop file, for so long at most. Of an answer that
// failed its check a report is left beside the file.
func make1(ctx context.Context, shop string, p *plan.Project, env Env) (*plan.Plan, error) {
	ctx, cancel := context.WithTimeout(ctx, mostTime)
	defer cancel()
	tools := env.Tools(p)
	cut := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		ctx, cancel := context.WithTimeout(ctx, mostCutting)
		defer cancel()
		return cut(ctx, job, better)
	}
	made, err := plan.Make(ctx, p, tools, nil)
	findings := session.Reported(shop, env.Now(), p, made, err)
	switch {
	case findings == nil:
		return made, err
	case err != nil:
		return nil, fmt.Errorf("%w. %s", err, findings[0].Do)
	}
	with := *made
	with.Findings = findings
	return &with, nil
}

// shortOf is the error of a plan that can't fully be built.
func shortOf(p *plan.Plan) error {
	if !p.Drawable() || len(p.Cuts.Short) > 0 {
		return errShort
	}
	for _, f := range p.Findings {
		if f.Severity == plan.Stop {
			return errShort
		}
	}
	return nil
}

func showPlan(ctx context.Context, args []string, env Env) error {
	set := newSet("plan")
	shop, piece := set.String("shop", "", ""), set.String("piece", "", "")
	asJSON := set.Bool("json", false, "")
	if err := flags(set, args); err != nil {
		return err
	}
	if err := need(set, "shop", "piece"); err != nil {
		return err
	}
	p, err := openPiece(*shop, *piece)
	if err != nil {
		return err
	}
	made, err := make1(ctx, *shop, p, env)
	if err != nil {
		return err
	}
	if *asJSON {
		if err := json.NewEncoder(env.Stdout).Encode(planJSON(made)); err != nil {
			return err
		}
	} else {
		summary(env.Stdout, made)
	}
	return shortOf(made)
}

func writeSheet(ctx context.Context, args []string, env Env) error {
	set := newSet("sheet")
	shop, piece, out := set.String("shop", "", ""), set.String("piece", "", ""), set.String("o", "", "")
	paper, tongue := set.String("paper", "", ""), set.String("language", "", "")
	if err := flags(set, args); err != nil {
		return err
	}
	if err := need(set, "shop", "piece", "o"); err != nil {
		return err
	}
	if *paper != "" && *paper != "letter" && *paper != "a4" {
		return badUse("sheet: -paper is letter or a4, not %q", *paper)
	}
	said, err := language(*tongue)
	if err != nil {
		return err
	}
	p, err := openPiece(*shop, *piece)
	if err != nil {
		return err
	}
	made, err := make1(ctx, *shop, p, env)
	if err != nil {
		return err
	}
	made = made.In(said)
	if *paper == "" {
		*paper = p.Shop.Paper
	}
	if err := sheetTo(*out, made, *paper, env); err != nil {
		return err
	}
	return shortOf(made)
}

// language reads the words of a language such as es or es-MX; en has none.
func language(tag string) (*words.Language, error) {
	base, _, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(tag, "_", "-")), "-")
	if base == "" || base == "en" {
		return nil, nil
	}
	data, err := assets.Words.ReadFile("words/" + base + ".json")
	if err != nil {
		return nil, badUse("sheet: -language is en or es, with its region where you like, as in es-MX; not %q", tag)
	}
	return words.Read(data, tag)
}

func sheetTo(path string, p *plan.Plan, paper string, env Env) error {
	if err := storage.WriteWhole(path, 0o644, func(w io.Writer) error { return env.Sheet(w, p, paper) }); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}

// summary prints what the plan comes to.
func summary(w io.Writer, p *plan.Plan) {
	style := p.Project.Shop.Style()
	l := func(x measure.Length) string { return measure.Format(x, style) }
	cur := money.Of(p.Project.Shop.Currency)
	show := func(d decimal.Decimal) string { return cur.Format(cur.Round(d)) }
	fmt.Fprintf(w, "%s\n", p.Project.Piece.Name)
	if !p.Drawable() {
		fmt.Fprintln(w, p.Failure())
		return
	}
	fmt.Fprintln(w, "\nParts")
	for _, sp := range p.Parts {
		if sp.N == 0 {
			continue
		}
		way := ""
		for _, pw := range p.Ways {
			if o, ok := pw.Choice(); ok && pw.Part == sp.ID {
				way = string(o.Way)
				if o.Rows > 1 {
					way = fmt.Sprintf("%s, %d rows", o.Way, o.Rows)
				}
			}
		}
		fmt.Fprintf(w, "  %-3s %2d x %-16s %s x %s x %s  (%s)\n", sp.Letter, sp.N, sp.Name, l(sp.L), l(sp.W), l(sp.T), way)
	}
	fmt.Fprintf(w, "\nCuts: %d boards, %s board feet, yield %.0f %%\n", len(p.Cuts.Boards), p.Ledger.Feet.StringFixed(1), 100*p.Ledger.Yield())
	if p.Cuts.Sentence != "" {
		fmt.Fprintf(w, "  %s\n", p.Cuts.Sentence)
	}
	for _, s := range p.Cuts.Short {
		if s.Say != "" {
			fmt.Fprintf(w, "  %s\n", s.Say)
		} else if b, ok := p.Blank(s.Blank); ok {
			fmt.Fprintf(w, "  Short of %d x %s, %s x %s x %s\n", s.Count, b.Name, l(b.Length), l(b.Width), l(b.Thickness))
		}
	}
	work := p.Work
	fmt.Fprintf(w, "\nWork: %d steps, %.1f h planned, %.1f h to go, %d set-up changes", len(work.Steps), p.Ledger.Target/60, p.Ledger.Left/60, work.Setups)
	if work.Saved > 0 {
		fmt.Fprintf(w, " (saves %.0f min against part by part)", work.Saved)
	}
	fmt.Fprintln(w)
	if !work.Timeline.Ready.IsZero() {
		fmt.Fprintf(w, "  ready by %s, %d sessions\n", work.Timeline.Ready.Format("2 January 2006"), len(work.Timeline.Sessions))
	}
	f := p.Ledger.Forecast
	fmt.Fprintf(w, "  likely %.0f to %.0f h in all\n", (f.P10+p.Ledger.Collect)/60, (f.P90+p.Ledger.Collect)/60)
	r := p.Ledger.Result
	fmt.Fprintf(w, "\nCost %s, price %s", show(p.Ledger.Costs.Total()), show(p.Ledger.Sale.Price))
	if r.PerHour.Valid {
		fmt.Fprintf(w, ", an hour earns about %s", show(r.PerHour.Decimal))
	}
	fmt.Fprintln(w)
	if len(p.Findings) > 0 {
		fmt.Fprintln(w, "\nFindings")
		for _, x := range p.Findings {
			fmt.Fprintf(w, "  %-4s  %s\n", x.Severity, x.Text)
			if x.Do != "" {
				fmt.Fprintf(w, "        %s\n", x.Do)
			}
		}
	}
}

// planJSON is the plan as printed for other programs: lengths in whole
// nanometres, money and areas as decimal text.
func planJSON(p *plan.Plan) map[string]any {
	var parts, blanks, boards, steps, findings []map[string]any
	for _, sp := range p.Parts {
		parts = append(parts, map[string]any{"mark": sp.Letter, "part": sp.Name, "copies": sp.N, "length_nm": sp.L, "width_nm": sp.W, "thickness_nm": sp.T})
	}
	for _, b := range p.Blanks {
		blanks = append(blanks, map[string]any{"blank": b.Key, "name": b.Name, "way": b.For, "count": b.Count, "length_nm": b.Length, "width_nm": b.Width, "thickness_nm": b.Thickness})
	}
	for _, cb := range p.Cuts.Boards {
		b, _ := p.Project.Board(cb.Board)
		var pieces []map[string]any
		for _, c := range cb.Pieces {
			pieces = append(pieces, map[string]any{"blank": c.Blank, "mark": c.Mark, "x_nm": c.X, "y_nm": c.Y, "length_nm": c.Length, "width_nm": c.Width})
		}
		boards = append(boards, map[string]any{"board": b.Mark, "pieces": pieces})
	}
	for _, s := range p.Work.Steps {
		steps = append(steps, map[string]any{"key": s.Key, "phase": s.Phase, "title": s.Title, "machine": s.Machine, "setup": s.Setup, "minutes": s.Minutes, "wait_minutes": s.Wait.Minutes(), "needs": s.Needs, "marks": s.Marks, "done": s.Done})
	}
	for _, f := range p.Findings {
		findings = append(findings, map[string]any{"code": f.Code, "severity": f.Severity.String(), "text": f.Text, "do": f.Do, "source": f.Source, "marks": f.Subject.Marks})
	}
	l := p.Ledger
	hourly := any(nil)
	if l.Result.PerHour.Valid {
		hourly = l.Result.PerHour.Decimal
	}
	return map[string]any{
		"piece": p.Project.Piece.Name, "parts": parts, "blanks": blanks, "boards": boards, "steps": steps, "findings": findings,
		"complete": len(p.Cuts.Short) == 0 && p.Drawable(), "proof": p.Cuts.Sentence, "proved": p.Cuts.Proved,
		"glue_ups": len(p.GlueUps), "joints": len(p.Frame.Joints), "assembly_stages": len(p.Frame.Build.Sequence.Stages),
		"minutes": map[string]any{"target": l.Target, "done": l.Done, "left": l.Left, "p10": l.Forecast.P10, "p50": l.Forecast.P50, "p90": l.Forecast.P90},
		"money":   map[string]any{"cost": l.Costs.Total(), "price": l.Sale.Price, "an_hour": hourly},
		"wood":    map[string]any{"boards": l.Boards, "opened_mm2": l.Wood.SquareMillimetres(), "yield": l.Yield()},
	}
}
