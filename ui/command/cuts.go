package command

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// cutsHelp tells what the files of the command cuts hold.
const cutsHelp = `pilewright cuts  -boards B.csv -parts P.csv [flags]

  -unit in|mm            of numbers without a unit, and of what is printed (in)
  -crosscut-kerf 1/8in   -rip-kerf 1/8in    what the blades take
  -plane-limit 1/4in     most that a thicker board may be planed down (no limit)
  -shortest 12in         shortest piece that may go through the planer; shorter
                         blanks leave the saw together and are parted later (none)
  -leftover 8in          shortest leftover worth keeping (none)
  -effort 2s             longest search for a better plan and its proof
  -check-proof           have the proof reckoned anew, apart from the search; it
                         takes some seconds, of large jobs minutes; sheets are
                         left out of it
  -json                  the answer for programs

Both files are CSV in UTF-8 with a heading; columns may stand in any order.
Boards: length, width, thickness; and, where there is something to say, board
(its mark), count, species, price, trim_left, trim_right, defects, faces, sheet,
keep.
  defects  split, crack, knot, nail, wane or stain, where it lies along the board
           and, after a colon, across it: nail@2..2 1/2:0..1; split@0..3
  sheet    yes for plywood and the like, "no grain" where parts may be turned
  keep     yes for a board that is kept whole
Parts: length, width; and part (its name), count, thickness, species, grade
(show or hidden: only hidden ones may hold stain and nail holes), board (the mark
of the one board to cut it from), sheet (yes: from sheet goods). In place of count
and width a part may be strips of any of several widths: widths (2 1/2; 3; 3 1/2)
with total (the width they make together, less a joint for each strip) or rows.
Of boards with a count, B1 (2) is the second.

Exit status: 0 done, 1 the job can't be fully done, 2 bad input or usage.
`

// cutFlags are the flags of the command cuts that are lengths, and what they say.
type cutFlags struct {
	unit measure.Unit
	set  *flag.FlagSet
}

// length reads a flag that is a length from nothing to most.
func (f cutFlags) length(name string, most measure.Length) (measure.Length, error) {
	l, err := measure.Parse(f.set.Lookup(name).Value.String(), f.unit)
	if err != nil {
		return 0, badUse("cuts: -%s: %v", name, err)
	}
	if l < 0 || l > most {
		return 0, badUse("cuts: -%s must be from nothing to %s", name, measure.ExactIn(most, f.unit))
	}
	return l, nil
}

// cuts plans blanks from boards of two CSV files.
func cuts(ctx context.Context, args []string, env Env) error {
	set := newSet("cuts")
	boards, parts := set.String("boards", "", ""), set.String("parts", "", "")
	unitName := set.String("unit", "in", "")
	for name, usual := range map[string]string{"crosscut-kerf": "1/8in", "rip-kerf": "1/8in", "plane-limit": "0", "shortest": "0", "leftover": "0"} {
		set.String(name, usual, "")
	}
	effort := set.Duration("effort", 2*time.Second, "")
	asJSON, checkProof := set.Bool("json", false, ""), set.Bool("check-proof", false, "")
	if err := flags(set, args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(env.Stdout, cutsHelp)
			return nil
		}
		return err
	}
	if err := need(set, "boards", "parts"); err != nil {
		return err
	}
	if *effort <= 0 || *effort > time.Hour {
		return badUse("cuts: -effort must be more than nothing and at most 1h")
	}
	f := cutFlags{measure.Inches, set}
	switch *unitName {
	case "in":
	case "mm":
		f.unit = measure.Millimetres
	default:
		return badUse("cuts: -unit must be in or mm")
	}
	c := cutting{unit: f.unit, boardsFile: *boards, partsFile: *parts, boards: map[plan.ID]cutBoard{}, parts: map[string]int{}}
	c.job.Say = c.say
	for _, x := range []struct {
		name string
		to   *measure.Length
		most measure.Length
	}{{"crosscut-kerf", &c.job.CrosscutKerf, 2 * measure.Inch}, {"rip-kerf", &c.job.RipKerf, 2 * measure.Inch}, {"plane-limit", &c.job.PlaneLimit, plan.SizeLimit},
		{"shortest", &c.job.MinLength, plan.SizeLimit}, {"leftover", &c.job.LeftoverMin, plan.SizeLimit}} {
		var err error
		if *x.to, err = f.length(x.name, x.most); err != nil {
			return err
		}
	}
	if err := c.read(env.Stderr); err != nil {
		return err
	}
	began := env.Now()
	limited, cancel := context.WithTimeout(ctx, *effort)
	defer cancel()
	tools := env.Tools(&plan.Project{})
	c.job.Effort = int(*effort / time.Nanosecond)
	answer, err := tools.Cut(limited, c.job, nil)
	var faults plan.JobFaults
	if errors.As(err, &faults) {
		return c.rows(faults)
	}
	if err != nil {
		return err
	}
	if faults := tools.Check(c.job, answer); len(faults) > 0 {
		return &plan.CheckError{What: "cuts", Faults: faults}
	}
	if *checkProof {
		if err := c.check(ctx, answer); err != nil {
			return err
		}
	}
	if *asJSON {
		if err := json.NewEncoder(env.Stdout).Encode(c.json(answer, env.Now().Sub(began).Seconds())); err != nil {
			return err
		}
	} else {
		c.print(env.Stdout, answer)
	}
	if len(answer.Short) > 0 {
		return errShort
	}
	return nil
}

// cutting is the job of two CSV files, and what of it stands where.
type cutting struct {
	job                   plan.CutJob
	unit                  measure.Unit
	boardsFile, partsFile string
	boards                map[plan.ID]cutBoard
	parts                 map[string]int // rows, by Blank.Key
	checked               bool           // the proof, anew
	told                  string         // of the check
}

// check has the proof reckoned anew.
func (c *cutting) check(ctx context.Context, a plan.Cuts) error {
	if a.Proof == nil {
		c.told = "No proof could be checked: sheets are left out of it, and no board is cut."
		return nil
	}
	err := a.Proof.Check(ctx)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("the proof does not hold: %w", err)
	}
	c.checked, c.told = true, "The proof was reckoned anew, in whole numbers and apart from the search: it holds."
	if slices.ContainsFunc(c.job.Boards, func(b plan.Board) bool { return b.Sheet }) {
		c.told += " Sheets are left out of it."
	}
	return nil
}

// cutBoard is a board of the file: its mark, which of its count, its row.
type cutBoard struct {
	mark string
	copy int
	row  int
}

func (c *cutting) say(l measure.Length) string { return measure.ExactIn(l, c.unit) }

// read reads both files.
func (c *cutting) read(stderr io.Writer) error {
	var list []plan.CSVBoard
	if err := readFile(c.boardsFile, func(r io.Reader) (err error) { list, err = plan.ReadBoards(r, c.unit); return err }); err != nil {
		return err
	}
	var blanks []plan.CSVBlank
	if err := readFile(c.partsFile, func(r io.Reader) (err error) { blanks, err = plan.ReadBlanks(r, c.unit); return err }); err != nil {
		return err
	}
	marks := map[string][]plan.ID{}
	kept := map[string]bool{}
	next := plan.ID(0)
	for _, b := range list {
		if say := b.Spoiled(); say != "" {
			fmt.Fprintf(stderr, "%s: row %d, defects: board %s: %s.\n", c.boardsFile, b.Row, b.Mark, say)
		}
		if b.State == plan.Kept {
			kept[strings.ToLower(b.Mark)] = true
			continue
		}
		for n := range b.Count {
			board := b.Board
			next++
			board.ID = next
			c.boards[board.ID] = cutBoard{b.Mark, n + 1, b.Row}
			c.job.Boards = append(c.job.Boards, board)
			mark := strings.ToLower(b.Mark)
			marks[mark] = append(marks[mark], board.ID)
			if one := fmt.Sprintf("%s (%d)", mark, n+1); marks[one] == nil {
				marks[one] = []plan.ID{board.ID}
			}
		}
	}
	var faults []error
	for _, b := range blanks {
		c.parts[b.Key] = b.Row
		c.job.Blanks = append(c.job.Blanks, b.Blank)
		if b.Board == "" {
			continue
		}
		on := marks[strings.ToLower(b.Board)]
		say := ""
		switch {
		case kept[strings.ToLower(b.Board)]:
			say = fmt.Sprintf("board %s is kept whole", b.Board)
		case len(on) == 0:
			say = fmt.Sprintf("there is no board %s in %s", b.Board, c.boardsFile)
		case len(on) > 1:
			say = fmt.Sprintf("there are %d boards %s; write %s (1) for the first of them", len(on), b.Board, b.Board)
		}
		if say != "" {
			faults = append(faults, fmt.Errorf("%s: %w", c.partsFile, &plan.RowError{Row: b.Row, Field: "board", Say: say}))
			continue
		}
		for n := range max(b.Count, 1) {
			c.job.Choices = append(c.job.Choices, plan.Choice{Kind: plan.BlankOnBoard, Blank: b.Key, Row: n + 1, Board: on[0]})
		}
	}
	return errors.Join(faults...)
}

// cutFields are the columns of what the solver calls fields.
var cutFields = map[string]string{"left trim": "trim_left", "right trim": "trim_right", "cover": "widths", "crosscut kerf": "-crosscut-kerf", "rip kerf": "-rip-kerf",
	"most planed off": "-plane-limit", "shortest safe length": "-shortest", "shortest leftover": "-leftover"}

// rows says of each fault in which row of which file it stands.
func (c *cutting) rows(faults plan.JobFaults) error {
	var out []error
	told := map[string]bool{}
	for _, x := range faults {
		field := x.Field
		if f, ok := cutFields[field]; ok {
			field = f
		}
		if strings.HasPrefix(field, "defect ") {
			field = "defects"
		}
		err := fmt.Errorf("%s, %s: %s", x.Name, field, x.Say)
		switch {
		case strings.HasPrefix(field, "-"):
			err = badUse("cuts: %s: %s", field, x.Say)
		case x.Board != 0:
			err = fmt.Errorf("%s: %w", c.boardsFile, &plan.RowError{Row: c.boards[x.Board].row, Field: field, Say: x.Say})
		case x.Blank != "":
			err = fmt.Errorf("%s: %w", c.partsFile, &plan.RowError{Row: c.parts[x.Blank], Field: field, Say: x.Say})
		}
		if told[err.Error()] { // of another board of the same row
			continue
		}
		told[err.Error()] = true
		if len(out) == mostRows {
			out = append(out, errors.New("and more"))
			break
		}
		out = append(out, err)
	}
	return errors.Join(out...)
}

// mostRows is how many faulty rows are told at once.
const mostRows = 20

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
