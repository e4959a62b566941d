package shop

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
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
		return edit(d, "change "+what, func(s *plan.Shop) error {
			all := slices.Clone(*of(s))
			if row >= len(all) {
				if len(all) >= 200 {
					return errors.New("the list is full")
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
		d.Fail(edit(d, "delete "+what, func(s *plan.Shop) error {
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
	return field[T]{title, tip, width, func(_ *plan.Shop, t T) string { return *of(&t) }, func(_ *plan.Shop, t *T, v string) error {
		if len(allowed) > 0 {
			if err := oneOf(allowed...)(v); err != nil {
				return err
			}
		}
		if v == "" || len(v) > plan.MaxText {
			return errors.New("write a short text")
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
		return measure.Format(*of(&t), s.Style())
	}, func(s *plan.Shop, t *T, v string) error { return readLength(s, v, of(t)) }}
}

func numberField[T any](title, tip string, high float64, of func(*T) *float64) field[T] {
	return field[T]{title, tip, 100, func(_ *plan.Shop, t T) string { return strconv.FormatFloat(*of(&t), 'f', -1, 64) }, func(_ *plan.Shop, t *T, v string) error {
		if v == "" {
			v = "0"
		}
		return readNumber(v, 0, high, of(t))
	}}
}

var machineKinds = []string{"table-saw", "mitre-saw", "planer", "jointer", "router", "drill", "sander", "bench"}

func machines(d desk.Desk) *control.Grid {
	type T = plan.Machine
	return table(d, "machines", func(s *plan.Shop) *[]T { return &s.Machines }, T{ID: "new", Kind: "bench", Name: "machine"}, []field[T]{
		textField("Machine", "", 160, func(t *T) *string { return &t.Name }),
		textField("Kind", strings.Join(machineKinds, ", "), 100, func(t *T) *string { return &t.Kind }, machineKinds...),
		lengthField("Widest", "planer bed, rip capacity, crosscut reach; empty = no limit", func(t *T) *measure.Length { return &t.MaxWidth }),
		lengthField("Highest", "depth of cut, planer opening", func(t *T) *measure.Length { return &t.MaxHeight }),
		lengthField("Shortest", "safe length, from its manual", func(t *T) *measure.Length { return &t.MinLength }),
		lengthField("Thinnest", "from its manual", func(t *T) *measure.Length { return &t.MinThickness }),
		numberField("Change tool, min", "blade, stack, bit", 240, func(t *T) *float64 { return &t.ChangeTool }),
		numberField("Set fence, min", "fence or stop", 240, func(t *T) *float64 { return &t.ChangeFence }),
	})
}

func blades(d desk.Desk) *control.Grid {
	type T = plan.Blade
	return table(d, "blades", func(s *plan.Shop) *[]T { return &s.Blades }, T{ID: "new", Name: "blade", Machine: "table-saw", Use: "both", Kerf: measure.Inch / 8}, []field[T]{
		textField("Blade", "", 180, func(t *T) *string { return &t.Name }),
		textField("On", "", 110, func(t *T) *string { return &t.Machine }, machineKinds...),
		textField("For", "crosscut, rip, both or dado", 90, func(t *T) *string { return &t.Use }, "crosscut", "rip", "both", "dado"),
		lengthField("Kerf", "width of its cut; of a dado stack the least", func(t *T) *measure.Length { return &t.Kerf }),
		lengthField("Widest", "of a dado stack", func(t *T) *measure.Length { return &t.Widest }),
	})
}

func bits(d desk.Desk) *control.Grid {
	type T = plan.Bit
	return table(d, "bits", func(s *plan.Shop) *[]T { return &s.Bits }, T{Name: "bit", Use: "router", Diameter: measure.Inch / 4}, []field[T]{
		textField("Bit", "", 180, func(t *T) *string { return &t.Name }),
		textField("For", "router, drill or chisel", 100, func(t *T) *string { return &t.Use }, "router", "drill", "chisel"),
		lengthField("Across", "diameter, or width of a chisel", func(t *T) *measure.Length { return &t.Diameter }),
		lengthField("Cuts deep", "cutting length of a router bit", func(t *T) *measure.Length { return &t.Cut }),
	})
}

func clamps(d desk.Desk) *control.Grid {
	type T = plan.Clamp
	count := field[T]{"How many", "", 90, func(_ *plan.Shop, t T) string { return strconv.Itoa(t.Count) }, func(_ *plan.Shop, t *T, v string) error {
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 1000 {
			return fmt.Errorf("%q is not a number from 0 to 1000", v)
		}
		t.Count = n
		return nil
	}}
	return table(d, "clamps", func(s *plan.Shop) *[]T { return &s.Clamps }, T{Kind: "bar", Opening: 24 * measure.Inch, Count: 1}, []field[T]{
		textField("Clamps", "bar, pipe, F, spring", 140, func(t *T) *string { return &t.Kind }),
		lengthField("Open to", "", func(t *T) *measure.Length { return &t.Opening }), count,
		numberField("Force, lbf", "a firm hand gives", 10_000, func(t *T) *float64 { return &t.ForceLbf }),
	})
}
