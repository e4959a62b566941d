// Package shop is the window's page of the shop itself: machines and their
// limits, blades, bits, clamps, allowances, air, glue, finish, money and hours.
package shop

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/plan/trade"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// Page makes the page: one table for each sort of tool, one for the rest.
func Page(d desk.Desk) fyne.CanvasObject {
	tabs := container.NewAppTabs(
		container.NewTabItem(lang.L("General"), settings(d, general())),
		container.NewTabItem(lang.L("Allowances"), settings(d, allowances())),
		container.NewTabItem(lang.L("Air, glue, finish"), settings(d, air())),
		container.NewTabItem(lang.L("Money"), settings(d, prices())),
		container.NewTabItem(lang.L("Machines"), machines(d)),
		container.NewTabItem(lang.L("Blades"), blades(d)),
		container.NewTabItem(lang.L("Bits"), bits(d)),
		container.NewTabItem(lang.L("Clamps"), clamps(d)),
	)
	note := widget.NewLabel(lang.L("Figures you have not changed are starting guesses. Limits of machines come from their manuals."))
	return container.NewBorder(nil, note, nil, nil, tabs)
}

// setting is one line of a table of settings.
type setting struct {
	name, tip string
	why       string // told of the value; empty = the tip
	choices   func() []string
	get       func(*plan.Shop) string
	set       func(*plan.Shop, string) error
}

// settings shows settings as a table of name and value.
func settings(d desk.Desk, list []setting) *control.Grid {
	shop := func() *plan.Shop { s := d.Session().Project().Shop; return &s }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Setting"), Width: 260}, {Title: lang.L("Is"), Width: 220, Editable: true}, {Title: "", Width: 320, Stretch: true},
	}, func() int { return len(list) }, func(row, col int) (string, control.CellState) {
		s := list[row]
		switch col {
		case 0:
			return s.name, control.CellState{}
		case 1:
			return s.get(shop()), control.CellState{Bold: true, Message: cmp.Or(s.why, s.tip)}
		}
		return s.tip, control.CellState{Dim: true}
	})
	g.OnMessage = d.Say
	g.Commit = func(row, _ int, text string) error {
		return edit(d, lang.L("change {{.setting}}", locale.With{"setting": strings.ToLower(list[row].name)}), func(s *plan.Shop) error { return list[row].set(s, strings.TrimSpace(text)) })
	}
	return g
}

// edit makes one change to the shop.
func edit(d desk.Desk, name string, change func(*plan.Shop) error) error {
	return d.Session().Edit(name, "shop "+name, func(p *plan.Project) (*plan.Project, error) {
		shop := p.Shop
		if err := change(&shop); err != nil {
			return nil, err
		}
		return p.With(func(q *plan.Project) { q.Shop = shop }), nil
	})
}

func text(name, tip string, of func(*plan.Shop) *string, check func(string) error) setting {
	return setting{name: name, tip: tip, get: func(s *plan.Shop) string { return *of(s) }, set: func(s *plan.Shop, v string) error {
		if len(v) > plan.MaxText {
			return locale.Error("the text is too long")
		}
		if check != nil {
			if err := check(v); err != nil {
				return err
			}
		}
		*of(s) = v
		return nil
	}}
}

// oneWord is a setting that is one of some identities.
func oneWord(name string, list []string, of func(*plan.Shop) *string) setting {
	return setting{name: name, tip: strings.Join(locale.WordsOf(list...), ", "),
		get: func(s *plan.Shop) string { return locale.Word(*of(s)) },
		set: func(s *plan.Shop, v string) error {
			id := locale.ID(v, list...)
			if err := oneOf(list...)(id); err != nil {
				return err
			}
			*of(s) = id
			return nil
		}}
}

func oneOf(list ...string) func(string) error {
	return func(v string) error {
		if !slices.Contains(list, v) {
			return locale.Error("it is one of {{.list}}", locale.With{"list": strings.Join(locale.WordsOf(list...), ", ")})
		}
		return nil
	}
}

func length(name, tip string, of func(*plan.Shop) *measure.Length) setting {
	return setting{name: name, tip: tip,
		get: func(s *plan.Shop) string { return locale.Length(*of(s), s.Style()) },
		set: func(s *plan.Shop, v string) error { return readLength(s, v, of(s)) }}
}

// readLength reads a size of nothing or more; empty is nothing.
func readLength(s *plan.Shop, v string, into *measure.Length) error {
	if v == "" {
		*into = 0
		return nil
	}
	l, err := locale.ParseLength(strings.TrimPrefix(v, "≈"), s.Unit())
	if err != nil {
		return err
	}
	if l < 0 || l > plan.SizeLimit {
		return locale.Error("it must be from nothing to 100 m")
	}
	*into = l
	return nil
}

func amount(name, tip string, of func(*plan.Shop) *decimal.Decimal) setting {
	return setting{name: name, tip: tip,
		get: func(s *plan.Shop) string { return locale.Number(of(s).String()) },
		set: func(s *plan.Shop, v string) error {
			d, err := locale.ParseMoney(v, money.Of(s.Currency))
			if err == nil && d.IsNegative() {
				err = locale.Error("it can't be less than nothing")
			}
			if err != nil {
				return err
			}
			*of(s) = d
			return nil
		}}
}

func percent(name, tip string, of func(*plan.Shop) *decimal.Decimal) setting {
	return setting{name: name, tip: tip,
		get: func(s *plan.Shop) string { return locale.Percent(*of(s), 2) },
		set: func(s *plan.Shop, v string) error {
			d, err := locale.ParsePercent(v)
			if err == nil && (d.IsNegative() || d.GreaterThan(decimal.NewFromInt(1))) {
				err = locale.Error("it must be from 0 to 100 %")
			}
			if err != nil {
				return err
			}
			*of(s) = d
			return nil
		}}
}

func number(name, tip string, low, high float64, of func(*plan.Shop) *float64) setting {
	return setting{name: name, tip: tip,
		get: func(s *plan.Shop) string { return locale.Float(*of(s), -1) },
		set: func(s *plan.Shop, v string) error { return readNumber(v, low, high, of(s)) }}
}

func readNumber(v string, low, high float64, into *float64) error {
	n, err := locale.ParseFloat(v)
	if err != nil || !(n >= low && n <= high) {
		return locale.Error("“{{.v}}” is not a number from {{.low}} to {{.high}}", locale.With{"v": v, "low": locale.Float(low, -1), "high": locale.Float(high, -1)})
	}
	*into = n
	return nil
}

func general() []setting {
	unit := setting{name: lang.L("Sizes in"), tip: lang.L("in or mm"), get: func(s *plan.Shop) string {
		if s.Inches {
			return "in"
		}
		return "mm"
	}, set: func(s *plan.Shop, v string) error {
		if err := oneOf("in", "mm")(v); err != nil {
			return err
		}
		s.Inches = v == "in"
		return nil
	}}
	fraction := setting{name: lang.L("Finest fraction shown"), tip: lang.L("8, 16, 32 or 64; what is rounded shows a ≈"), get: func(s *plan.Shop) string { return "1/" + strconv.Itoa(s.Denominator) }, set: func(s *plan.Shop, v string) error {
		v = strings.TrimPrefix(v, "1/")
		if err := oneOf("8", "16", "32", "64")(v); err != nil {
			return err
		}
		s.Denominator, _ = strconv.Atoi(v)
		return nil
	}}
	return []setting{
		text(lang.L("Name of the shop"), "", func(s *plan.Shop) *string { return &s.Name }, nil), unit, fraction,
		text(lang.L("Paper"), lang.L("letter or a4"), func(s *plan.Shop) *string { return &s.Paper }, oneOf("letter", "a4")),
		text(lang.L("Currency"), lang.L("ISO code: USD, EUR, MXN ..."), func(s *plan.Shop) *string { return &s.Currency }, func(v string) error {
			if len(v) != 3 || strings.ToUpper(v) != v {
				return locale.Error("write the three capital letters of its code, such as USD")
			}
			return nil
		}),
		text(lang.L("Time zone"), lang.L("IANA name such as Europe/Madrid; empty = the computer's"), func(s *plan.Shop) *string { return &s.TimeZone }, nil),
	}
}

func allowances() []setting {
	return []setting{
		length(lang.L("Longer than needed"), lang.L("added to a blank's length, cut off when it is squared"), func(s *plan.Shop) *measure.Length { return &s.LengthAllowance }),
		length(lang.L("Wider than needed"), lang.L("for jointing both edges"), func(s *plan.Shop) *measure.Length { return &s.WidthAllowance }),
		length(lang.L("Thicker than needed"), lang.L("for planing both faces"), func(s *plan.Shop) *measure.Length { return &s.PlaneAllowance }),
		length(lang.L("Most planed off a board"), lang.L("a thicker board is not planed down further; nothing = no limit"), func(s *plan.Shop) *measure.Length { return &s.PlaneLimit }),
		length(lang.L("Planed off a glued panel"), lang.L("both faces together"), func(s *plan.Shop) *measure.Length { return &s.CleanUp }),
		length(lang.L("Leftovers kept from"), lang.L("shorter ones are waste"), func(s *plan.Shop) *measure.Length { return &s.LeftoverMin }),
		length(lang.L("Shortest piece in a row"), "", func(s *plan.Shop) *measure.Length { return &s.PieceMin }),
		length(lang.L("Stagger of end joints"), lang.L("least offset in neighbouring rows; common practice"), func(s *plan.Shop) *measure.Length { return &s.Stagger }),
		length(lang.L("Step between rows"), lang.L("most difference in thickness before planing"), func(s *plan.Shop) *measure.Length { return &s.StepLimit }),
		ringHabit(),
	}
}

// ringHabit is how the rows of a flat panel lie; nothing stored means alternate.
func ringHabit() setting {
	s := oneWord(lang.L("Growth rings of the rows"), []string{string(plan.Alternate), string(plan.OneWay)}, func(s *plan.Shop) *string { return (*string)(&s.RingHabit) })
	stored := s.get
	s.get = func(shop *plan.Shop) string {
		if shop.RingHabit == "" {
			return locale.Word(string(plan.Alternate))
		}
		return stored(shop)
	}
	s.tip = lang.L("alternate: flat overall; one-way: one curve that battens hold")
	s.why = lang.L("alternate: each row cups against the next; one-way: one shallow curve, held by battens. Common practice, no source")
	return s
}

func air() []setting {
	var glues, finishes []string
	for _, g := range trade.Glues {
		glues = append(glues, g.ID)
	}
	for _, f := range trade.Finishes {
		finishes = append(finishes, f.ID)
	}
	return []setting{
		number(lang.L("Air in the shop, °C"), lang.L("glue cures slower in the cold"), -30, 50, func(s *plan.Shop) *float64 { return &s.TempC }),
		number(lang.L("Relative humidity, %"), "", 0, 100, func(s *plan.Shop) *float64 { return &s.Humidity }),
		number(lang.L("Moisture of the wood, %"), lang.L("by a meter; glue wants 6 to 10"), 0, 60, func(s *plan.Shop) *float64 { return &s.WoodMoisture }),
		number(lang.L("Moisture where it will stand, %"), lang.L("a heated room settles at 6 to 9"), 0, 30, func(s *plan.Shop) *float64 { return &s.HomeMoisture }),
		number(lang.L("Swing between the seasons, points"), "", 0, 20, func(s *plan.Shop) *float64 { return &s.SeasonSwing }),
		oneWord(lang.L("Glue"), glues, func(s *plan.Shop) *string { return &s.Glue }),
		oneWord(lang.L("Finish"), finishes, func(s *plan.Shop) *string { return &s.Finish }),
	}
}

func prices() []setting {
	return []setting{
		amount(lang.L("Wished earning of an hour"), "", func(s *plan.Shop) *decimal.Decimal { return &s.WishHourly }),
		percent(lang.L("Selling fee"), lang.L("share of the price the market place or the card keeps"), func(s *plan.Shop) *decimal.Decimal { return &s.FeeRate }),
		amount(lang.L("Fixed fee of a sale"), "", func(s *plan.Shop) *decimal.Decimal { return &s.FeeFixed }),
		amount(lang.L("Delivery"), lang.L("what it costs you"), func(s *plan.Shop) *decimal.Decimal { return &s.Delivery }),
		percent(lang.L("Sales tax"), lang.L("kept apart; your local rate"), func(s *plan.Shop) *decimal.Decimal { return &s.TaxRate }),
		amount(lang.L("Glue, a litre"), "", func(s *plan.Shop) *decimal.Decimal { return &s.GluePrice }),
		amount(lang.L("Finish, a litre"), "", func(s *plan.Shop) *decimal.Decimal { return &s.FinishCost }),
		amount(lang.L("Sandpaper, a m² and grit"), "", func(s *plan.Shop) *decimal.Decimal { return &s.SandCost }),
		amount(lang.L("Electricity, a machine hour"), lang.L("nothing = not counted"), func(s *plan.Shop) *decimal.Decimal { return &s.PowerCost }),
		amount(lang.L("Wear, a machine hour"), lang.L("nothing = not counted"), func(s *plan.Shop) *decimal.Decimal { return &s.WearCost }),
	}
}
