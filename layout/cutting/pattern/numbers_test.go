package pattern

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"runtime"
	"sync/atomic"
	"testing"
	"time"
)

// within ends a context after so many processor seconds of two cores.
func within(seconds float64) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(context.Background())
	start := cpu()
	go func() {
		for ctx.Err() == nil && cpu()-start < 2*seconds {
			time.Sleep(4 * time.Millisecond)
		}
		cancel()
	}()
	return ctx, cancel
}

// tally is what a sample of piles came to.
type tally struct {
	n, proved int
	gap, took float64
}

// sample solves piles that can be cut, each for so many seconds of two cores.
func (s *tally) sample(aimed string, boards int, rho float64, seconds float64, seeds int) {
	for seed := range seeds {
		p := salvage(uint64(seed), boards, rho)
		m := p.model(aim(aimed, uint64(seed), p))
		ctx, cancel := within(seconds)
		start := cpu()
		res := Solve(ctx, m, Limits{}, nil, nil)
		cancel()
		if res.Plan == nil { // proved that there is none, or not: no figure for cost
			continue
		}
		s.n++
		s.took += (cpu() - start) / 2
		if res.Proved {
			s.proved++
		}
		s.gap += 100 * float64(res.Plan.Cost-res.Bound) / max(1, float64(res.Plan.Cost))
	}
}

func (s *tally) String() string {
	n := float64(max(s.n, 1))
	return fmt.Sprintf("proved %d of %d (%.1f %%), gap %.3f %%, %.2f s", s.proved, s.n, 100*float64(s.proved)/n, s.gap/n, s.took/n)
}

// TestNumbers prints the rows of the table of numbers that concern boards cut
// only across. Seconds are processor seconds of two cores, so that the figures
// stand on a machine shared with others. PILEWRIGHT_ROWS picks rows.
func TestNumbers(t *testing.T) {
	if os.Getenv("PILEWRIGHT_FULL") == "" {
		t.Skip("set PILEWRIGHT_FULL to print the table")
	}
	pick := regexp.MustCompile(os.Getenv("PILEWRIGHT_ROWS"))
	row := func(what, bar string, figure func() string) {
		if pick.MatchString(what) {
			fmt.Printf("%-52s | %-28s | %s\n", what, bar, figure())
		}
	}
	row("fewest boards, 20 to 100 boards, 1 s", "98 % proved", func() string {
		s := &tally{}
		for _, boards := range []int{20, 50, 75, 100} {
			for _, rho := range []float64{0.4, 0.7} {
				s.sample("count", boards, rho, 1, 10)
			}
		}
		return s.String()
	})
	row("fewest boards, 150 boards, 2 s", "95 % proved", func() string {
		s := &tally{}
		s.sample("count", 150, 0.4, 2, 20)
		s.sample("count", 150, 0.7, 2, 20)
		return s.String()
	})
	for _, c := range []struct {
		boards  int
		seconds float64
		bar     string
	}{{20, 2, "95 % proved"}, {20, 1, "gap 0.05 %"}, {50, 1, "gap 0.15 %"}, {100, 1, "gap 0.2 %"}, {150, 1, "gap 0.3 %"}} {
		row(fmt.Sprintf("least wood, %d boards, %g s", c.boards, c.seconds), c.bar, func() string {
			s := &tally{}
			s.sample("length", c.boards, 0.4, c.seconds, 10)
			s.sample("length", c.boards, 0.7, c.seconds, 10)
			return s.String()
		})
	}
	row("least money, up to 50 boards, 2 s", "90 % proved, gap 0.5 %", func() string {
		s := &tally{}
		for _, boards := range []int{20, 35, 50} {
			for _, rho := range []float64{0.4, 0.7, 0.85} {
				s.sample("money", boards, rho, 2, 10)
			}
		}
		return s.String()
	})
	for _, aimed := range []string{"count", "length"} {
		row("2,000 boards, 20,000 blanks, 10 s, least "+aimed, "gap 1 %, 1 GB", func() string {
			var most atomic.Uint64
			done := make(chan bool)
			go func() {
				var m runtime.MemStats
				for {
					runtime.ReadMemStats(&m)
					most.Store(max(most.Load(), m.Sys))
					select {
					case <-done:
						return
					case <-time.After(50 * time.Millisecond):
					}
				}
			}()
			s := &tally{}
			s.sample(aimed, 2000, 0.7, 10, 1)
			close(done)
			p := salvage(0, 2000, 0.7)
			return fmt.Sprintf("gap %.3f %%, %d blanks, %.0f MB from the system at most", s.gap, sum(p.demand), float64(most.Load())/1e6)
		})
	}
	classic := map[string]bool{"FalkenauerT": true, "FalkenauerU": true, "Scholl1": true, "Scholl2": true, "Scholl3": true, "Schwerin": true, "Waescher": true}
	packed := func(seconds float64, keep func(set string) bool) string {
		n, proved, best := 0, 0, 0
		for _, p := range binPacking(t) {
			if !keep(p.set) {
				continue
			}
			ctx, cancel := within(seconds)
			res := Solve(ctx, p.m, Limits{}, nil, nil)
			cancel()
			n++
			if res.Proved {
				proved++
			}
			if res.Plan != nil && res.Plan.Cost <= p.best {
				best++
			}
			if res.Plan == nil || res.Bound > p.best || res.Plan.Cost < p.low {
				t.Errorf("%s: no plan, or one that contradicts the published %d", p.name, p.best)
			}
		}
		return fmt.Sprintf("proved %d of %d (%.1f %%), optimal value %d", proved, n, 100*float64(proved)/float64(max(n, 1)), best)
	}
	row("bpp1d classic sets, 2 s each", "98 % proved", func() string {
		return packed(2, func(set string) bool { return classic[set] })
	})
	row("bpp1d, all 171, 10 s each", "171 optimal, 135 proved", func() string {
		return packed(10, func(string) bool { return true })
	})
}
