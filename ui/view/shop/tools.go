package shop

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/wood"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// field is one column of a table of tools.
type field[T any] struct {
	title, tip string
	width      float32
	get        func(s *plan.Shop, t T) string
	set        func(s *plan.Shop, t *T, v string) error
}

// table shows one of the shop's lists; fresh makes the row that typing adds.
func table[T any](d desk.Desk, what string, of func(*plan.Shop) *[]T, fresh T, fields []field[T]) *control.Grid {
	list := func() []T { s := d.Session().Project().Shop; return *of(&s) }
	var columns []control.Column
	for _, f := range fields {
		columns = append(columns, control.Column{Title: f.title, Width: f.width, Tip: f.tip, Editable: true})
	}
	g := control.NewGrid(columns, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		all := list()
		if row >= len(all) {
			return "", control.CellState{}
		}
		s := d.Session().Project().Shop
		return fields[col].get(&s, all[row]), control.CellState{Bold: col == 0}
	})
	g.CanAdd, g.OnMessage = true, d.Say
	g.Commit = func(row, col int, text string) error {
		return edit(d, lang.L("change {{.setting}}", locale.With{"setting": what}), func(s *plan.Shop) error {
			all := slices.Clone(*of(s))
			if row >= len(all) {
				if len(all) >= 200 {
					return locale.Error("the list is full")
				}
				all = append(all, fresh)
				row = len(all) - 1
			}
			if err := fields[col].set(s, &all[row], strings.TrimSpace(text)); err != nil {
				return err
			}
			*of(s) = all
			return nil
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(edit(d, lang.L("delete {{.tools}}", locale.With{"tools": what}), func(s *plan.Shop) error {
			var kept []T
			for i, t := range *of(s) {
				if !slices.Contains(rows, i) {
					kept = append(kept, t)
				}
			}
			*of(s) = kept
			return nil
		}))
	}
	return g
}

func textField[T any](title, tip string, width float32, of func(*T) *string, allowed ...string) field[T] {
	return field[T]{title, tip, width, func(_ *plan.Shop, t T) string {
		if len(allowed) > 0 {
			return locale.Word(*of(&t))
		}
		return *of(&t)
	}, func(_ *plan.Shop, t *T, v string) error {
		if len(allowed) > 0 {
			v = locale.ID(v, allowed...)
			if err := oneOf(allowed...)(v); err != nil {
				return err
			}
		}
		if v == "" || len(v) > plan.MaxText {
			return locale.Error("write a short text")
		}
		*of(t) = v
		return nil
	}}
}

func lengthField[T any](title, tip string, of func(*T) *measure.Length) field[T] {
	return field[T]{title, tip, 100, func(s *plan.Shop, t T) string {
		if *of(&t) == 0 {
			return ""
		}
		return locale.Length(*of(&t), s.Style())
	}, func(s *plan.Shop, t *T, v string) error { return readLength(s, v, of(t)) }}
}

func numberField[T any](title, tip string, high float64, of func(*T) *float64) field[T] {
	return field[T]{title, tip, 100, func(_ *plan.Shop, t T) string { return locale.Float(*of(&t), -1) }, func(_ *plan.Shop, t *T, v string) error {
		if v == "" {
			v = "0"
		}
		return readNumber(v, 0, high, of(t))
	}}
}

// forceField is a force kept in lbf, written and read as the shop measures or in
// the unit that is typed behind it.
func forceField[T any](title, tip string, of func(*T) *float64) field[T] {
	home := func(s *plan.Shop) (unit string, per float64, places int) {
		if s.Inches {
			return "lbf", 1, -1
		}
		return "kN", wood.NewtonPerLbf / 1000, 2
	}
	return field[T]{title, tip, 100, func(s *plan.Shop, t T) string {
		if *of(&t) == 0 {
			return ""
		}
		unit, per, places := home(s)
		return locale.Float(*of(&t)*per, places) + " " + unit
	}, func(s *plan.Shop, t *T, v string) error {
		_, per, _ := home(s)
		for unit, p := range map[string]float64{"lbf": 1, "kN": wood.NewtonPerLbf / 1000, "N": wood.NewtonPerLbf} {
			if number, ok := strings.CutSuffix(v, unit); ok && strings.TrimLeft(number, "0123456789.,  ") == "" {
				v, per = strings.TrimSpace(number), p
			}
		}
		if v == "" {
			v = "0"
		}
		var n float64
		if err := readNumber(v, 0, math.Floor(10_000*per), &n); err != nil {
			return err
		}
		*of(t) = n / per
		return nil
	}}
}

var machineKinds = []string{"table-saw", "mitre-saw", "planer", "jointer", "router", "drill", "sander", "bench"}

func machines(d desk.Desk) *control.Grid {
	type T = plan.Machine
	return table(d, lang.L("machines"), func(s *plan.Shop) *[]T { return &s.Machines }, T{ID: "new", Kind: "bench", Name: lang.L("machine")}, []field[T]{
		textField(lang.L("Machine"), "", 160, func(t *T) *string { return &t.Name }),
		textField(lang.L("Kind"), strings.Join(locale.WordsOf(machineKinds...), ", "), 100, func(t *T) *string { return &t.Kind }, machineKinds...),
		lengthField(lang.L("Widest"), lang.L("planer bed, rip capacity, crosscut reach; empty = no limit"), func(t *T) *measure.Length { return &t.MaxWidth }),
		lengthField(lang.L("Highest"), lang.L("depth of cut, planer opening"), func(t *T) *measure.Length { return &t.MaxHeight }),
		lengthField(lang.L("Shortest"), lang.L("safe length, from its manual"), func(t *T) *measure.Length { return &t.MinLength }),
		lengthField(lang.L("Thinnest"), lang.L("from its manual"), func(t *T) *measure.Length { return &t.MinThickness }),
		numberField(lang.L("Change tool, min"), lang.L("blade, stack, bit"), 240, func(t *T) *float64 { return &t.ChangeTool }),
		numberField(lang.L("Set fence, min"), lang.L("fence or stop"), 240, func(t *T) *float64 { return &t.ChangeFence }),
	})
}

func blades(d desk.Desk) *control.Grid {
	type T = plan.Blade
	return table(d, lang.L("blades"), func(s *plan.Shop) *[]T { return &s.Blades }, T{ID: "new", Name: lang.L("blade"), Machine: "table-saw", Use: "both", Kerf: measure.Inch / 8}, []field[T]{
		textField(lang.L("Blade"), "", 180, func(t *T) *string { return &t.Name }),
		textField(lang.L("On"), "", 110, func(t *T) *string { return &t.Machine }, machineKinds...),
		textField(lang.L("For"), lang.L("crosscut, rip, both or dado"), 90, func(t *T) *string { return &t.Use }, "crosscut", "rip", "both", "dado"),
		lengthField(lang.L("Kerf"), lang.L("width of its cut; of a dado stack the least"), func(t *T) *measure.Length { return &t.Kerf }),
		lengthField(lang.L("Widest"), lang.L("of a dado stack"), func(t *T) *measure.Length { return &t.Widest }),
	})
}

func bits(d desk.Desk) *control.Grid {
	type T = plan.Bit
	return table(d, lang.L("bits"), func(s *plan.Shop) *[]T { return &s.Bits }, T{Name: lang.L("bit"), Use: "router", Diameter: measure.Inch / 4}, []field[T]{
		textField(lang.L("Bit"), "", 180, func(t *T) *string { return &t.Name }),
		textField(lang.L("For"), lang.L("router, drill or chisel"), 100, func(t *T) *string { return &t.Use }, "router", "drill", "chisel"),
		lengthField(lang.L("Across"), lang.L("diameter, or width of a chisel"), func(t *T) *measure.Length { return &t.Diameter }),
		lengthField(lang.L("Cuts deep"), lang.L("cutting length of a router bit"), func(t *T) *measure.Length { return &t.Cut }),
	})
}

func clamps(d desk.Desk) *control.Grid {
	type T = plan.Clamp
	count := field[T]{lang.L("How many"), "", 90, func(_ *plan.Shop, t T) string { return strconv.Itoa(t.Count) }, func(_ *plan.Shop, t *T, v string) error {
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 1000 {
			return locale.Error("“{{.v}}” is not a number from 0 to 1000", locale.With{"v": v})
		}
		t.Count = n
		return nil
	}}
	return table(d, lang.L("clamps"), func(s *plan.Shop) *[]T { return &s.Clamps }, T{Kind: lang.L("bar"), Opening: 24 * measure.Inch, Count: 1}, []field[T]{
		textField(lang.L("Clamps"), lang.L("bar, pipe, F, spring"), 140, func(t *T) *string { return &t.Kind }),
		lengthField(lang.L("Open to"), "", func(t *T) *measure.Length { return &t.Opening }), count,
		forceField(lang.L("Force"), lang.L("a firm hand gives; lbf, N or kN"), func(t *T) *float64 { return &t.ForceLbf }),
	})
}
