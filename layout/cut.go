// Package layout joins the plan's nouns to the solvers: it turns a cutting job
// into a problem of package cutting and the answer back, and a glue-up into rows.
// What is cut and why is decided in plan; how well, in the sub-packages. Start at
// Cut and Compose.
package layout

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/layout/cutting"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// Effort of a quick plan and of a full search, in elementary operations (about
// 1e9 a second): a quick plan follows every keystroke.
const (
	quickWork = 2_000_000
	fullWork  = 3_000_000_000
	// mostFurther is how often it may be doubled.
	mostFurther = 8
)

// priceDigits is how many decimals of a board's price are kept exactly.
const priceDigits = 4

// Cut solves a cutting job; it is a plan.Cutter.
func Cut(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
	if hasSheets(job) {
		return cutWithSheets(ctx, job, better)
	}
	t := newTask(job)
	opt := cutting.Options{Work: fullWork << min(max(job.Further, 0), mostFurther)}
	if job.First {
		opt.Work = quickWork
	}
	if job.Effort > 0 {
		opt.Work = int64(job.Effort)
	}
	if better != nil {
		opt.Progress = func(p cutting.Progress) { better(t.cuts(p.Solution, false)) }
	}
	s, err := cutting.Solve(ctx, t.problem, opt)
	if err != nil {
		return plan.Cuts{}, t.faults(err)
	}
	if len(s.Boards) == 0 && errors.Is(ctx.Err(), context.DeadlineExceeded) {
		// The time was over before the first plan: a plan late is better than none.
		if s, err = cutting.Solve(context.WithoutCancel(ctx), t.problem, cutting.Options{Work: 1}); err != nil {
			return plan.Cuts{}, err
		}
	}
	c := t.cuts(s, true)
	c.Proof = &Proof{t.problem, s}
	c.Final = c.Final || errors.Is(ctx.Err(), context.DeadlineExceeded) // nothing will follow
	if !job.First {
		t.sayLack(ctx, s.Short, &c)
	}
	return c, nil
}

// Proof is a plan.Proof: a problem of package cutting and its solution.
type Proof struct {
	Problem  cutting.Problem
	Solution cutting.Solution
}

// Check implements plan.Proof.
func (p *Proof) Check(ctx context.Context) error {
	for _, v := range cutting.Check(p.Problem, p.Solution) {
		return errors.New(v.Say)
	}
	return cutting.CheckProof(ctx, p.Problem, p.Solution)
}

// CheckCuts reads a cutting plan against the rules of its job, by geometry alone;
// it is a plan.CutChecker.
func CheckCuts(job plan.CutJob, c plan.Cuts) []string {
	if hasSheets(job) {
		return checkWithSheets(job, c)
	}
	t := newTask(job)
	s, faults := t.solution(c)
	for _, v := range cutting.Check(t.problem, s) {
		who := ""
		if v.Board >= 0 && v.Board < len(job.Boards) {
			who = "board " + job.Boards[v.Board].Mark + ": "
		}
		faults = append(faults, who+v.Say)
	}
	return faults
}

// item says which blanks an item of the problem stands for.
type item struct {
	blank   int   // index in job.Blanks
	numbers []int // of the blank's copies
}

// task is a job with its problem. Blanks locked to boards are items of their own.
type task struct {
	job     plan.CutJob
	problem cutting.Problem
	items   []item
	boardAt map[plan.ID]int
}

func newTask(job plan.CutJob) *task {
	t := &task{job: job, boardAt: map[plan.ID]int{}}
	t.problem = cutting.Problem{CrosscutKerf: job.CrosscutKerf, RipKerf: job.RipKerf, MaxPlaneOff: job.PlaneLimit, MinSafeLength: job.MinLength, LeftoverMin: job.LeftoverMin}
	if job.WoodOnly {
		aims := cutting.DefaultAims()
		t.problem.Aims = aims[:slices.Index(aims, cutting.AimLeftovers)]
	}
	for i, b := range job.Boards {
		t.boardAt[b.ID] = i
		t.problem.Boards = append(t.problem.Boards, board(b, boardID(i)))
	}
	for _, c := range job.Choices {
		if i, ok := t.boardAt[c.Board]; ok && c.Kind == plan.NeverBoard {
			t.problem.Boards[i].Closed = true
		}
	}
	for i, b := range job.Blanks {
		t.addBlank(i, b)
	}
	return t
}

func boardID(i int) string { return strconv.Itoa(i + 1) }

func board(b plan.Board, id string) cutting.Board {
	out := cutting.Board{ID: id, Length: b.Length, Width: b.Width, Thickness: b.Thickness, TrimLeft: b.TrimLeft, TrimRight: b.TrimRight,
		Species: strings.ToLower(b.Species), Price: b.Price.Shift(priceDigits).Round(0).IntPart()}
	for _, d := range b.Defects {
		out.Defects = append(out.Defects, cutting.Defect{From: d.From, To: d.To, AcrossFrom: d.AcrossFrom, AcrossTo: d.AcrossTo, HiddenOK: d.Kind.HiddenMayHold()})
	}
	return out
}

// addBlank makes one item for a blank's free copies and one for each board that
// copies are locked to.
func (t *task) addBlank(i int, b plan.Blank) {
	if b.Strips != nil {
		t.addStrips(i, b)
		return
	}
	locked := map[int]plan.ID{}
	for _, c := range t.job.Choices {
		if _, there := t.boardAt[c.Board]; there && c.Kind == plan.BlankOnBoard && c.Blank == b.Key {
			locked[c.Row] = c.Board
		}
	}
	free := item{blank: i}
	byBoard := map[plan.ID]*item{}
	var order []plan.ID
	for n, left := 1, b.Count; left > 0; n++ {
		if slices.Contains(b.Done, n) {
			continue
		}
		left--
		on, ok := locked[n]
		if !ok {
			free.numbers = append(free.numbers, n)
			continue
		}
		if byBoard[on] == nil {
			byBoard[on] = &item{blank: i}
			order = append(order, on)
		}
		byBoard[on].numbers = append(byBoard[on].numbers, n)
	}
	put := func(it item, on string) {
		if len(it.numbers) == 0 {
			return
		}
		t.items = append(t.items, it)
		t.problem.Items = append(t.problem.Items, cutting.Item{ID: fmt.Sprintf("%s.%d", b.Key, len(t.items)), Length: b.Length, Width: b.Width, Thickness: b.Thickness,
			Species: strings.ToLower(b.Species), Hidden: b.Grade == plan.Hidden, Count: len(it.numbers), OnBoard: on})
	}
	put(free, "")
	for _, on := range order {
		put(*byBoard[on], boardID(t.boardAt[on]))
	}
}

// addStrips makes one item of a demand for strips.
func (t *task) addStrips(i int, b plan.Blank) {
	s := b.Strips
	it := cutting.Item{ID: fmt.Sprintf("%s.%d", b.Key, len(t.items)+1), Length: b.Length, Thickness: b.Thickness, Species: strings.ToLower(b.Species), Hidden: b.Grade == plan.Hidden,
		Cover: &cutting.Cover{Total: s.Total, Joint: s.Joint, Rows: s.Rows, Widths: s.Widths}}
	for _, c := range t.job.Choices {
		if k, there := t.boardAt[c.Board]; there && c.Kind == plan.BlankOnBoard && c.Blank == b.Key {
			it.OnBoard = boardID(k)
		}
	}
	t.items = append(t.items, item{blank: i})
	t.problem.Items = append(t.problem.Items, it)
}

// faults puts what is wrong with the problem into the job's nouns.
func (t *task) faults(err error) error {
	var list cutting.InputErrors
	if !errors.As(err, &list) {
		return err
	}
	var out plan.JobFaults
	for _, e := range list {
		f := plan.JobFault{Name: e.Row, Field: e.Field, Say: e.Say}
		switch {
		case e.Board > 0:
			b := t.job.Boards[e.Board-1]
			f.Board, f.Name = b.ID, "board "+b.Mark
		case e.Item > 0:
			b := t.job.Blanks[t.items[e.Item-1].blank]
			f.Blank, f.Name = b.Key, b.Name
		}
		out = append(out, f)
	}
	return out
}

// cuts turns a solution into the plan's nouns.
func (t *task) cuts(s cutting.Solution, final bool) plan.Cuts {
	out := plan.Cuts{Final: final && s.Status != cutting.Stopped, Settings: s.Setups}
	at := map[int]int{}
	used := make([]int, len(t.items))
	for _, o := range s.Boards {
		b := t.job.Boards[o.Board]
		cb := plan.CutBoard{Board: b.ID}
		trains := map[int]*plan.Divide{}
		var order []int
		for _, p := range o.Pieces {
			it := t.items[p.Item]
			bl := t.job.Blanks[it.blank]
			used[p.Item]++
			n := used[p.Item]
			if bl.Strips == nil {
				n = it.numbers[n-1]
			}
			c := plan.CutPiece{Blank: bl.Key, N: n, Mark: bl.Mark + strconv.Itoa(n), X: p.X, Y: p.Y, Length: p.Length, Width: p.Width}
			cb.Pieces = append(cb.Pieces, c)
			out.Used = out.Used.Add(measure.AreaOf(p.Length, p.Width))
			if p.Train > 0 {
				if trains[p.Train] == nil {
					trains[p.Train] = &plan.Divide{X: p.X}
					order = append(order, p.Train)
				}
				d := trains[p.Train]
				d.Length = max(d.Length, p.X+p.Length-d.X)
				d.Marks = append(d.Marks, c.Mark)
			}
		}
		for _, k := range order {
			trains[k].Length = max(trains[k].Length, t.job.MinLength)
			cb.Divide = append(cb.Divide, *trains[k])
		}
		for _, l := range o.Leftovers {
			cb.Leftovers = append(cb.Leftovers, plan.Rect{X: l.X, Y: l.Y, Length: l.Length, Width: l.Width})
		}
		at[o.Board] = len(out.Boards)
		out.Boards = append(out.Boards, cb)
		out.Wood = out.Wood.Add(measure.AreaOf(b.Length, b.Width))
		out.Money = out.Money.Add(b.Price)
	}
	for _, c := range s.Cuts {
		if i, ok := at[c.Board]; ok {
			cb := &out.Boards[i]
			cb.Saws = append(cb.Saws, plan.Saw{Rip: c.Machine == cutting.Rip, At: c.At, From: c.From, To: c.To, Stop: c.Setting, Group: c.Setup, Mark: freed(cb, c), Parting: c.Parting})
		}
	}
	t.short(s, &out)
	t.levels(s, &out)
	return out
}

// freed names the blanks that a cut frees at its near side.
func freed(cb *plan.CutBoard, c cutting.Cut) string {
	var marks []string
	if c.Machine == cutting.Crosscut && !c.Parting {
		for _, d := range cb.Divide {
			i := slices.IndexFunc(cb.Pieces, func(p plan.CutPiece) bool { return slices.Contains(d.Marks, p.Mark) })
			if i >= 0 && d.X+d.Length == c.At && cb.Pieces[i].Y < c.To && cb.Pieces[i].Y+cb.Pieces[i].Width > c.From {
				marks = append(marks, d.Marks...)
			}
		}
	}
	for _, p := range cb.Pieces {
		if slices.Contains(marks, p.Mark) {
			continue
		}
		end, lo, hi := p.X+p.Length, p.Y, p.Y+p.Width
		if c.Machine == cutting.Rip {
			end, lo, hi = p.Y+p.Width, p.X, p.X+p.Length
		}
		if end == c.At && lo < c.To && hi > c.From {
			marks = append(marks, p.Mark)
		}
	}
	return strings.Join(marks, " ")
}

func (t *task) short(s cutting.Solution, out *plan.Cuts) {
	for _, x := range s.Short {
		bl := t.job.Blanks[t.items[x.Item].blank]
		i := slices.IndexFunc(out.Short, func(o plan.Short) bool { return o.Blank == bl.Key })
		if i < 0 {
			out.Short = append(out.Short, plan.Short{Blank: bl.Key})
			i = len(out.Short) - 1
		}
		out.Short[i].Count += x.Count
		if c := t.problem.Items[x.Item].Cover; c != nil {
			out.Short[i].Width = c.Unit() * measure.Length(x.Count)
		}
	}
	proof := len(s.Levels) > 0 && s.Levels[0].Proved
	for i := range out.Short {
		out.Short[i].Proof = proof
	}
}

// levels puts the aims, their values and bounds into the plan's words.
func (t *task) levels(s cutting.Solution, out *plan.Cuts) {
	out.Proved = len(s.Levels) > 0
	for _, l := range s.Levels {
		v := decimal.NewFromInt(l.Value).Mul(decimal.NewFromInt(l.Unit))
		b := decimal.NewFromInt(l.Bound).Mul(decimal.NewFromInt(l.Unit))
		lv := plan.Level{Name: l.Aim.String(), Proved: l.Proved}
		switch l.Aim {
		case cutting.AimMade:
			lv.Kind = plan.LevelMade
		case cutting.AimKept:
			continue // no board is marked to be kept only if possible
		case cutting.AimMoney:
			lv.Kind = plan.LevelMoney
			v, b = v.Shift(-priceDigits), b.Shift(-priceDigits)
		case cutting.AimWood:
			lv.Kind = plan.LevelWood
			v, b = v.Shift(-12), b.Shift(-12)
		case cutting.AimBoards:
			lv.Kind = plan.LevelBoards
		case cutting.AimLeftovers:
			if t.problem.LeftoverMin == 0 {
				continue
			}
			lv.Kind = plan.LevelLeftovers
			grain := decimal.NewFromInt(int64(t.problem.Grain() / measure.Millimetre)).Pow(decimal.NewFromInt(3))
			v, b = v.Mul(grain), b.Mul(grain)
		case cutting.AimSetups:
			lv.Kind = plan.LevelSetups
		case cutting.AimCuts:
			lv.Kind = plan.LevelCuts
		}
		lv.Value, lv.Bound = v, t.floor(lv.Kind, b, out)
		lv.Proved = lv.Proved || lv.Value.Equal(lv.Bound)
		out.Levels = append(out.Levels, lv)
		switch lv.Kind {
		case plan.LevelLeftovers, plan.LevelSetups, plan.LevelCuts: // the same boards all the same
		default:
			out.Proved = out.Proved && lv.Proved
		}
	}
	out.Sentence = sentence(out)
}

// floor raises a bound to what anyone can see: a plan that makes every blank opens
// at least the wood of the blanks, and at least as many boards as that wood fills
// of the largest.
func (t *task) floor(kind plan.LevelKind, bound decimal.Decimal, c *plan.Cuts) decimal.Decimal {
	if len(c.Short) > 0 {
		return bound
	}
	used := c.Used.SquareMillimetres()
	switch kind {
	case plan.LevelWood:
		return decimal.Max(bound, used)
	case plan.LevelBoards:
		largest := decimal.Zero
		for _, b := range t.job.Boards {
			largest = decimal.Max(largest, measure.AreaOf(b.Length, b.Width).SquareMillimetres())
		}
		if largest.IsPositive() {
			return decimal.Max(bound, used.Div(largest).Ceil())
		}
	}
	return bound
}

// solution reads the plan's nouns back for the checker. Faults are what can't even
// be put in its terms.
func (t *task) solution(c plan.Cuts) (cutting.Solution, []string) {
	var s cutting.Solution
	var faults []string
	made := make([]int, len(t.items))
	met := make([]measure.Length, len(t.items)) // of strips
	seen := map[string]bool{}
	for _, cb := range c.Boards {
		i, ok := t.boardAt[cb.Board]
		if !ok {
			faults = append(faults, fmt.Sprintf("board %d is not in the job", cb.Board))
			continue
		}
		o := cutting.Opened{Board: i}
		for _, p := range cb.Pieces {
			k := slices.IndexFunc(t.items, func(it item) bool {
				b := t.job.Blanks[it.blank]
				return b.Key == p.Blank && (b.Strips != nil || slices.Contains(it.numbers, p.N))
			})
			if k < 0 {
				faults = append(faults, fmt.Sprintf("blank %s number %d is not in the job", p.Blank, p.N))
				continue
			}
			if seen[p.Ref()] {
				faults = append(faults, fmt.Sprintf("blank %s number %d is cut twice", p.Blank, p.N))
			}
			seen[p.Ref()] = true
			made[k]++
			if s := t.job.Blanks[t.items[k].blank].Strips; s != nil {
				met[k] += p.Width - s.Joint
			}
			train := 1 + slices.IndexFunc(cb.Divide, func(d plan.Divide) bool { return slices.Contains(d.Marks, p.Mark) })
			o.Pieces = append(o.Pieces, cutting.Piece{Item: k, Copy: made[k], X: p.X, Y: p.Y, Length: p.Length, Width: p.Width, Train: train})
		}
		for _, l := range cb.Leftovers {
			o.Leftovers = append(o.Leftovers, cutting.Rect{X: l.X, Y: l.Y, Length: l.Length, Width: l.Width})
		}
		s.Boards = append(s.Boards, o)
	}
	told, short := map[string]int{}, map[string]int{}
	for _, x := range c.Short {
		told[x.Blank] += x.Count
	}
	for k, it := range t.items {
		n := len(it.numbers) - made[k]
		if c := t.problem.Items[k].Cover; c != nil && c.Rows > 0 {
			n = c.Rows - made[k]
		} else if c != nil {
			n = int((c.Total - met[k] + c.Unit() - 1) / c.Unit())
		}
		if n > 0 {
			s.Short = append(s.Short, cutting.Shortfall{Item: k, Count: n})
			short[t.job.Blanks[it.blank].Key] += n
		}
	}
	for _, b := range t.job.Blanks {
		if told[b.Key] != short[b.Key] {
			faults = append(faults, fmt.Sprintf("of blank %s %d lack, %d are told", b.Key, short[b.Key], told[b.Key]))
		}
	}
	return s, faults
}

// Tools are the solvers and checkers the plan is made with.
func Tools(today time.Time) plan.Tools {
	return plan.Tools{Cut: Cut, Check: CheckCuts, Compose: Compose, Today: today}
}
