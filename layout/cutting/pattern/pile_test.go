package pattern

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// pile is a generated pile of salvage in millimetres: pallet boards with nails
// at ends and middle, crate boards, framing with up to four defects; kerf 3.
type pile struct {
	length []int   // of a board
	segs   [][]int // clear lengths
	size   []int   // of blanks
	demand []int
}

const kerf = 3

func salvage(seed uint64, boards int, rho float64) pile {
	r := rand.New(rand.NewPCG(seed, 77))
	var p pile
	clear, longest := 0, 0
	for range boards {
		var l int
		var cuts [][2]int
		switch k := r.IntN(100); {
		case k < 60:
			l = 800 + r.IntN(401)
			mid := l/2 - 30 + r.IntN(30)
			cuts = append(cuts, [2]int{0, 15 + r.IntN(40)}, [2]int{l - 15 - r.IntN(40), l})
			if r.IntN(2) == 0 {
				cuts = append(cuts, [2]int{mid, mid + 15 + r.IntN(40)})
			}
		case k < 85:
			l = 400 + r.IntN(500)
			cuts = append(cuts, [2]int{0, r.IntN(25)})
		default:
			l = 1800 + r.IntN(1801)
			for range r.IntN(5) {
				a := r.IntN(l - 60)
				cuts = append(cuts, [2]int{a, a + 5 + r.IntN(55)})
			}
		}
		// Clear segments between the defects.
		blocked := make([]bool, l)
		for _, c := range cuts {
			for x := c[0]; x < c[1]; x++ {
				blocked[x] = true
			}
		}
		var segs []int
		run := 0
		for x := 0; x <= l; x++ {
			if x < l && !blocked[x] {
				run++
				continue
			}
			if run >= 60 {
				segs = append(segs, run)
				clear += run
				longest = max(longest, run)
			}
			run = 0
		}
		p.length = append(p.length, l)
		p.segs = append(p.segs, segs)
	}
	need := int(rho * float64(clear))
	if boards >= 1000 { // a workshop's year: 200 kinds of blanks, ten to a board
		for k := range 200 {
			l := 40 + r.IntN(80)
			if k%10 == 0 {
				l = 200 + r.IntN(300)
			}
			p.size = append(p.size, l)
			p.demand = append(p.demand, 1+int(rho*float64(clear))/200/(l+kerf))
		}
		return p
	}
	seen := map[int]bool{}
	for need > 0 {
		var l int
		switch k := r.IntN(100); {
		case k < 70:
			l = 100 + r.IntN(300)
		case k < 95:
			l = 400 + r.IntN(400)
		default:
			l = 800 + r.IntN(600)
		}
		d := 1 + r.IntN(8)
		if l > 800 {
			d = 1
		}
		if l > longest || seen[l] {
			continue
		}
		seen[l] = true
		p.size = append(p.size, l)
		p.demand = append(p.demand, d)
		need -= l * d
	}
	return p
}

// model states the pile with a cost per board.
func (p pile) model(cost func(b int) int64) *Model {
	m := &Model{Demand: p.demand}
	lines := &Lines{}
	for _, s := range p.size {
		lines.Size = append(lines.Size, s+kerf)
	}
	for b, segs := range p.segs {
		var caps []int
		for _, s := range segs {
			caps = append(caps, s+kerf)
		}
		lines.Segs = append(lines.Segs, caps)
		m.Groups = append(m.Groups, Group{Cost: cost(b), Supply: 1})
	}
	m.Oracle = func() Oracle { return NewLineOracle(lines) }
	return m
}

// money prices three boards in ten, in steps of 25, the others are free.
func money(seed uint64) func(int) int64 {
	r := rand.New(rand.NewPCG(seed, 5))
	price := map[int]int64{}
	return func(b int) int64 {
		if _, ok := price[b]; !ok {
			price[b] = 0
			if r.IntN(10) < 3 {
				price[b] = int64(4+r.IntN(40)) * 25
			}
		}
		return price[b]
	}
}

// aims are the costs a board may have in the tables.
func aim(name string, seed uint64, p pile) func(int) int64 {
	switch name {
	case "count":
		return func(int) int64 { return 1 }
	case "length":
		return func(b int) int64 { return int64(p.length[b]) }
	case "money":
		return money(seed)
	}
	panic("no such aim")
}

// cpu is the processor time spent, in seconds: the clock of the tables, for a
// machine shared with others. Two cores spend two seconds a second.
func cpu() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// TestTable prints the figures of generated piles: all lines with
// PILEWRIGHT_FULL, or those of PILEWRIGHT_TABLE, AIM BOARDS RHO SECONDS SEEDS,
// separated by semicolons. Seconds are of two cores.
func TestTable(t *testing.T) {
	spec := os.Getenv("PILEWRIGHT_TABLE")
	if spec == "" && os.Getenv("PILEWRIGHT_FULL") != "" {
		spec = "count 50 0.7 1 10;count 100 0.7 1 10;count 150 0.7 2 10;length 20 0.4 2 10;length 20 0.7 2 10;length 50 0.4 1 10;" +
			"length 50 0.7 1 10;length 100 0.7 1 10;length 150 0.7 1 10;money 20 0.7 2 10;money 50 0.7 2 10;money 50 0.85 2 10;" +
			"length 2000 0.7 10 1;count 2000 0.7 10 1"
	}
	if spec == "" {
		t.Skip("set PILEWRIGHT_FULL, or PILEWRIGHT_TABLE to lines of AIM BOARDS RHO SECONDS SEEDS")
	}
	for _, line := range strings.Split(spec, ";") {
		f := strings.Fields(line)
		boards, _ := strconv.Atoi(f[1])
		rho, _ := strconv.ParseFloat(f[2], 64)
		seconds, _ := strconv.ParseFloat(f[3], 64)
		seeds, _ := strconv.Atoi(f[4])
		proved, gap, took, none := 0, 0.0, 0.0, 0
		var each []string
		for seed := range seeds {
			p := salvage(uint64(seed), boards, rho)
			m := p.model(aim(f[0], uint64(seed), p))
			ctx, cancel := within(seconds)
			start := cpu()
			res := Solve(ctx, m, Limits{}, nil, nil)
			cancel()
			d := (cpu() - start) / 2
			took += d
			if res.Proved {
				proved++
			}
			if res.Plan == nil {
				none++
				each = append(each, fmt.Sprintf("none/%d(%d n, %.2fs)", res.Bound, res.Nodes, d))
				continue
			}
			g := float64(res.Plan.Cost-res.Bound) / max(1, float64(res.Plan.Cost)) * 100
			gap += g
			each = append(each, fmt.Sprintf("%d/%d(%dn %.2fs)", res.Plan.Cost, res.Bound, res.Nodes, d))
		}
		fmt.Printf("%-28s proved %d/%d, none %d, avg %.3f s, gap %.3f %%\n", line, proved, seeds, none, took/float64(seeds), gap/float64(seeds))
		if os.Getenv("PILEWRIGHT_EACH") != "" {
			fmt.Println("   ", strings.Join(each, " "))
		}
	}
}
