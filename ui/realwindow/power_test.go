//go:build linux

package realwindow

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
	"pilewright/ui/command"
)

// kills is how often the power is cut: all of them when PILEWRIGHT_FULL is set.
func kills() int {
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		return 500
	}
	return 3
}

// The edits of the shop that is taken back and forth: edit k names the piece
// after itself and imports a crate of boards, in one transaction.
const (
	edits = 40
	crate = 40
)

// editedShop writes a shop file with that history, and half of it undone.
func editedShop(t *testing.T, path string) plan.ID {
	t.Helper()
	demoShop(t, path)
	f, err := storage.Open(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := potting(t, f)
	for k := 1; k <= edits; k++ {
		next := p.With(func(q *plan.Project) {
			q.Piece.Name = fmt.Sprint("Edit ", k)
			q.Boards = append([]plan.Board(nil), q.Boards...)
			for i := range crate {
				// Kept boards, so that the plan of every state has the same steps.
				q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprintf("K%d-%d", k, i), Place: fmt.Sprint("crate ", k), State: plan.Kept,
					Length: 30 * measure.Inch, Width: 3 * measure.Inch, Thickness: measure.Inch, Species: "pine", Order: 1000*k + i})
			}
		}).Settled()
		changes, err := plan.Diff(p, next)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "import", Changes: changes}); err != nil {
			t.Fatal(err)
		}
		p = next
	}
	for range edits / 2 {
		if _, _, err := f.Undo(p.Piece.ID); err != nil {
			t.Fatal(err)
		}
	}
	err = errors.Join(f.SetSetting("room", "bench"), f.SetSetting("piece", fmt.Sprint(p.Piece.ID)), f.Close())
	if err != nil {
		t.Fatal(err)
	}
	return p.Piece.ID
}

func demoShop(t *testing.T, path string) {
	t.Helper()
	f, err := storage.Create(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = command.FillDemo(f, command.Env{Now: time.Now, Starts: func(id string) (plan.Start, error) { return plan.OpenStart(assets.Starts, id) }})
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
}

// witness watches a window from outside: the title, which follows what is
// stored, and the shop file through a connection that only reads.
type witness struct {
	mu    sync.Mutex
	title int // the edit the window names as stored; -1 = none yet
	shown int // how many titles were seen, one after the other
	timer plan.Timer
	lines map[measure.Length]int // boards by their length
	stop  chan struct{}
	done  sync.WaitGroup
	close func()
}

func watch(d *desktop, window, path string, piece plan.ID) *witness {
	w := &witness{title: -1, lines: map[measure.Length]int{}, stop: make(chan struct{})}
	w.every(func() {
		c := exec.Command("xdotool", "getwindowname", window)
		c.Env = d.env
		out, err := c.Output()
		if k, ok := edit(string(out)); err == nil && ok {
			w.mu.Lock()
			if k != w.title {
				w.title, w.shown = k, w.shown+1
			}
			w.mu.Unlock()
		}
	})
	var f *storage.File
	w.close = func() {
		if f != nil {
			_ = f.Close()
		}
	}
	w.every(func() {
		if f == nil {
			f, _ = storage.Open(path, storage.Options{ReadOnly: true})
			return
		}
		p, err := f.Load(piece)
		if err != nil {
			return // in the midst of an edit
		}
		w.mu.Lock()
		w.timer = p.Timer
		for l, n := range byLength(p) {
			w.lines[l] = max(w.lines[l], n)
		}
		w.mu.Unlock()
	})
	return w
}

func look(path string, piece plan.ID) (*plan.Project, error) {
	f, err := storage.Open(path, storage.Options{ReadOnly: true})
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return f.Load(piece)
}

func byLength(p *plan.Project) map[measure.Length]int {
	out := map[measure.Length]int{}
	for _, b := range p.Boards {
		if b.Width == 2*measure.Inch && b.Thickness == measure.Inch {
			out[b.Length]++
		}
	}
	return out
}

// edit reads the number of the last edit from a window's title; the demo's own
// name is edit 0.
func edit(title string) (int, bool) {
	name, _, _ := strings.Cut(strings.TrimSpace(title), " – ")
	if name == "Potting table" {
		return 0, true
	}
	k, err := strconv.Atoi(strings.TrimPrefix(name, "Edit "))
	return k, err == nil
}

func (w *witness) every(look func()) {
	w.done.Add(1)
	go func() {
		defer w.done.Done()
		for {
			select {
			case <-w.stop:
				return
			case <-time.After(15 * time.Millisecond):
				look()
			}
		}
	}()
}

// end stops watching; nothing that was shown after the kill is taken for shown.
func (w *witness) end() {
	close(w.stop)
	w.done.Wait()
	w.close()
}

// started opens the window and waits only for its title.
func (d *desktop) started(binary string, args ...string) *program {
	d.t.Helper()
	p := &program{d: d, cmd: exec.Command(binary, args...), done: make(chan error, 1)}
	p.cmd.Env, p.cmd.Stdout, p.cmd.Stderr = d.env, &p.log, &p.log
	if err := p.cmd.Start(); err != nil {
		d.t.Fatal(err)
	}
	go func() { p.done <- p.cmd.Wait() }()
	d.t.Cleanup(func() { _ = p.cmd.Process.Kill() })
	p.until(2*time.Minute, "a window opens", func() bool {
		c := exec.Command("xdotool", "search", "--onlyvisible", "--name", "Pilewright")
		c.Env = d.env
		out, _ := c.Output()
		p.id, _, _ = strings.Cut(strings.TrimSpace(string(out)), "\n")
		return p.id != ""
	})
	d.run("xdotool", "windowfocus", "--sync", p.id)
	return p
}

// burst sends keys without waiting for them to be done.
func (d *desktop) burst(args ...string) func() {
	c := exec.Command("xdotool", args...)
	c.Env = d.env
	if err := c.Start(); err != nil {
		d.t.Fatal(err)
	}
	return func() {
		_ = c.Process.Kill()
		_ = c.Wait()
		// It may have held one of its keys, which would repeat.
		held := append([]string{"keyup", "Control_L", "Shift_L", "space", "Return", "Tab", "Right", "at"}, strings.Split("0123456789abcdefikmnopqrstuxyz", "")...)
		d.run("xdotool", held...)
	}
}

// The window is killed amid bursts of real keys. What it had named in its title,
// or another process had read, must be there afterwards, whole.
func TestPowerCutsOfTheWindow(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	d := newDesktop(t)
	binary := build(t)
	dir := t.TempDir()
	moved, added := filepath.Join(dir, "moved.pile"), filepath.Join(dir, "added.pile")
	editedShop(t, moved)
	demoShop(t, added)
	fresh, err := os.ReadFile(added)
	if err != nil {
		t.Fatal(err)
	}
	cuts := &powerCuts{d: d, binary: binary, r: rand.New(rand.NewPCG(9, 500))}
	began := time.Now()
	n := kills()
	for kill := range n {
		if kill%3 == 2 {
			if cuts.line > 60 { // the pile would grow without end
				cuts.line = 0
				if err := os.WriteFile(added, fresh, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			cuts.whileAdding(t, kill, added)
		} else {
			cuts.whileUndoing(t, kill, moved)
		}
		if t.Failed() {
			return
		}
	}
	t.Logf("%d kills in %v: %d titles seen, %d entries of boards, %d of them files, and %d turns of the clock stored before them, %d clocks that ran on; %d left a journal to roll back",
		n, time.Since(began).Round(time.Second), cuts.titles, cuts.entries, cuts.imports, cuts.turns, cuts.ran, cuts.hot)
	if cuts.titles < n || cuts.entries <= cuts.imports || cuts.imports == 0 || n > 50 && (cuts.turns == 0 || cuts.ran == 0 || cuts.hot == 0) {
		t.Error("too little was stored before the kills; the test shows nothing")
	}
}

type powerCuts struct {
	d                           *desktop
	binary                      string
	r                           *rand.Rand
	line                        int // the last line of boards added to the pile
	titles, entries, turns, hot int
	imports                     int // files of boards taken in whole
	ran                         int // clocks that ran on through a kill
}

// whileUndoing kills amid undo, redo and the clock.
func (c *powerCuts) whileUndoing(t *testing.T, kill int, path string) {
	before, err := look(path, 0)
	if err != nil {
		t.Fatalf("kill %d: %v", kill, err)
	}
	piece := before.Pieces[len(before.Pieces)-1].ID
	for _, p := range before.Pieces {
		if _, ok := edit(p.Name); ok {
			piece = p.ID
		}
	}
	at, _ := stateOf(t, path, piece)
	began := time.Now()
	p := c.d.started(c.binary, "-shop", path)
	w := watch(c.d, p.id, path, piece)
	// One direction only, so that every state tells where on the way it was.
	from, key, left := at, "ctrl+z", at
	if at < edits/2 {
		key, left = "ctrl+y", edits-at
	}
	args := []string{"key", "--delay", strconv.Itoa(2 + c.r.IntN(25))}
	for range left {
		if args = append(args, key); c.r.IntN(3) == 0 {
			args = append(args, "ctrl+space")
		}
	}
	end := c.d.burst(args...)
	p.until(time.Minute, "the first edit is named as stored", func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return w.shown > 1
	})
	time.Sleep(time.Duration(c.r.Int64N(int64(600 * time.Millisecond))))
	c.kill(t, kill, p, path)
	end()
	w.end()
	got, clock := stateOf(t, path, piece)
	if key == "ctrl+z" && got > w.title || key == "ctrl+y" && got < w.title {
		t.Errorf("kill %d: %s from edit %d on: the window named edit %d as stored, the file holds %d", kill, key, from, w.title, got)
	}
	if clock.Since.Before(w.timer.Since) || clock.Seconds < w.timer.Seconds {
		t.Errorf("kill %d: the clock was stored as %+v and is %+v", kill, w.timer, clock)
	}
	// A clock that ran before the kill before this one ran on through it.
	if b := before.Timer; b.Running && clock.Step == b.Step {
		if least := b.Seconds + int64(began.Sub(b.Since).Seconds()) - 1; worked(clock, time.Now()) < least {
			t.Errorf("kill %d: the clock showed %d s at the start and holds %+v", kill, least, clock)
		}
		c.ran++
	}
	c.titles += w.shown
	if clock != before.Timer {
		c.turns++
	}
}

// worked is the time on a clock, in seconds.
func worked(c plan.Timer, now time.Time) int64 {
	if c.Running {
		return c.Seconds + int64(now.Sub(c.Since).Seconds())
	}
	return c.Seconds
}

// stateOf gives the edit a shop holds, which must be whole: the piece's name, and
// the crates up to it.
func stateOf(t *testing.T, path string, piece plan.ID) (int, plan.Timer) {
	t.Helper()
	p := sound(t, path, piece)
	k, ok := edit(p.Piece.Name)
	if !ok {
		t.Fatalf("the piece is called %q", p.Piece.Name)
	}
	crates := map[string]int{}
	for _, b := range p.Boards {
		if strings.HasPrefix(b.Place, "crate ") {
			crates[b.Place]++
		}
	}
	for i := 1; i <= edits; i++ {
		want := 0
		if i <= k {
			want = crate
		}
		if n := crates[fmt.Sprint("crate ", i)]; n != want {
			t.Errorf("at edit %d crate %d holds %d boards, want %d", k, i, n, want)
		}
	}
	return k, p.Timer
}

// sound opens a shop as the next start would, has all of it checked, and gives
// what it holds.
func sound(t *testing.T, path string, piece plan.ID) *plan.Project {
	t.Helper()
	f, err := storage.Open(path, storage.Options{}) // with SQLite's integrity check, every sum read
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if ro, why := f.ReadOnly(); ro {
		t.Fatalf("it opens for reading only: %s", why)
	}
	faults, err := f.Check()
	if err != nil || len(faults) > 0 {
		t.Errorf("check: %q, %v", faults, err)
	}
	p, err := f.Load(piece)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// whileAdding kills amid lines of boards typed into the pile and files of boards
// taken into it by the keys of their two dialogs.
func (c *powerCuts) whileAdding(t *testing.T, kill int, path string) {
	p := c.d.started(c.binary, "-shop", path)
	p.until(time.Minute, "the window is painted", func() bool { return colours(p.screen()) > 20 })
	w := watch(c.d, p.id, path, 0)
	from, files, first := c.line, 0, 0
	delay := strconv.Itoa(2 + c.r.IntN(6))
	args := commandKeys(delay, "add boards quick") // to the line where they are typed; it keeps the keyboard
	for range 12 {
		c.line++
		if imported(c.line) {
			if files++; files == 1 {
				first = c.line
			}
			c.d.boardsFile(files, c.line)
			args = append(args, importKeys(delay, files)...)
		} else {
			args = append(args, "type", "--delay", delay, "--args", "1", fmt.Sprintf("%d @ %d x 2 x 1 pine", boardsOf(c.line), 10+c.line), "key", "Return")
		}
	}
	end := c.d.burst(args...)
	p.until(time.Minute, "the first file of boards is stored", func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return w.lines[lengthOf(first)] > 0
	})
	time.Sleep(time.Duration(c.r.Int64N(int64(1200 * time.Millisecond))))
	c.kill(t, kill, p, path)
	end()
	w.end()
	got := byLength(sound(t, path, 0))
	last := 0
	for k := 1; k <= c.line; k++ {
		switch n := got[lengthOf(k)]; {
		case n == boardsOf(k):
			if last != k-1 {
				t.Errorf("kill %d: line %d is stored, line %d is not", kill, k, last+1)
			}
			last = k
			if k > from && imported(k) {
				c.imports++
			}
		case n != 0 || w.lines[lengthOf(k)] != 0:
			t.Errorf("kill %d: line %d has %d boards, want %d; %d had been read", kill, k, n, boardsOf(k), w.lines[lengthOf(k)])
		}
	}
	c.entries += last - from
	c.line = last
}

// imported says whether the boards of a line come from a file.
func imported(line int) bool { return line%3 == 0 }

// boardsOf is how many boards a line holds.
func boardsOf(line int) int {
	if imported(line) {
		return 200
	}
	return 1 + line%2
}

// lengthOf is how long the boards of a line are; by it they are known.
func lengthOf(line int) measure.Length { return measure.Length(10+line) * measure.Inch }

// boardsFile writes the n-th file of boards where the dialog for files begins.
func (d *desktop) boardsFile(n, line int) {
	d.t.Helper()
	body := "length,width,thickness,species,count\n" + strings.Repeat(fmt.Sprintf("%d,2,1,pine,20\n", 10+line), boardsOf(line)/20)
	if err := os.WriteFile(filepath.Join(d.home, fmt.Sprintf("boards%d.csv", n)), []byte(body), 0o600); err != nil {
		d.t.Fatal(err)
	}
}

// commandKeys do something by the list of commands; more keys may follow.
func commandKeys(delay, name string) []string {
	return []string{"key", "--delay", delay, "ctrl+k", "type", "--delay", delay, "--args", "1", name, "key", "--delay", delay, "Return"}
}

// importKeys take the n-th file of boards into the pile: by the list of commands
// to the dialog for files, in it past the folder above to the file, to its Open,
// and then to Add them below the table of what would come.
func importKeys(delay string, n int) []string {
	args := append(commandKeys(delay, "import boards from"), "Tab", "Tab")
	for range n {
		args = append(args, "Right")
	}
	return append(args, "space", "shift+Tab", "shift+Tab", "space", "shift+Tab", "space")
}

func (c *powerCuts) kill(t *testing.T, kill int, p *program, path string) {
	t.Helper()
	select {
	case err := <-p.done:
		t.Fatalf("kill %d: the window ended by itself: %v\n%s", kill, err, p.log.String())
	default:
	}
	if err := p.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-p.done
	if info, err := os.Stat(path + "-journal"); err == nil && info.Size() > 0 {
		c.hot++
	}
	if kill%10 == 0 {
		// One process of the program reads for all: check says so in words.
		if _, err := look(path, 0); err == nil {
			out, err := exec.Command(c.binary, "check", "-shop", path).CombinedOutput()
			if err != nil {
				t.Errorf("kill %d: check: %v, %s", kill, err, out)
			}
		}
	}
}
