package plan

import (
	"cmp"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan/money"
	"pilewright/plan/trade"
)

// glueUse is the glue of the piece in the shop's air.
type glueUse struct {
	trade.Glue
	name   string
	clamp  time.Duration
	spread decimal.Decimal // ml for a square metre of joint
}

// glueData is the piece's glue at the shop's temperature.
func (m *making) glueData() glueUse {
	p := m.plan.Project
	g, ok := trade.GlueByID(cmp.Or(p.Piece.Glue, p.Shop.Glue))
	if !ok {
		g = trade.Glues[0]
	}
	g = g.At(p.Shop.TempC)
	return glueUse{Glue: g, name: g.Name, clamp: g.Clamp, spread: decimal.NewFromFloat(trade.GlueMillilitres(1)).Round(1)}
}

// openMinutes is how long a glued stage may take to put together.
func (m *making) openMinutes() int {
	g := m.glueData()
	return int((g.Open + g.Closed).Minutes())
}

// finishUse is the finish of the piece.
type finishUse struct {
	trade.Finish
	name     string
	coats    int
	coverage decimal.Decimal // m² for a litre and coat
	recoat   time.Duration
	cure     time.Duration
	rags     bool
	litres   float64 // a coat
}

func (m *making) finishData() finishUse {
	p := m.plan.Project
	f, ok := trade.FinishByID(cmp.Or(p.Piece.Finish, p.Shop.Finish))
	if !ok {
		f = trade.Finishes[0]
	}
	return finishUse{Finish: f, name: f.Name, coats: cmp.Or(p.Piece.Coats, f.Coats), coverage: decimal.NewFromFloat(trade.SquareMetresPerLitre(f.CoverageSqFt)).Round(4),
		recoat: f.Recoat, cure: f.Use, rags: f.Combustible, litres: f.Litres(m.area(), 1)}
}

// grits is the run of grits on bare wood: up to 180, or 220 under oil and
// water-based finish.
func (m *making) grits() []int {
	last := 180
	if f := m.finishData(); f.ID == "oil" || f.ID == "oil-wax" || f.ID == "poly-water" {
		last = 220
	}
	var out []int
	for _, g := range trade.Grits {
		if g.Number > 80 && g.Number <= last {
			out = append(out, g.Number)
		}
	}
	return out
}

// money writes an amount in the shop's currency.
func (m *making) money(d decimal.Decimal) string {
	return money.Of(m.plan.Project.Shop.Currency).Format(d)
}

// glueCautions are the cautions of every glue-up in the shop's air.
func (m *making) glueCautions() []string {
	if m.glueData().TooCold(m.plan.Project.Shop.TempC - warmMargin) {
		return []string{"cold-glue"}
	}
	return nil
}

// warmMargin is how close, in °C, the air may come to the glue's least temperature
// before the maker is warned: common practice, no source.
const warmMargin = 3
