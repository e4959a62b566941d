package command

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// cuts plans blanks from boards of two CSV files.
func cuts(ctx context.Context, args []string, env Env) error {
	set := newSet("cuts")
	boards, parts := set.String("boards", "", ""), set.String("parts", "", "")
	cross, rip := set.String("crosscut-kerf", "1/8in", ""), set.String("rip-kerf", "1/8in", "")
	effort := set.Duration("effort", 2*time.Second, "")
	asJSON := set.Bool("json", false, "")
	if err := flags(set, args); err != nil {
		return err
	}
	if err := need(set, "boards", "parts"); err != nil {
		return err
	}
	if *effort <= 0 || *effort > time.Hour {
		return badUse("cuts: -effort must be more than nothing and at most 1h")
	}
	job := plan.CutJob{}
	var err error
	if job.CrosscutKerf, err = kerf("crosscut-kerf", *cross); err != nil {
		return err
	}
	if job.RipKerf, err = kerf("rip-kerf", *rip); err != nil {
		return err
	}
	var list []plan.CSVBoard
	if err := readFile(*boards, func(r io.Reader) (err error) { list, err = plan.ReadBoards(r); return err }); err != nil {
		return err
	}
	if err := readFile(*parts, func(r io.Reader) (err error) { job.Blanks, err = plan.ReadBlanks(r); return err }); err != nil {
		return err
	}
	names := map[plan.ID]boardName{}
	for _, b := range list {
		if say := b.Spoiled(); say != "" {
			fmt.Fprintf(env.Stderr, "board %s, defects: %s.\n", b.Mark, say)
		}
		for n := range b.Count {
			board := b.Board
			board.ID = plan.ID(len(job.Boards) + 1)
			names[board.ID] = boardName{b.Mark, n + 1}
			job.Boards = append(job.Boards, board)
		}
	}
	began := env.Now()
	limited, cancel := context.WithTimeout(ctx, *effort)
	defer cancel()
	tools := env.Tools(&plan.Project{})
	job.Effort = int(*effort / time.Nanosecond)
	c, err := tools.Cut(limited, job, nil)
	if err != nil {
		return err
	}
	if faults := tools.Check(job, c); len(faults) > 0 {
		return &plan.CheckError{What: "cuts", Faults: faults}
	}
	seconds := env.Now().Sub(began).Seconds()
	if *asJSON {
		if err := json.NewEncoder(env.Stdout).Encode(cutsJSON(job, c, names, seconds)); err != nil {
			return err
		}
	} else {
		printCuts(env.Stdout, job, c, names)
	}
	if len(c.Short) > 0 {
		return errShort
	}
	return nil
}

func kerf(name, text string) (measure.Length, error) {
	k, err := measure.Parse(text, measure.Inches)
	if err != nil {
		return 0, badUse("cuts: -%s: %v", name, err)
	}
	if k < 0 || k > 2*measure.Inch {
		return 0, badUse("cuts: -%s must be from nothing to 2 in", name)
	}
	return k, nil
}

func readFile(path string, read func(io.Reader) error) error {
	f, err := os.Open(path)
	if err != nil {
		var p *os.PathError
		if errors.As(err, &p) {
			return fmt.Errorf("%s can't be read: %v", path, p.Err)
		}
		return err
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// boardName is a board of the file: its mark and which of its count.
type boardName struct {
	mark string
	copy int
}

type cutsOut struct {
	Complete bool            `json:"complete"`
	Short    []shortOut      `json:"short"`
	Boards   []boardOut      `json:"boards"`
	Opened   int             `json:"boards_opened"`
	Wood     decimal.Decimal `json:"wood_opened_mm2"`
	Price    decimal.Decimal `json:"price"`
	Bound    boundOut        `json:"bound"`
	Proved   bool            `json:"proved"`
	Seconds  float64         `json:"seconds"`
}

type shortOut struct {
	Part  string `json:"part"`
	Count int    `json:"count"`
}

type boundOut struct {
	Price decimal.Decimal `json:"price"`
	Wood  decimal.Decimal `json:"wood_opened_mm2"`
}

type rectOut struct {
	X      measure.Length `json:"x_nm"`
	Y      measure.Length `json:"y_nm"`
	Length measure.Length `json:"length_nm"`
	Width  measure.Length `json:"width_nm"`
}

type pieceOut struct {
	Part string `json:"part"`
	Copy int    `json:"copy"`
	rectOut
}

type boardOut struct {
	Board     string     `json:"board"`
	Copy      int        `json:"copy"`
	Pieces    []pieceOut `json:"pieces"`
	Leftovers []rectOut  `json:"leftovers"`
}

// cutsJSON is the answer in the form of the contract. proved is true only when
// money and wood both meet their bounds.
func cutsJSON(job plan.CutJob, c plan.Cuts, names map[plan.ID]boardName, seconds float64) cutsOut {
	out := cutsOut{Complete: len(c.Short) == 0, Short: []shortOut{}, Boards: []boardOut{}, Opened: len(c.Boards), Wood: c.Wood.SquareMillimetres(), Price: c.Money, Seconds: seconds, Proved: true}
	for _, s := range c.Short {
		out.Short = append(out.Short, shortOut{s.Blank, s.Count})
	}
	for _, cb := range c.Boards {
		n := names[cb.Board]
		b := boardOut{Board: n.mark, Copy: n.copy, Pieces: []pieceOut{}, Leftovers: []rectOut{}}
		for _, p := range cb.Pieces {
			b.Pieces = append(b.Pieces, pieceOut{p.Blank, p.N, rectOut{p.X, p.Y, p.Length, p.Width}})
		}
		for _, l := range cb.Leftovers {
			b.Leftovers = append(b.Leftovers, rectOut{l.X, l.Y, l.Length, l.Width})
		}
		out.Boards = append(out.Boards, b)
	}
	seen := map[plan.LevelKind]bool{}
	for _, l := range c.Levels {
		seen[l.Kind] = true
		switch l.Kind {
		case plan.LevelMade:
			out.Proved = out.Proved && l.Proved
		case plan.LevelMoney:
			out.Bound.Price = l.Bound
			out.Proved = out.Proved && l.Proved
		case plan.LevelWood:
			out.Bound.Wood = l.Bound
			out.Proved = out.Proved && l.Proved
		}
	}
	out.Proved = out.Proved && seen[plan.LevelMoney] && seen[plan.LevelWood]
	return out
}

func printCuts(w io.Writer, job plan.CutJob, c plan.Cuts, names map[plan.ID]boardName) {
	for _, cb := range c.Boards {
		n := names[cb.Board]
		fmt.Fprintf(w, "%s (%d)\n", n.mark, n.copy)
		for _, p := range cb.Pieces {
			fmt.Fprintf(w, "  %-10s at %s across %s: %s x %s\n", fmt.Sprintf("%s.%d", p.Blank, p.N), measure.Exact(p.X), measure.Exact(p.Y), measure.Exact(p.Length), measure.Exact(p.Width))
		}
		for _, l := range cb.Leftovers {
			fmt.Fprintf(w, "  leftover   at %s: %s x %s\n", measure.Exact(l.X), measure.Exact(l.Length), measure.Exact(l.Width))
		}
	}
	for _, s := range c.Short {
		fmt.Fprintf(w, "Short: %d x %s %s\n", s.Count, s.Blank, s.Say)
	}
	printSaws(w, c, names)
	boards := "boards"
	if len(c.Boards) == 1 {
		boards = "board"
	}
	fmt.Fprintf(w, "%d %s, %s mm² opened, price %s. %s\n", len(c.Boards), boards, c.Wood.SquareMillimetres().Round(0), c.Money, c.Sentence)
}

// printSaws lists the cuts in order, those of one set-up together.
func printSaws(w io.Writer, c plan.Cuts, names map[plan.ID]boardName) {
	type line struct {
		board boardName
		saw   plan.Saw
	}
	var all []line
	for _, cb := range c.Boards {
		for _, s := range cb.Saws {
			all = append(all, line{names[cb.Board], s})
		}
	}
	slices.SortStableFunc(all, func(a, b line) int { return a.saw.Group - b.saw.Group })
	for i, l := range all {
		if i == 0 || all[i-1].saw.Group != l.saw.Group {
			machine, at := "crosscut", "to a mark"
			if l.saw.Rip {
				machine = "rip"
			}
			if l.saw.Stop > 0 {
				at = "stop or fence at " + measure.Exact(l.saw.Stop)
			}
			fmt.Fprintf(w, "Set-up %d: %s, %s\n", l.saw.Group, machine, at)
		}
		frees := ""
		if l.saw.Mark != "" {
			frees = ", frees " + l.saw.Mark
		}
		fmt.Fprintf(w, "  %s (%d) at %s%s\n", l.board.mark, l.board.copy, measure.Exact(l.saw.At), frees)
	}
}
