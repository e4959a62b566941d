// Package sheet writes the build sheet: the printed document a piece is built
// from, its pages in the order of work. It decides which page says what; how
// things are drawn is in layout/figure and layout/drawing, what is planned in
// plan. It also writes the plan as CSV and lists its figures. Start at Write.
package sheet

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"time"

	"pilewright/layout/drawing/pdf"
	"pilewright/plan"
	"pilewright/plan/words"
)

// Options say what of the sheet is written, and on what.
type Options struct {
	Paper    string          // letter or a4; anything else takes the shop's, else A4
	Pages    map[string]bool // by Page.ID; nil = every page
	Language *words.Language // nil = English
	Now      string          // the day of printing, YYYY-MM-DD, for the foot and the file's date
	Revision string          // stands on every page; empty = Revision of the plan
	// Progress, where it is set, is told on the writer's goroutine which page is
	// begun, the how-manieth of how many; an error it gives ends the writing.
	Progress func(title string, n, of int) error
}

// Page is one kind of page that can be chosen.
type Page struct{ ID, Title string }

// Errors of a sheet that can't be written.
var (
	ErrNoPlan  = errors.New("there is no plan to print yet")
	ErrNoPages = errors.New("no page of the build sheet is chosen")
)

type chapter struct {
	Page
	write func(*book)
}

// chapters are the pages in the order of work.
var chapters = []chapter{
	{Page{"cover", "Cover and targets"}, (*book).cover},
	{Page{"cautions", "Cautions"}, (*book).cautions},
	{Page{"pile", "Boards to pull"}, (*book).pile},
	{Page{"cuts", "Cuts"}, (*book).cuts},
	{Page{"parts", "Parts and joints"}, (*book).parts},
	{Page{"glue-ups", "Glue-ups"}, (*book).glueUps},
	{Page{"assembly", "Marks and assembly"}, (*book).assembly},
	{Page{"steps", "Steps by session"}, (*book).steps},
	{Page{"shopping", "Shopping list"}, (*book).shopping},
	{Page{"labels", "Labels"}, (*book).labels},
	{Page{"ledger", "Ledger"}, (*book).ledger},
}

// Pages lists the pages that can be chosen, in their order on paper.
func Pages() []Page {
	out := make([]Page, len(chapters))
	for i, c := range chapters {
		out[i] = c.Page
	}
	return out
}

// Write writes the sheet of a plan as PDF: the same bytes for the same plan and
// options. A plan with nothing cut, or of a piece that can't be sized, still
// gives a true sheet that says what is wrong. Errors: ErrNoPlan, ErrNoPages,
// those of Progress, and the writer's.
func Write(w io.Writer, p *plan.Plan, opt Options) error {
	d, err := lay(p, opt)
	if err != nil {
		return err
	}
	return d.Write(w)
}

// lay sets the pages.
func lay(p *plan.Plan, opt Options) (*pdf.Document, error) {
	if p == nil || p.Project == nil {
		return nil, ErrNoPlan
	}
	var chosen []chapter
	for _, c := range chapters {
		if opt.Pages == nil || opt.Pages[c.ID] {
			chosen = append(chosen, c)
		}
	}
	if len(chosen) == 0 {
		return nil, ErrNoPages
	}
	if opt.Revision == "" {
		opt.Revision = Revision(p)
	}
	p = p.In(opt.Language)
	b := newBook(p, opt)
	for i, c := range chosen {
		if opt.Progress != nil {
			if err := opt.Progress(p.Words.Word(c.Title), i+1, len(chosen)); err != nil {
				return nil, err
			}
		}
		b.Break()
		b.Turn(false)
		if !p.Drawable() && c.ID != "cover" {
			b.Heading(1, c.Title)
			b.Text("The piece can't be sized, so there is nothing to show here.")
			b.Document.Warning(p.Failure())
			continue
		}
		c.write(b)
	}
	return b.Document, nil
}

// book is a sheet being written.
type book struct {
	*pdf.Document
	p *plan.Plan
}

func newBook(p *plan.Plan, opt Options) *book {
	paper := pdf.A4
	if opt.Paper == "letter" || opt.Paper != "a4" && p.Project.Shop.Paper == "letter" {
		paper = pdf.Letter
	}
	created, err := time.Parse(time.DateOnly, opt.Now)
	b := &book{p: p}
	foot := b.t("Build sheet")
	if err == nil {
		foot = b.f("Build sheet, printed %s", b.day(created))
	} else {
		created = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	foot += "  ·  " + b.t(unit(p)) + "; " + b.t("≈ is rounded")
	b.Document = pdf.NewDocument(pdf.Options{Paper: paper, Title: name(p), Revision: opt.Revision, Note: foot, Created: created,
		Language: p.Words.Tag(),
		Number:   func(n, of int) string { return b.f("page %d of %d", n, of) }})
	return b
}

// unit says what the figures of the sheet are in.
func unit(p *plan.Plan) string {
	if p.Project.Shop.Inches {
		return "sizes in inches"
	}
	return "sizes in mm"
}

// name is the piece's name, or what stands for it.
func name(p *plan.Plan) string {
	if n := strings.TrimSpace(p.Project.Piece.Name); n != "" {
		return n
	}
	return p.Words.Format("Piece without a name")
}

// Revision names a state of the plan by eight signs: sheets with the same ones
// show the same sizes, cuts and steps.
func Revision(p *plan.Plan) string {
	h := fnv.New32a()
	keys := make([]string, len(p.Work.Steps))
	for i, s := range p.Work.Steps {
		keys[i] = fmt.Sprint(s.Key, s.Minutes, s.Done)
	}
	short := make([]string, len(p.Cuts.Short)) // what is said of it depends on the language
	for i, s := range p.Cuts.Short {
		short[i] = fmt.Sprint(s.Blank, s.Count)
	}
	for _, g := range p.GlueUps {
		for _, r := range g.Panel.Rows {
			for _, q := range r.Pieces {
				if text := strings.Join(q.Lies(g.Way), ", "); text != "" {
					keys = append(keys, g.Key+" "+q.Strip+" "+text)
				}
			}
		}
	}
	// None of these can fail to be written as JSON.
	_ = json.NewEncoder(h).Encode([]any{p.Project.Piece, p.Project.Measures, p.Project.Parts, p.Project.Joints, p.Project.Shop, p.Project.Choices, p.Project.Ready, p.Cuts.Boards, short, keys})
	sum := fmt.Sprintf("%08x", h.Sum32())
	return "plan " + sum[:4] + "-" + sum[4:]
}
