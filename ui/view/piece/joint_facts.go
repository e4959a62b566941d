package piece

import (
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// factColumns tell of a joint's first place what follows from its sizes.
func factColumns() []control.Column {
	fact := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Tip: tip}
	}
	return []control.Column{
		fact(lang.L("Blank longer"), 96, lang.L("what the entering part's blank needs beyond its shoulder")),
		fact(lang.L("Marked from"), 330, lang.L("from the end and the edge a maker measures from, on the part that receives")),
		fact(lang.L("Cut with"), 150, lang.L("the first tool the shop has for it")),
		fact(lang.L("Goes in"), 96, lang.L("the way the entering part goes home")),
		fact(lang.L("Glue area"), 110, lang.L("glued, long grain on long grain; end grain hardly counts")),
	}
}

// fact writes column n of factColumns for a joint made.
func (r *Room) fact(j plan.MadeJoint, n int) string {
	p := r.desk.Session().Plan().Project
	res := j.Result
	size := func(l measure.Length) string { return desk.Length(p, l) }
	switch n {
	case 0:
		if l := max(res.Added.Min, res.Added.Max); l > 0 {
			return size(l)
		}
	case 1:
		for _, m := range res.Marks {
			if !m.OnB {
				return lang.L("{{.end}} from the {{.endside}} end, {{.edge}} from the {{.edgeside}} side",
					locale.With{"end": size(m.FromEnd), "endside": sideName(m.End), "edge": size(m.FromEdge), "edgeside": sideName(m.Edge)})
			}
		}
	case 2:
		for _, m := range res.Methods {
			if !m.OnB || len(res.Mortises) == 0 {
				return toolName(m, size)
			}
		}
	case 3:
		return towards(res.Into)
	case 4:
		a := res.LongGrain.Measure()
		if res.LongGrain.IsZero() {
			return ""
		}
		if p.Shop.Inches {
			return lang.L("{{.area}} sq in", locale.With{"area": locale.Decimal(a.SquareInches(), 1)})
		}
		return lang.L("{{.area}} cm²", locale.With{"area": locale.Float(res.LongGrain.SquareMetres()*1e4, 1)})
	}
	return ""
}

// sideName names a side of the finished piece, seen from its front.
func sideName(d solid.Direction) string {
	return map[solid.Direction]string{solid.MinusX: lang.L("left"), solid.PlusX: lang.L("right"), solid.MinusY: lang.L("front"), solid.PlusY: lang.L("back"),
		solid.MinusZ: lang.L("lower"), solid.PlusZ: lang.L("upper")}[d]
}

// towards names a direction in the finished piece.
func towards(d solid.Direction) string {
	return map[solid.Direction]string{solid.MinusX: lang.L("to the left"), solid.PlusX: lang.L("to the right"), solid.MinusY: lang.L("to the front"), solid.PlusY: lang.L("to the back"),
		solid.MinusZ: lang.L("down"), solid.PlusZ: lang.L("upwards")}[d]
}

// toolName names the tool of a method and what is set into it.
func toolName(m joinery.Method, size func(measure.Length) string) string {
	switch m.Tool {
	case joinery.ByRouter:
		return lang.L("router, {{.size}} bit", locale.With{"size": size(m.Cutter)})
	case joinery.ByDado:
		return lang.L("table saw, {{.size}} stack", locale.With{"size": size(m.Cutter)})
	case joinery.ByMitre:
		return lang.L("mitre saw at its depth stop")
	case joinery.ByDrill:
		return lang.L("drill, {{.size}}", locale.With{"size": size(m.Cutter)})
	case joinery.ByChisel:
		return lang.L("chisel, {{.size}}", locale.With{"size": size(m.Cutter)})
	case joinery.BySaw:
		return lang.L("hand saw")
	}
	return strings.ReplaceAll(string(m.Tool), "-", " ")
}
