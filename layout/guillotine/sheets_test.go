package guillotine

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"testing"
	"time"

	"pilewright/plan/measure"
)

func TestSheetsAgainstBestKnown(t *testing.T) {
	count, same, proved := 0, 0, 0
	var plates, known int64
	for n, row := range table(t, "berkeywang2d", "best_known.csv") {
		if !full() && (row["items"] != "20" || n%12 != 0) {
			continue
		}
		for _, turn := range []bool{false, true} {
			best, lower := row["best_3stage_H_no_rot"], row["best_nonguillotine_no_rot"]
			if turn {
				best, lower = row["best_3stage_H_rot"], row["best_nonguillotine_rot"]
			}
			want, _ := strconv.ParseInt(best, 10, 64)
			loosest, _ := strconv.ParseInt(lower, 10, 64)
			sheet, items := instance(t, shared(t, "berkeywang2d", row["instance_file"]))
			for k := range items {
				items[k].Turn = turn
			}
			stock := []Stock{{ID: "s", Sheet: sheet}}
			opt := Options{Stages: 3, Work: 100_000_000}
			if full() {
				opt.Work = 1_000_000_000
			}
			began := time.Now()
			c, err := Fewest(context.Background(), stock, items, opt)
			if err != nil {
				t.Errorf("%s: %v", row["instance"], err)
				continue
			}
			if faults := CheckCutting(stock, items, opt, c); len(faults) > 0 {
				t.Errorf("%s: %v", row["instance"], faults)
			}
			// A best known of any kind is a cutting that exists, so no bound may
			// pass the best 3-stage one.
			if c.Bound > want {
				t.Errorf("%s turn %v: bound %d above the best known %d", row["instance"], turn, c.Bound, want)
			}
			if c.Cost < loosest && c.Cost < c.Bound {
				t.Errorf("%s turn %v: %d sheets below every bound", row["instance"], turn, c.Cost)
			}
			count++
			plates, known = plates+c.Cost, known+want
			if c.Cost <= want {
				same++
			}
			if c.Status == Optimal {
				proved++
			}
			t.Logf("%-14s turn %-5v %3d sheets, bound %3d, best known %3d, %5.2f s, work %d million", row["instance"], turn, c.Cost, c.Bound, want, time.Since(began).Seconds(), c.Work/1e6)
		}
	}
	t.Logf("%d questions: %d as good as the best known, %d proved; %d sheets against %d", count, same, proved, plates, known)
	if same*100 < count*75 {
		t.Errorf("only %d of %d as good as the best known", same, count)
	}
}

func TestCheapestSheets(t *testing.T) {
	items := []Item{{ID: "side", Length: 600 * mm, Width: 300 * mm, Count: 4}, {ID: "shelf", Length: 560 * mm, Width: 280 * mm, Count: 6, Turn: true}}
	stock := []Stock{
		{ID: "whole", Sheet: Sheet{Length: 2440 * mm, Width: 1220 * mm}, Price: 6000},
		{ID: "half", Sheet: Sheet{Length: 1220 * mm, Width: 1220 * mm}, Price: 3500},
		{ID: "offcut", Sheet: Sheet{Length: 1220 * mm, Width: 610 * mm}, Price: 500, Supply: 1},
	}
	opt := Options{Kerf: 3 * mm, Stages: 3, Work: 100_000_000}
	c, err := Fewest(context.Background(), stock, items, opt)
	if err != nil {
		t.Fatal(err)
	}
	if faults := CheckCutting(stock, items, opt, c); len(faults) > 0 {
		t.Fatal(faults)
	}
	// Ten items of 0.157 to 0.18 m²: the offcut takes four (606 by 1206 with the
	// kerf), a half the other six, in three rows of two.
	if c.Cost != 4000 {
		t.Errorf("cost %d, want 4000: %+v", c.Cost, c.Sheets)
	}
	t.Logf("cost %d bound %d", c.Cost, c.Bound)
}

func TestSheetsThatHoldNotEverything(t *testing.T) {
	stock := []Stock{{ID: "s", Sheet: Sheet{Length: 500 * mm, Width: 500 * mm}, Supply: 1}}
	for _, c := range []struct {
		name  string
		items []Item
	}{
		{"an item larger than the sheet", []Item{{ID: "a", Length: 600 * mm, Width: 10 * mm}}},
		{"more than the supply", []Item{{ID: "a", Length: 400 * mm, Width: 400 * mm, Count: 2}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Fewest(context.Background(), stock, c.items, Options{})
			var missing *MissingError
			if !errors.As(err, &missing) || fmt.Sprint(missing.Items) != "[a]" {
				t.Errorf("got %v", err)
			}
		})
	}
}

func BenchmarkFewestSheets(b *testing.B) {
	sheet := Sheet{Length: 2440 * mm, Width: 1220 * mm}
	var items []Item
	for k := range 20 {
		items = append(items, Item{ID: fmt.Sprint(k), Length: mm * measure.Length(200+70*k%700), Width: mm * measure.Length(100+30*k%350), Count: 1 + k%4, Turn: k%2 == 0})
	}
	for b.Loop() {
		c, err := Fewest(context.Background(), []Stock{{ID: "s", Sheet: sheet}}, items, Options{Kerf: 3 * mm, Stages: 3})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(c.Cost), "sheets")
		b.ReportMetric(float64(c.Bound), "bound")
	}
}
