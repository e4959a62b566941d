package ledger

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/cost"
	"pilewright/plan/forecast"
	"pilewright/ui/locale"
)

// chartWidth is the width of a chart on paper, in millimetres.
const chartWidth = 240

// draw shows the chart chosen.
func (r *Room) draw() {
	p, opt := r.plan(), drawing.Options{Width: chartWidth, Words: locale.Plan()}
	var pic *drawing.Picture
	switch slices.Index(chartNames(), r.which.Selected) {
	case chartCost:
		pic = drawing.MakeUp(makeUp(p), opt)
	case chartHour:
		pic = drawing.Curve(hourCurve(p), opt)
	case chartForecast:
		pic = drawing.Range(closingIn(p, r.now().Location()), opt)
	case chartPieces:
		pic = drawing.TargetsAndActuals(pieceBars(r.pieces), opt)
	default:
		pic = drawing.TargetsAndActuals(phaseBars(p.Ledger), opt)
	}
	r.view.SetPicture(pic)
}

// phaseBars are the phases' targets against what they took.
func phaseBars(l plan.Ledger) []drawing.Against {
	var out []drawing.Against
	for _, t := range l.Phases {
		if t.Target < 0.5 && t.Done < 0.5 {
			continue
		}
		text := lang.L("{{.done}} of {{.target}}", locale.With{"done": minutes(t.Done), "target": minutes(t.Target)})
		out = append(out, drawing.Against{Ref: "phase:" + string(t.Phase), Label: locale.Word(string(t.Phase)), Target: t.Target, Actual: t.Done, Text: text, Running: t.Left > 0.5,
			Hover: lang.L("{{.phase}}: target {{.target}}, taken {{.done}}, to go {{.left}}", locale.With{"phase": locale.Word(string(t.Phase)), "target": minutes(t.Target), "done": minutes(t.Done), "left": minutes(t.Left)})})
	}
	return out
}

// pieceBars are the pieces' planned hours against the logged ones.
func pieceBars(list []pieceLine) []drawing.Against {
	var out []drawing.Against
	for _, l := range list {
		text := minutes(l.logged)
		if l.planned > 0 {
			text = lang.L("{{.done}} of {{.target}}", locale.With{"done": text, "target": minutes(l.planned)})
		}
		out = append(out, drawing.Against{Ref: fmt.Sprintf("piece:%d", l.id), Label: l.name, Target: l.planned, Actual: l.logged, Text: text, Running: !l.done, Hover: l.name + ": " + text})
	}
	return out
}

// makeUp is the cost and its parts, with the price marked.
func makeUp(p *plan.Plan) drawing.MakeUpView {
	l := p.Ledger
	v := drawing.MakeUpView{Title: lang.L("What the cost is made of")}
	var kinds []string
	sums := map[string]decimal.Decimal{}
	for _, x := range l.Lines {
		if !slices.Contains(kinds, x.Kind) {
			kinds = append(kinds, x.Kind)
		}
		sums[x.Kind] = sums[x.Kind].Add(x.Amount)
	}
	for _, k := range kinds {
		amount := show(p.Project, sums[k])
		v.Shares = append(v.Shares, drawing.Share{Ref: "kind:" + k, Label: k, Text: amount, Hover: k + ": " + amount, Value: sums[k].InexactFloat64()})
	}
	if l.Sale.Price.IsPositive() {
		v.Mark, v.Text = l.Sale.Price.InexactFloat64(), lang.L("price {{.amount}}", locale.With{"amount": show(p.Project, l.Sale.Price)})
	}
	return v
}

// curvePoints is how many prices the curve is reckoned at.
const curvePoints = 49

// hourCurve is what an hour earns over the price asked, at the hours expected.
func hourCurve(p *plan.Plan) drawing.CurveView {
	l := p.Ledger
	amount := func(d decimal.Decimal) string { return show(p.Project, d) }
	v := drawing.CurveView{Ref: "hour", XTitle: lang.L("asked price"), YTitle: lang.L("an hour earns"), Height: chartWidth * 0.36,
		XFormat: func(x float64) string { return amount(decimalOf(math.Round(x))) }, YFormat: func(y float64) string { return amount(decimalOf(y)) }}
	if l.Hours().Sign() <= 0 || !l.Result.BreakEven.Valid || !l.Result.PriceWish.Valid {
		return v
	}
	low, high := decimal.Zero, decimal.Max(l.Result.PriceWish.Decimal, l.Sale.Price, l.Result.BreakEven.Decimal).Mul(decimal.RequireFromString("1.25"))
	if high.Sign() <= 0 {
		return v
	}
	at := func(price decimal.Decimal) (drawing.Value, bool) {
		sale := l.Sale
		sale.Price = price
		h := cost.Reckon(sale, l.Costs, l.Hours(), l.Wish).PerHour
		return drawing.Value{X: price.InexactFloat64(), Y: h.Decimal.InexactFloat64()}, h.Valid
	}
	step := high.Sub(low).DivRound(decimal.NewFromInt(curvePoints-1), 6)
	for i := range int64(curvePoints) {
		price := low.Add(step.Mul(decimal.NewFromInt(i)))
		if q, ok := at(price); ok {
			v.Values = append(v.Values, q)
		}
	}
	v.Upright = append(v.Upright, drawing.Guide{At: l.Result.BreakEven.Decimal.InexactFloat64(), Text: lang.L("break-even {{.amount}}", locale.With{"amount": amount(l.Result.BreakEven.Decimal)})})
	v.Upright = append(v.Upright, drawing.Guide{At: l.Result.PriceWish.Decimal.InexactFloat64(), Text: lang.L("for the wish {{.amount}}", locale.With{"amount": amount(l.Result.PriceWish.Decimal)})})
	if l.Wish.IsPositive() {
		v.Across = append(v.Across, drawing.Guide{At: l.Wish.InexactFloat64(), Text: lang.L("wish {{.amount}}", locale.With{"amount": amount(l.Wish)})})
	}
	if q, ok := at(l.Sale.Price); ok && l.Sale.Price.IsPositive() {
		v.Dots = append(v.Dots, q)
		v.Upright = append(v.Upright, drawing.Guide{At: q.X, Text: lang.L("asked {{.amount}}", locale.With{"amount": amount(l.Sale.Price)})})
	}
	return v
}

// decimalOf takes a float of a chart's axis for writing; what is not finite is nothing.
func decimalOf(x float64) decimal.Decimal {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return decimal.Zero
	}
	return decimal.NewFromFloat(x)
}

// mostForecasts bounds the forecasts drawn: the first, the last and those between.
const mostForecasts = 10

// closingIn is how the forecast of the whole time closed in, reckoned anew as it
// would have stood after each day that time was logged on.
func closingIn(p *plan.Plan, zone *time.Location) drawing.RangeView {
	v := drawing.RangeView{YTitle: lang.L("hours in all"), Height: chartWidth * 0.34, YFormat: func(h float64) string {
		return lang.L("{{.hours}} h", locale.With{"hours": locale.Float(math.Round(h*10)/10, -1)})
	}}
	if len(p.Work.Steps) == 0 || len(p.Ledger.Forecast.Rates) == 0 {
		return v
	}
	model := forecast.Learn(plan.Rates(), plan.Samples(p.Project.Log, p.Project.Piece.ID))
	put := func(label string, f forecast.Forecast) {
		low, mid, high := (f.P10+p.Ledger.Collect)/60, (f.P50+p.Ledger.Collect)/60, (f.P90+p.Ledger.Collect)/60
		v.Points = append(v.Points, drawing.RangePoint{Ref: "forecast:" + label, Label: label, Low: low, Middle: mid, High: high, Hover: lang.L("{{.label}}: 8 of 10 outcomes from {{.low}} to {{.high}} h, the middle {{.mid}} h", locale.With{"label": label, "low": locale.Float(low, 1), "high": locale.Float(high, 1), "mid": locale.Float(mid, 1)})})
	}
	put(lang.L("before"), model.Predict(p.Work.Tasks(p.Project, time.Unix(0, 0))))
	for _, day := range thinned(loggedDays(p.Project, zone), mostForecasts) {
		put(locale.Day(day, "2 Jan"), model.Predict(p.Work.Tasks(p.Project, day.AddDate(0, 0, 1))))
	}
	if h, _ := p.Project.Piece.TargetHours.Float64(); h > 0 {
		v.Across = append(v.Across, drawing.Guide{At: h, Text: lang.L("target")})
	}
	return v
}

// loggedDays are the days time was logged for the open piece on, in order.
func loggedDays(p *plan.Project, zone *time.Location) []time.Time {
	var out []time.Time
	for _, e := range p.Log {
		if e.Piece != p.Piece.ID || e.Piece == 0 {
			continue
		}
		t := e.Start.In(zone)
		out = append(out, time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, zone))
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// thinned keeps at most n days, the last always among them.
func thinned(days []time.Time, n int) []time.Time {
	if len(days) <= n {
		return days
	}
	var out []time.Time
	for i := range n {
		out = append(out, days[(i+1)*len(days)/n-1])
	}
	return out
}
