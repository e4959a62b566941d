package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"pilewright/plan/measure"
)

// cpu is the processor time spent, in seconds.
func cpu() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// within is a context that ends after so many seconds of two cores.
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

// TestFlatTable prints plans and bounds for ripped and crosscut boards with
// defects, 30 boards and 60 blanks, three seconds of two cores each.
func TestFlatTable(t *testing.T) {
	if os.Getenv("PILEWRIGHT_FULL") == "" {
		t.Skip("set PILEWRIGHT_FULL to print the table")
	}
	sum, n, good := 0.0, 0, 0
	for _, seed := range flatSeeds() {
		p := shop(seed, 30, 60)
		p.Aims = []Aim{AimWood}
		ctx, cancel := within(3)
		start := cpu()
		first := 0.0
		s, err := Solve(ctx, p, Options{Work: 1 << 50, Progress: func(Progress) {
			if first == 0 {
				first = cpu() - start
			}
		}})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range Check(p, s) {
			t.Errorf("violation: %s", v.Say)
		}
		l := s.Levels[1]
		gap := float64(l.Value-l.Bound) / float64(l.Value) * 100
		if sum, n = sum+gap, n+1; gap <= 1 {
			good++
		}
		fmt.Printf("seed %d: %d boards, wood %d, bound %d, gap %.2f %%, first plan %.3f s, %d nodes, %.1f s, %s\n",
			seed, len(s.Boards), l.Value, l.Bound, gap, first, s.Nodes, (cpu()-start)/2, strings.TrimSpace(fmt.Sprint(s.Short)))
	}
	fmt.Printf("average gap %.2f %%, at most 1 %% on %d of %d\n", sum/float64(n), good, n)
}

// flatSeeds are the piles of the table: PILEWRIGHT_SEEDS lists others.
func flatSeeds() []uint64 {
	var out []uint64
	for _, f := range strings.Fields(os.Getenv("PILEWRIGHT_SEEDS")) {
		if n, err := strconv.ParseUint(f, 10, 64); err == nil {
			out = append(out, n)
		}
	}
	if out == nil {
		out = []uint64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	}
	return out
}

// overfull is a pile of 50 line boards with 8 % more demand than clear length.
func overfull(seed uint64) Problem {
	p := lines(rand.New(rand.NewPCG(seed, 9)), 50)
	p.Items = append(p.Items, p.Items...)
	for k := len(p.Items) / 2; k < len(p.Items); k++ {
		p.Items[k].ID += "+"
		p.Items[k].Length += 5 * mm
	}
	return p
}

// TestShortageTable prints how often the number of missing boards is exact:
// piles of 50 line boards with 8 % more demand than clear length, three lengths.
func TestShortageTable(t *testing.T) {
	if os.Getenv("PILEWRIGHT_FULL") == "" {
		t.Skip("set PILEWRIGHT_FULL to print the table")
	}
	exact, n, took := 0, 0, 0.0
	for seed := range uint64(8) {
		p := overfull(seed)
		start := cpu()
		lack, err := Shortage(context.Background(), p, nil, []measure.Length{900 * mm, 1500 * mm, 2400 * mm}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		took += (cpu() - start) / 2
		text := ""
		for _, x := range lack.Extra {
			n++
			if x.Exact {
				exact++
			}
			text += fmt.Sprintf(" %d..%d of %s;", x.AtLeast, x.Count, show(x.Length))
		}
		fmt.Printf("seed %d:%s\n", seed, text)
	}
	fmt.Printf("exact %d of %d, %.3f s each (two cores)\n", exact, n, took/float64(max(n, 1)))
}

// BenchmarkStop prints how much processor time a solve of ripped boards takes to
// end once it is cancelled, and to its first plan.
func BenchmarkStop(b *testing.B) {
	for _, n := range []int{60, 500, 2000} {
		b.Run(fmt.Sprintf("%d boards", n), func(b *testing.B) {
			worst, first := 0.0, 0.0
			for k := 0; b.Loop(); k++ {
				p := shop(uint64(k), n, n*10/3)
				ctx, cancel := context.WithCancel(context.Background())
				start, shown, stopped := cpu(), make(chan bool, 1), 0.0
				go func() {
					select {
					case <-shown:
					case <-time.After(time.Second):
					}
					stopped = cpu()
					cancel()
				}()
				if _, err := Solve(ctx, p, Options{Progress: func(Progress) {
					if len(shown) == 0 && ctx.Err() == nil {
						first = max(first, cpu()-start)
						shown <- true
					}
				}}); err != nil {
					b.Fatal(err)
				}
				<-ctx.Done()
				worst = max(worst, cpu()-stopped)
			}
			b.ReportMetric(worst*1000, "worst-ms-to-stop")
			b.ReportMetric(first*1000, "worst-ms-to-first-plan")
		})
	}
}
