package layout

import (
	"slices"

	"github.com/shopspring/decimal"

	"pilewright/layout/cutting"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// merge puts the plan of the sheets and that of the boards together. sheets is nil
// where no blank goes to a sheet.
func (t *sheetTask) merge(sheets *sheetCuts, c plan.Cuts) plan.Cuts {
	if sheets == nil {
		if len(t.shared) == 0 {
			return c
		}
		sheets = &sheetCuts{proved: true}
	}
	out := c
	out.Boards, out.Short = slices.Clone(c.Boards), slices.Clone(c.Short)
	total := aims{money: c.Money, wood: c.Wood, boards: len(c.Boards)}
	for i, s := range out.Short {
		total.made += s.Count
		out.Short[i].Proof = s.Proof && !t.shared[s.Blank]
	}
	total.add(sheets.total)
	out.Money, out.Wood = total.money, total.wood
	out.Boards = append(out.Boards, sheets.boards...)
	for _, s := range sheets.short {
		s.Proof = s.Proof && sheets.proved
		i := slices.IndexFunc(out.Short, func(o plan.Short) bool { return o.Blank == s.Blank })
		if i < 0 {
			out.Short = append(out.Short, s)
			continue
		}
		out.Short[i].Count += s.Count
		out.Short[i].Proof = out.Short[i].Proof && s.Proof
		out.Short[i].Say += " " + s.Say
	}
	for _, b := range sheets.boards {
		for _, p := range b.Pieces {
			out.Used = out.Used.Add(measure.AreaOf(p.Length, p.Width))
		}
	}
	t.settings(&out, len(c.Boards))
	out.Final = c.Final && !sheets.stopped
	t.mergeLevels(sheets, c, total, &out)
	return out
}

// settings numbers the settings of the cuts of sheets after those of the boards.
func (t *sheetTask) settings(c *plan.Cuts, from int) {
	type setting struct {
		rip  bool
		stop measure.Length
	}
	last := 0
	for _, b := range c.Boards[:from] {
		for _, s := range b.Saws {
			last = max(last, s.Group)
		}
	}
	known := map[setting]int{}
	for i := from; i < len(c.Boards); i++ {
		b := &c.Boards[i]
		b.Saws = slices.Clone(b.Saws)
		for n := range b.Saws {
			s := &b.Saws[n]
			k := setting{s.Rip, s.Stop}
			if known[k] == 0 {
				known[k] = last + len(known) + 1
			}
			s.Group = known[k]
		}
	}
	c.Settings += len(known)
}

// mergeLevels sums the levels. A bound below a level that is not proved, or for a
// pile where boards and sheets compete for a blank, would say too much and is left
// out.
func (t *sheetTask) mergeLevels(sheets *sheetCuts, c plan.Cuts, total aims, out *plan.Cuts) {
	compete := slices.ContainsFunc(t.boards.Blanks, func(b plan.Blank) bool { return t.shared[b.Key] })
	rely := sheets.proved && !compete
	used := out.Used.SquareMillimetres()
	dec := func(n int) decimal.Decimal { return decimal.NewFromInt(int64(n)) }
	out.Levels, out.Proved = nil, true
	for _, l := range []struct {
		kind         plan.LevelKind
		aim          cutting.Aim
		value, bound decimal.Decimal
	}{
		{plan.LevelMade, cutting.AimMade, dec(total.made), dec(sheets.bound.made)},
		{plan.LevelMoney, cutting.AimMoney, total.money, sheets.bound.money},
		{plan.LevelWood, cutting.AimWood, total.wood.SquareMillimetres(), sheets.bound.wood.SquareMillimetres()},
		{plan.LevelBoards, cutting.AimBoards, dec(total.boards), dec(sheets.bound.boards)},
	} {
		v := plan.Level{Kind: l.kind, Name: l.aim.String(), Value: l.value}
		if rely && out.Proved {
			v.Bound = l.bound
			for _, b := range c.Levels {
				if b.Kind == l.kind {
					v.Bound = v.Bound.Add(b.Bound)
				}
			}
		}
		if l.kind == plan.LevelWood && len(out.Short) == 0 {
			v.Bound = decimal.Max(v.Bound, used)
		}
		v.Bound = decimal.Min(v.Bound, v.Value)
		v.Proved = v.Bound.Equal(v.Value)
		out.Levels = append(out.Levels, v)
		out.Proved = out.Proved && v.Proved
	}
	out.Sentence = sentence(out)
}
