package plan_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/plantest"
)

// hostileTexts are what a damaged file or a slip of the hand may put where a size,
// a number or a name is expected.
var hostileTexts = []string{"", " ", "0", "-3 in", "1e9", "1/0", "1 nm", "100 m", "101 m", "9223372036854775807", "height", "loop_a", "nothing", "((((((1", "3 1/2", "2*length", "length/7",
	"length - length", "1 pcs", "2000 pcs", "2001 pcs", "-1 pcs", "0.5", "%d%s%v", "\x00\xff", "“”", strings.Repeat("(", 5000), strings.Repeat("9", 5000), "=cmd()", "½", "1 in + 1 pcs", "0.0001 mm", "600 mm"}

var hostileNames = []string{"", "leg", "%d %s %v", "\x00\xff\xfe", strings.Repeat("long ", 4000), "<script>", "a\nb\tc", "ÄÖÜ ½", "=1+1"}

// project makes a project of a seed: a starting point or parts strewn about, a pile
// of its own, and a few things changed at random, some of them for the worse.
func project(t testing.TB, seed uint64) *plan.Project {
	r := rand.New(rand.NewPCG(seed, 1))
	p := &plan.Project{Shop: plan.DefaultShop(), NextID: 1}
	p.Shop.Inches = r.IntN(3) > 0
	randomPile(r, p)
	if ids := startIDs(t); r.IntN(3) > 0 {
		id := ids[r.IntN(len(ids))]
		p = p.NewPiece(readStart(t, id), id)
	} else {
		p = strewn(r, p)
	}
	for range r.IntN(6) {
		spoil(r, p)
	}
	return p
}

// spoiltProject is project with up to four things more spoilt, whatever they are.
func spoiltProject(t testing.TB, seed uint64) *plan.Project {
	p := project(t, seed)
	r := rand.New(rand.NewPCG(seed, 2))
	for range r.IntN(5) {
		spoilAnything(r, reflect.ValueOf(p).Elem())
	}
	return p
}

// spoilAnything goes down to any one thing in v and puts something hostile there,
// of what a record can hold.
func spoilAnything(r *rand.Rand, v reflect.Value) {
	switch v.Addr().Interface().(type) {
	case *decimal.Decimal:
		v.Set(reflect.ValueOf(pickOf(r, decimal.Zero, decimal.New(-5, 0), decimal.New(1, 30), decimal.New(1, -30), decimal.New(3, -1))))
		return
	case *time.Time:
		v.Set(reflect.ValueOf(pickOf(r, time.Time{}, time.Unix(0, 0), time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC), toyTools.Today.Add(-time.Hour), toyTools.Today.AddDate(5, 0, 0))))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		f := v.Type().Field(r.IntN(v.NumField()))
		if f.Name != "NextID" && f.IsExported() {
			spoilAnything(r, v.FieldByIndex(f.Index))
		}
	case reflect.Array:
		spoilAnything(r, v.Index(r.IntN(v.Len())))
	case reflect.Slice:
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		if n := v.Len(); n == 0 || r.IntN(6) == 0 {
			more := reflect.New(v.Type().Elem()).Elem()
			if n > 0 && r.IntN(2) == 0 {
				more.Set(v.Index(r.IntN(n))) // with the number of the one it copies
			}
			v.Set(reflect.Append(v, more))
		}
		spoilAnything(r, v.Index(r.IntN(v.Len())))
	case reflect.Pointer:
		if v.IsNil() || r.IntN(4) == 0 {
			v.Set(reflect.New(v.Type().Elem()))
		}
		spoilAnything(r, v.Elem())
	case reflect.String:
		v.SetString(pickOf(r, pickOf(r, hostileTexts...), pickOf(r, hostileNames...), strings.ToUpper(v.String()), ""))
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Float64:
		v.SetFloat(pickOf(r, -1e308, -1, 0, 1e-308, 0.5, 1, 1e308))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		if x := pickOf(r, math.MinInt64, -1, 0, 1, 2, 7, int64(measure.Inch), math.MaxInt64, v.Int()+1, -v.Int()); !v.OverflowInt(x) {
			v.SetInt(x)
		}
	}
}

func pickOf[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

func randomPile(r *rand.Rand, p *plan.Project) {
	const in = measure.Inch
	lot := plan.Lot{ID: p.Take(), Name: pickOf(r, hostileNames...), Minutes: r.IntN(300), Spent: decimal.New(int64(r.IntN(9000)), -2)}
	p.Lots = []plan.Lot{lot}
	for range r.IntN(25) {
		b := plan.Board{ID: p.Take(), Lot: lot.ID, Mark: fmt.Sprint(len(p.Boards) + 1), Length: measure.Length(20+r.IntN(70)) * in, Width: measure.Length(4+r.IntN(16)) * in / 2,
			Thickness: pickOf(r, in/2, 5*in/8, in, 7*in/4), Species: pickOf(r, "", "pine", "oak"), Price: decimal.New(int64(r.IntN(500)), -2)}
		if r.IntN(3) == 0 {
			b.Defects = []plan.Defect{{Kind: plan.Knot, From: 5 * in, To: 8 * in, AcrossFrom: in, AcrossTo: 2 * in}}
		}
		p.Boards = append(p.Boards, b)
	}
}

// strewn makes a piece of parts put anywhere, with joints between any of them.
func strewn(r *rand.Rand, p *plan.Project) *plan.Project {
	s := plan.Start{ID: "strewn", Name: "Strewn"}
	size := func(most int) string { return fmt.Sprintf("%d/16 in", 1+r.IntN(16*most)) }
	for i := range 1 + r.IntN(5) {
		part := plan.Part{Name: fmt.Sprintf("part %d", i), Length: size(40), Width: size(8), Thickness: size(2), Grade: pickOf(r, plan.Show, plan.Hidden),
			Role: pickOf(r, plan.RoleLeg, plan.RoleRail, plan.RoleSlat, plan.RoleTop, plan.RoleShelf, plan.RoleSide, plan.Role(""))}
		for range r.IntN(4) {
			along := plan.Axis(r.IntN(3))
			at := func() string { return fmt.Sprintf("%d/4 in", r.IntN(80)) }
			part.Copies = append(part.Copies, plan.Copy{X: at(), Y: at(), Z: at(), Along: along, Thick: (along + 1 + plan.Axis(r.IntN(2))) % 3, Repeat: fmt.Sprint(1 + r.IntN(3)), StepX: size(9), StepZ: size(9)})
		}
		s.Parts = append(s.Parts, part)
	}
	p = p.NewPiece(s, "strewn")
	for range r.IntN(5) {
		randomJoint(r, p)
	}
	return p
}

func randomJoint(r *rand.Rand, p *plan.Project) {
	if len(p.Parts) == 0 {
		return
	}
	a, b := p.Parts[r.IntN(len(p.Parts))].ID, p.Parts[r.IntN(len(p.Parts))].ID
	j := plan.Joint{ID: p.Take(), Piece: p.Piece.ID, A: plan.CopyRef{Part: a, Index: r.IntN(3)}, B: plan.CopyRef{Part: b}, Kind: pickOf(r, append([]plan.JointKind{"no such joint"}, joinery.Kinds...)...),
		Round: r.IntN(2) == 0, RoundTenon: r.IntN(2) == 0, Dry: r.IntN(3) == 0, Count: pickOf(r, 0, 0, 2, -1, 1_000_000)}
	if r.IntN(2) == 0 {
		j.Depth = pickOf(r, hostileTexts...)
	}
	if r.IntN(3) == 0 {
		j.Offset, j.Thickness = pickOf(r, hostileTexts...), pickOf(r, hostileTexts...)
	}
	p.Joints = append(slices.Clone(p.Joints), j)
}

// spoil changes one thing.
func spoil(r *rand.Rand, p *plan.Project) {
	text, name := pickOf(r, hostileTexts...), pickOf(r, hostileNames...)
	switch k := r.IntN(18); {
	case k == 0 && len(p.Measures) > 0:
		p.Measures[r.IntN(len(p.Measures))].Text = text
	case k == 1 && len(p.Measures) > 0:
		p.Measures[r.IntN(len(p.Measures))].Name = name
	case k == 2: // a circle
		p.Measures = append(p.Measures, plan.Measure{ID: p.Take(), Name: "loop_a", Text: "loop_b + 1 in"}, plan.Measure{ID: p.Take(), Name: "loop_b", Text: "loop_a"})
	case k == 3 && len(p.Parts) > 0:
		s := &p.Parts[r.IntN(len(p.Parts))]
		*pickOf(r, &s.Length, &s.Width, &s.Thickness) = text
	case k == 4 && len(p.Parts) > 0:
		s := &p.Parts[r.IntN(len(p.Parts))]
		s.Name, s.Species, s.Note = name, pickOf(r, hostileNames...), name
		s.Way = pickOf(r, plan.Solid, plan.Laminated, plan.FlatPanel, plan.OnEdge, plan.Way("none"))
	case k == 5 && len(p.Parts) > 0:
		s := &p.Parts[r.IntN(len(p.Parts))]
		if len(s.Copies) > 0 {
			c := &s.Copies[r.IntN(len(s.Copies))]
			*pickOf(r, &c.X, &c.Y, &c.Z, &c.Repeat, &c.StepX) = text
			if r.IntN(4) == 0 {
				c.Along = plan.Axis(r.IntN(9) - 3)
			}
		}
	case k == 6:
		randomJoint(r, p)
	case k == 7 && len(p.Boards) > 0:
		b := &p.Boards[r.IntN(len(p.Boards))]
		*pickOf(r, &b.Length, &b.Width, &b.Thickness, &b.TrimLeft, &b.TrimRight) = pickOf(r, measure.Length(0), -1, 1, 100*measure.Metre, math.MaxInt64, math.MinInt64)
		b.Mark = name
	case k == 8 && len(p.Boards) > 0:
		b := &p.Boards[r.IntN(len(p.Boards))]
		b.Defects = append(b.Defects, plan.Defect{Kind: plan.DefectKind(name), From: measure.Length(r.Int64()) - math.MaxInt64/2, To: measure.Length(r.Int64()) - math.MaxInt64/2, AcrossFrom: -5, AcrossTo: 3})
		b.Faces, b.Rings = plan.GoodFaces(pickOf(r, "", "a", "none", name)), plan.Rings(pickOf(r, "", "up", "upright", name))
		b.Price = pickOf(r, decimal.New(-5, 0), decimal.New(1, 30), decimal.New(1, -30))
	case k == 9: // times
		p.Steps = append(p.Steps, plan.StepEdit{ID: p.Take(), Key: pickOf(r, "nails", "nails#2", "joint#3", "dry-fit", "mine", "coat/1"), Split: pickOf(r, nil, []float64{1, 1}, []float64{-3, 0, 1e300, 2}), Own: r.IntN(2) == 0, Title: name, Phase: plan.Phase(pickOf(r, "mill", "", "none")), Machine: pickOf(r, "bench", "planer", name),
			Minutes: pickOf(r, 0, 10, -5, math.MaxInt), Wait: pickOf(r, 0, 60, -5, math.MaxInt), After: pickOf(r, "", "dry-fit", "deliver", "mine"), Needs: []string{pickOf(r, "deliver", "nails", "mine", "no")}, Done: r.IntN(4) == 0})
	case k == 10:
		for d := range p.Shop.Hours {
			p.Shop.Hours[d] = pickOf(r, nil, []plan.Window{{From: -5, To: 99999}}, []plan.Window{{From: 600, To: 600}}, []plan.Window{{From: 900, To: 600}}, []plan.Window{{From: 0, To: 1440}, {From: 0, To: 1440}}, []plan.Window{{From: 600, To: 601}})
		}
	case k == 11:
		s := &p.Shop
		*pickOf(r, &s.TempC, &s.Humidity, &s.WoodMoisture, &s.HomeMoisture, &s.SeasonSwing) = pickOf(r, -1e308, 1e308, -5, 0, 1000)
		*pickOf(r, &s.LengthAllowance, &s.WidthAllowance, &s.PlaneAllowance, &s.PlaneLimit, &s.LeftoverMin, &s.CleanUp, &s.PieceMin, &s.Stagger, &s.StepLimit) = pickOf(r, measure.Length(0), -1, math.MaxInt64, math.MinInt64, measure.Metre)
	case k == 12:
		s := &p.Shop
		*pickOf(r, &s.GluePrice, &s.FinishCost, &s.SandCost, &s.PowerCost, &s.WishHourly, &s.FeeRate, &s.FeeFixed, &s.Delivery, &s.TaxRate, &p.Piece.Price, &p.Piece.WishHourly) =
			pickOf(r, decimal.New(-5, 0), decimal.New(1, 30), decimal.New(1, -30), decimal.New(1, 0), decimal.Zero)
		s.Currency, s.TimeZone, s.Glue, s.Finish = pickOf(r, "", "USD", name), pickOf(r, "", "Europe/Berlin", name), pickOf(r, "", name), pickOf(r, "", name)
	case k == 13:
		s := &p.Shop
		switch r.IntN(5) {
		case 0:
			s.Machines = nil
		case 1:
			s.Blades = nil
		case 2:
			s.Bits = nil
		case 3:
			s.Clamps = pickOf(r, nil, []plan.Clamp{{Kind: name, Opening: -1, Count: math.MaxInt}}, []plan.Clamp{{Kind: "bar", Opening: measure.Inch, Count: -3}})
		default:
			for i := range s.Machines {
				s.Machines[i].MaxWidth, s.Machines[i].ChangeTool = pickOf(r, measure.Length(-1), 1, math.MaxInt64), pickOf(r, -1.0, 1e308)
			}
		}
		s.Denominator = pickOf(r, 0, -1, 3, 64, math.MaxInt)
	case k == 14:
		p.Log = append(p.Log, plan.Entry{ID: p.Take(), Piece: pickOf(r, 0, p.Piece.ID, 99), Phase: plan.PhaseMill, Step: "nails", Seconds: pickOf(r, int64(0), -1, 60, math.MaxInt64), Rate: pickOf(r, "", "sand", "none"), Quantity: pickOf(r, 0, -1, 1, 1e308, 1e-308), Note: name})
		p.Expenses = append(p.Expenses, plan.Expense{ID: p.Take(), Piece: p.Piece.ID, Kind: name, What: name, Amount: decimal.New(1, 30), Share: decimal.New(-1, 0)})
	case k == 15:
		q := &p.Piece
		q.Start, q.Due = pickOf(r, "", "0001-01-01", "9999-12-31", name), pickOf(r, "", "2026-04-01", "9999-12-31", name)
		q.LostDays, q.Coats, q.LoadKG = pickOf(r, 0, 3, -1, math.MaxInt), pickOf(r, 0, 2, -1, math.MaxInt), pickOf(r, 0, 50, -1, 1e308)
		q.Hardware = []plan.Hardware{{Name: name, Count: pickOf(r, 1, -1, math.MaxInt), Each: decimal.New(1, 30)}}
	case k == 16:
		p.Choices = append(p.Choices, plan.Choice{ID: p.Take(), Kind: pickOf(r, plan.BlankOnBoard, plan.NeverBoard, plan.RowPlace, plan.RingsMark), Rings: plan.Rings(pickOf(r, "", "down", name)), AnyFace: r.IntN(2) == 0, Blank: pickOf(r, "1/row#1", name), Board: plan.ID(r.IntN(40)), Row: pickOf(r, 0, -1, 1, math.MaxInt)})
	case k == 17 && len(p.Parts) > 0:
		p.Ready = append(p.Ready, plan.ReadyBlank{ID: p.Take(), Board: plan.ID(r.IntN(40)), Cut: plan.CutPiece{Blank: fmt.Sprintf("%d/%s", p.Parts[0].ID, pickOf(r, "solid", "row", "none")), N: pickOf(r, 1, 0, -1, math.MaxInt)}})
	}
}

// mostText is the length, in bytes, that no text of a plan may pass.
const mostText = 4_000

// checkPlanIsFit has every number of a plan finite, every text bounded and every
// finding a sentence.
func checkPlanIsFit(t *testing.T, made *plan.Plan) {
	t.Helper()
	for _, f := range made.Findings {
		text := strings.TrimSpace(f.Text)
		if text == "" || !strings.HasSuffix(text, ".") {
			t.Errorf("%s is no sentence: %q", f.Code, f.Text)
		}
		if f.Code == "" || f.Subject.Room == "" {
			t.Errorf("a finding without a code or a room: %+v", f)
		}
		if f.Do != "" && !strings.HasSuffix(f.Do, ".") {
			t.Errorf("%s: what to do is no sentence: %q", f.Code, f.Do)
		}
	}
	if len(made.Findings) > 2_000 {
		t.Errorf("%d findings", len(made.Findings))
	}
	seen := map[uintptr]bool{}
	var walk func(at string, v reflect.Value)
	walk = func(at string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Float64:
			if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
				t.Errorf("%s is %v", at, f)
			}
		case reflect.String:
			s := v.String()
			if len(s) > mostText {
				t.Errorf("%s has %d bytes", at, len(s))
			}
			for _, bad := range []string{"%!", "NaN", "+Inf", "-Inf"} {
				if strings.Contains(s, bad) {
					t.Errorf("%s reads %q", at, s)
				}
			}
		case reflect.Pointer, reflect.Interface:
			if v.Kind() == reflect.Pointer && !v.IsNil() {
				if seen[v.Pointer()] {
					return
				}
				seen[v.Pointer()] = true
			}
			if !v.IsNil() {
				walk(at, v.Elem())
			}
		case reflect.Struct:
			if v.Type() == reflect.TypeFor[time.Time]() || v.Type() == reflect.TypeFor[decimal.Decimal]() || v.Type() == reflect.TypeFor[plan.Project]() {
				return
			}
			for i := range v.NumField() {
				name := v.Type().Field(i).Name
				switch at + "." + name { // the maker's own texts, as they were entered
				case "plan.Parts.Part", "plan.Frame.Joints.Rule":
					continue
				}
				walk(at+"."+name, v.Field(i))
			}
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(at, v.Index(i))
			}
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(at, v.MapIndex(k))
			}
		}
	}
	walk("plan", reflect.ValueOf(made).Elem())
}

// checkMake plans a project and checks every plan that is published.
func checkMake(t *testing.T, p *plan.Project) *plan.Plan {
	t.Helper()
	made, err := plan.Make(context.Background(), p, toyTools, func(better *plan.Plan) {
		if better.Project != p {
			t.Error("the published plan is of another project")
		}
	})
	if err != nil {
		t.Fatalf("no plan: %v", err)
	}
	checkPlanIsFit(t, made)
	return made
}

func FuzzMake(f *testing.F) {
	for seed := range uint64(5) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { checkMake(t, spoiltProject(t, seed)) })
}

func TestAnyProjectGivesAPlanOfSentencesAndFiniteNumbers(t *testing.T) {
	n := uint64(40)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		n = 4_000
	}
	planned := 0
	for seed := range n {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			if made := checkMake(t, spoiltProject(t, 1000+seed)); made.Drawable() {
				planned++
			}
		})
	}
	if planned < int(n)/4 {
		t.Errorf("only %d of %d projects could be sized: the generator is too hostile to test anything", planned, n)
	}
}

func TestCancellingReturnsAtOnceWithAPlanOrNone(t *testing.T) {
	p := demoProject(t)
	for after := range 4 {
		ctx, cancel := context.WithCancel(context.Background())
		seen := 0
		tools := toyTools
		tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
			if seen == after {
				cancel()
			}
			seen++
			return plantest.Cut(ctx, job, better)
		}
		made, err := plan.Make(ctx, p, tools, func(*plan.Plan) {
			if ctx.Err() != nil {
				t.Error("a plan was published after cancelling")
			}
		})
		if err != nil && !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at cut %d: %v", after, err)
		}
		if err == nil && made == nil {
			t.Errorf("cancelled at cut %d: neither plan nor error", after)
		}
		if seen > after+2 {
			t.Errorf("cancelled at cut %d, %d cuts were made", after, seen)
		}
		cancel()
	}
}
