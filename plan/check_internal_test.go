package plan

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan/cost"
	"pilewright/plan/schedule"
)

func TestWrongOrdersCalendarsAndSumsAreRefused(t *testing.T) {
	week := schedule.Week{Zone: time.UTC}
	for d := range week.Hours {
		week.Hours[d] = []schedule.Window{{From: 18 * 60, To: 21 * 60}}
	}
	start := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	ops := []schedule.Operation{{ID: "a", Time: time.Hour}, {ID: "b", Time: time.Hour, After: []string{"a"}}, {ID: "c", Time: time.Hour, After: []string{"b"}}}
	make := func() schedule.Arrangement {
		a, err := schedule.Arrange(context.Background(), schedule.Problem{Operations: ops}, week, start, schedule.ArrangeOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	w := &Work{Start: start}
	if err := checkWork(make(), week, w); err != nil {
		t.Fatalf("a sound order is refused: %v", err)
	}
	order := make()
	order.Fewest.Timeline.Order = []string{"b", "a", "c"}
	calendar := make()
	calendar.Fewest.Timeline.Bars = append([]schedule.Bar{}, calendar.Fewest.Timeline.Bars...)
	calendar.Fewest.Timeline.Bars[0].Start = calendar.Fewest.Timeline.Bars[0].Start.Add(-time.Hour)
	for what, a := range map[string]schedule.Arrangement{"order": order, "calendar": calendar} {
		var failed *CheckError
		if err := checkWork(a, week, w); !errors.As(err, &failed) || failed.What != what {
			t.Errorf("a wrong %s: %v", what, err)
		}
	}
	one := decimal.NewFromInt(1)
	sound := Ledger{Lines: []Line{{"glue", "glue", one, ""}}, Costs: cost.Costs{Consumables: one}, Sale: cost.Sale{Price: decimal.NewFromInt(10)}}
	sound.Result = cost.Reckon(sound.Sale, sound.Costs, one, one)
	if err := checkMoney(&sound); err != nil {
		t.Errorf("sound sums are refused: %v", err)
	}
	lines := sound
	lines.Lines = nil
	result := sound
	result.Result.Earned = result.Result.Earned.Add(decimal.New(1, -2))
	for name, l := range map[string]Ledger{"a line is missing": lines, "a cent too much is earned": result} {
		var failed *CheckError
		if err := checkMoney(&l); !errors.As(err, &failed) || failed.What != "money" {
			t.Errorf("%s: %v", name, err)
		}
	}
}
