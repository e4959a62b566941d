//go:build unix

package storage_test

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

// The test binary plays other programs when told to by the environment.
func TestMain(m *testing.M) {
	switch os.Getenv("PILEWRIGHT_TEST_ROLE") {
	case "writer":
		writer(os.Getenv("PILEWRIGHT_TEST_SHOP"))
	case "reader":
		reader(os.Getenv("PILEWRIGHT_TEST_SHOP"))
	case "small":
		smallDisk(os.Getenv("PILEWRIGHT_TEST_SHOP"))
	default:
		os.Exit(m.Run())
	}
}

func role(name, shop string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "PILEWRIGHT_TEST_ROLE="+name, "PILEWRIGHT_TEST_SHOP="+shop)
	cmd.Stderr = os.Stderr
	return cmd
}

func giveUp(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// writer edits a shop file without end: names, timer ticks and imports of 200
// boards. It prints a line for each when it is stored. The shop's name holds the
// number of the last edit, the timer's seconds that of the last tick, and every
// board of an import has the import's number as its place.
func writer(path string) {
	f, err := storage.Open(path, storage.Options{})
	giveUp(err)
	all, err := f.Load(0)
	giveUp(err)
	p, err := f.Load(all.Pieces[0].ID)
	giveUp(err)
	n, _ := strconv.Atoi(p.Shop.Name)
	n = max(n, int(p.Timer.Seconds))
	for _, b := range p.Boards {
		k, _ := strconv.Atoi(b.Place)
		n = max(n, k)
	}
	for {
		n++
		label, what := "edit", "edit"
		next := p.With(func(q *plan.Project) {
			switch {
			case n%7 == 0:
				what = "import"
				q.Boards = nil // the imports before it make room
				for i := range 200 {
					q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprintf("I%d", i), Place: strconv.Itoa(n), Length: measure.Foot, Width: measure.Inch, Thickness: measure.Inch, Order: i})
				}
			case n%2 == 0:
				label, what = "", "tick"
				q.Timer = plan.Timer{Running: true, Since: time.Unix(int64(n), 0).UTC(), Seconds: int64(n)}
			default:
				q.Shop.Name = strconv.Itoa(n)
			}
		})
		changes, err := plan.Diff(p, next)
		giveUp(err)
		giveUp(f.Commit(storage.Edit{Piece: p.Piece.ID, Label: label, Changes: changes}))
		fmt.Println(what, n)
		p = next
	}
}

func TestPowerCuts(t *testing.T) {
	t.Parallel()
	kills := times(20, 500)
	f, p := newShop(t, 0)
	path := f.Path()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 1))
	stored := map[string]int{}
	hot := 0
	for kill := range kills {
		cmd := role("writer", path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		// Some edits first, then a moment within a millisecond's reach of anything.
		for range 1 + r.IntN(30) {
			if lines.Scan() {
				note(stored, lines.Text())
			}
		}
		time.Sleep(time.Duration(r.Int64N(int64(12 * time.Millisecond))))
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() {
			note(stored, lines.Text())
		}
		if err := cmd.Wait(); err == nil || cmd.ProcessState.ExitCode() == 1 {
			t.Fatalf("kill %d: the writer ended by itself", kill)
		}
		if info, err := os.Stat(path + "-journal"); err == nil && info.Size() > 0 {
			hot++
		}
		f, err := storage.Open(path, storage.Options{})
		if err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		if ro, why := f.ReadOnly(); ro {
			t.Fatalf("kill %d: it opens read-only: %s", kill, why)
		}
		got := load(t, f, p.Piece.ID)
		name, _ := strconv.Atoi(got.Shop.Name)
		if name < stored["edit"] {
			t.Errorf("kill %d: edit %d is lost, the file holds %d", kill, stored["edit"], name)
		}
		if int(got.Timer.Seconds) < stored["tick"] || got.Timer.Since.Unix() != got.Timer.Seconds && stored["tick"] > 0 {
			t.Errorf("kill %d: tick %d is lost or half stored: %+v", kill, stored["tick"], got.Timer)
		}
		places := map[string]int{}
		for _, b := range got.Boards {
			places[b.Place]++
		}
		for place, n := range places {
			k, _ := strconv.Atoi(place)
			if n != 200 || k < stored["import"] || len(places) != 1 {
				t.Errorf("kill %d: after import %d the pile holds %v boards by import", kill, stored["import"], places)
			}
		}
		if stored["import"] > 0 && len(places) == 0 {
			t.Errorf("kill %d: import %d is lost", kill, stored["import"])
		}
		if kill%10 == 0 || kill == kills-1 {
			sound(t, f)
		}
		if kill == kills-1 {
			for { // everything ever acknowledged can still be taken back
				if _, _, err := f.Undo(p.Piece.ID); errors.Is(err, storage.ErrNothing) {
					break
				} else if err != nil {
					t.Fatal(err)
				}
			}
			if got := load(t, f, p.Piece.ID); got.Shop.Name != p.Shop.Name || len(got.Boards) != 0 {
				t.Errorf("undone to the first state: %q with %d boards", got.Shop.Name, len(got.Boards))
			}
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		if t.Failed() {
			return
		}
	}
	t.Logf("%d kills, %d of them within a transaction (a journal to roll back); last stored %v", kills, hot, stored)
}

func note(stored map[string]int, line string) {
	what, number, _ := strings.Cut(line, " ")
	if n, err := strconv.Atoi(number); err == nil {
		stored[what] = max(stored[what], n)
	}
}

// hotShop makes a shop file as a power cut within a transaction leaves it. The
// writer is stopped with SIGSTOP and its two files copied; done on running
// writers until a journal is caught.
func hotShop(t *testing.T, dir string) string {
	t.Helper()
	f, _ := newShop(t, 0)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	cmd := role("writer", f.Path())
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, out)
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	path := filepath.Join(dir, "hot.pile")
	for range 2000 {
		time.Sleep(3 * time.Millisecond)
		cmd.Process.Signal(syscall.SIGSTOP)
		var s syscall.WaitStatus // it runs on for a moment after the signal
		if _, err := syscall.Wait4(cmd.Process.Pid, &s, syscall.WUNTRACED, nil); err != nil || !s.Stopped() {
			t.Fatalf("the writer did not stop: %v, %v", s, err)
		}
		journal, err := os.ReadFile(f.Path() + "-journal")
		// A journal's first page count is written when it is synced; from then
		// on it is rolled back (sqlite.org/fileformat2.html, section 3).
		if err == nil && len(journal) > 512 && string(journal[:8]) == "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" && string(journal[8:12]) != "\x00\x00\x00\x00" {
			for from, to := range map[string]string{f.Path(): path, f.Path() + "-journal": path + "-journal"} {
				if err := os.WriteFile(to, readFile(t, from), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			return path
		}
		cmd.Process.Signal(syscall.SIGCONT)
	}
	t.Skip("no transaction was caught half done")
	return ""
}

func TestAHalfEditIsTakenBackAtTheNextOpening(t *testing.T) {
	t.Parallel()
	path := hotShop(t, t.TempDir())
	if _, err := storage.Open(path, storage.Options{ReadOnly: true}); !errors.Is(err, storage.ErrCutShort) {
		t.Errorf("for reading only: %v, want ErrCutShort", err)
	}
	f, err := storage.Open(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, f)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path + "-journal"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the journal is still there: %v", err)
	}
}

// nobody gives the command no right to write what is root's.
func nobody(cmd *exec.Cmd) {
	if os.Getuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
}

// reader opens a shop file, tells how, and tries an edit.
func reader(path string) {
	f, err := storage.Open(path, storage.Options{})
	giveUp(err)
	ro, why := f.ReadOnly()
	p, err := f.Load(0)
	giveUp(err)
	fmt.Printf("read-only %v: %s; %d boards\n", ro, why, len(p.Boards))
	changes, err := plan.Diff(p, p.With(func(q *plan.Project) { q.Shop.Name = "x" }))
	giveUp(err)
	fmt.Println(f.Commit(storage.Edit{Label: "name", Changes: changes}))
	giveUp(f.Close())
}

// guarded writes a shop file of 4 boards under these rights, in a folder every
// folder above which is open to all.
func guarded(t *testing.T, file, folder os.FileMode) (dir, path string, body []byte) {
	t.Helper()
	f, _ := newShop(t, 4)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("", "pilewright")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(dir, 0o700); os.RemoveAll(dir) })
	path, body = filepath.Join(dir, "shop.pile"), readFile(t, f.Path())
	if err := os.WriteFile(path, body, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Chmod(path, file), os.Chmod(dir, folder)); err != nil {
		t.Fatal(err)
	}
	return dir, path, body
}

// roleOfNobody is role played by a user without rights.
func roleOfNobody(t *testing.T, name, path string) *exec.Cmd {
	t.Helper()
	cmd := role(name, path)
	if os.Getuid() == 0 { // the test binary itself may lie where only root may go
		h, err := os.CreateTemp("", "pilewright-test-*")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.Remove(h.Name()) })
		_, err = h.Write(readFile(t, os.Args[0]))
		if err := errors.Join(err, h.Chmod(0o755), h.Close()); err != nil {
			t.Fatal(err)
		}
		cmd.Path, cmd.Args[0] = h.Name(), h.Name()
		cmd.Dir = "/"
	}
	nobody(cmd)
	return cmd
}

func TestAFileThatMayNotBeReadIsRefusedWithASentence(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ file, folder os.FileMode }{
		"a file without leave to read":    {0o200, 0o755},
		"a folder without leave to enter": {0o666, 0o600},
	} {
		t.Run(name, func(t *testing.T) {
			dir, path, body := guarded(t, c.file, c.folder)
			cmd := roleOfNobody(t, "reader", path)
			cmd.Stderr = nil
			_, err := cmd.Output()
			var ended *exec.ExitError
			if !errors.As(err, &ended) || !strings.Contains(string(ended.Stderr), path) || !strings.Contains(string(ended.Stderr), storage.ErrNoLeave.Error()) {
				t.Errorf("got %v, %s", err, ended.Stderr)
			}
			if err := errors.Join(os.Chmod(dir, 0o700), os.Chmod(path, 0o600)); err != nil {
				t.Fatal(err)
			}
			if string(readFile(t, path)) != string(body) || files(t, dir) != "shop.pile" {
				t.Errorf("the file was changed, or the folder: %q", files(t, dir))
			}
		})
	}
}

func TestFilesThatMayNotBeWrittenOpenForReading(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		file, folder os.FileMode
		why          string
	}{
		"a file without leave to write":   {0o444, 0o777, "it may not be written here"},
		"a folder without leave to write": {0o666, 0o555, "its folder may not be written"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, path, body := guarded(t, c.file, c.folder)
			cmd := roleOfNobody(t, "reader", path)
			out, err := cmd.Output()
			if err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			if want := "read-only true: " + c.why + "; 4 boards\n"; !strings.HasPrefix(string(out), want) || !strings.Contains(string(out), "may not be written here: "+c.why) {
				t.Errorf("got %q, want %q and an edit refused with the reason", out, want)
			}
			if string(readFile(t, path)) != string(body) || files(t, dir) != "shop.pile" {
				t.Errorf("the file was changed, or the folder: %q", files(t, dir))
			}
		})
	}
}

// smallDisk edits until the disk is full, then undoes.
func smallDisk(path string) {
	limit := syscall.Rlimit{Cur: 300_000, Max: 300_000}
	giveUp(syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit)) // no file may grow beyond; the runtime ignores SIGXFSZ
	endure(path)
}

func endure(path string) {
	f, err := storage.Open(path, storage.Options{})
	giveUp(err)
	p, err := f.Load(0)
	giveUp(err)
	n := 0
	for n < 10_000 {
		next := p.With(func(q *plan.Project) { q.Shop.Name = strings.Repeat("n", 5000) + strconv.Itoa(n+1) })
		changes, err := plan.Diff(p, next)
		giveUp(err)
		if err := f.Commit(storage.Edit{Label: "name", Changes: changes}); err != nil {
			fmt.Println(n, err)
			break
		}
		n, p = n+1, next
	}
	again, err := f.Load(0)
	giveUp(err)
	fmt.Println(strings.TrimLeft(again.Shop.Name, "n"))
	faults, err := f.Check()
	fmt.Println(len(faults), err)
	giveUp(f.Close())
}

func TestAFullDisk(t *testing.T) {
	t.Parallel()
	run := func(t *testing.T, name, path string) {
		t.Helper()
		out, err := role(name, path).Output()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		lines := strings.Split(strings.TrimSpace(string(out)), "\n")
		if len(lines) != 3 {
			t.Fatalf("got %q", out)
		}
		n, say, _ := strings.Cut(lines[0], " ")
		if k, err := strconv.Atoi(n); err != nil || k < 3 {
			t.Errorf("only %s edits fitted", n)
		}
		if !strings.Contains(say, storage.ErrFull.Error()) {
			t.Errorf("after %s edits: %q, want %q", n, say, storage.ErrFull)
		}
		if lines[1] != n {
			t.Errorf("after edit %s the disk was full, and the file holds edit %s", n, lines[1])
		}
		if lines[2] != "0 <nil>" {
			t.Errorf("check: %s", lines[2])
		}
		f, err := storage.Open(path, storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		sound(t, f)
	}
	t.Run("a limit on the size of files", func(t *testing.T) {
		f, _ := newShop(t, 4)
		f.Close()
		run(t, "small", f.Path())
	})
	t.Run("a small file system", func(t *testing.T) {
		dir := t.TempDir()
		if err := mountSmall(dir); err != nil {
			t.Skipf("no small file system can be mounted: %v", err)
		}
		defer unmount(dir)
		f, _ := newShop(t, 4)
		f.Close()
		path := filepath.Join(dir, "shop.pile")
		if err := os.WriteFile(path, readFile(t, f.Path()), 0o600); err != nil {
			t.Fatal(err)
		}
		g, err := storage.Open(path, storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := load(t, g, 0)
		for i := 0; ; i++ {
			next := p.With(func(q *plan.Project) { q.Shop.Name = fmt.Sprint(strings.Repeat("n", 5000), i) })
			changes, err := plan.Diff(p, next)
			if err != nil {
				t.Fatal(err)
			}
			if err := g.Commit(storage.Edit{Label: "name", Changes: changes}); err != nil {
				if !errors.Is(err, storage.ErrFull) {
					t.Errorf("edit %d: %v, want ErrFull", i, err)
				}
				break
			}
			p = next
		}
		if got := load(t, g, 0).Shop.Name; got != p.Shop.Name {
			t.Error("the last edit that was stored is not there")
		}
		sound(t, g)
		if made, err := g.BackUpDaily(); made || !errors.Is(err, storage.ErrFull) {
			t.Errorf("a backup on the full disk: made %v, %v, want ErrFull", made, err)
		}
		if got := files(t, storage.BackupDir(path)); got != "" {
			t.Errorf("the failed backup left %q", got)
		}
		if err := g.Close(); err != nil {
			t.Fatal(err)
		}
		if g, err = storage.Open(path, storage.Options{}); err != nil {
			t.Fatal(err)
		}
		sound(t, g)
		g.Close()
	})
}

// Of many windows that open one after the other and at once, never two may write.
func TestOnlyOneWindowWrites(t *testing.T) {
	t.Parallel()
	f, _ := newShop(t, 1)
	path := f.Path()
	f.Close()
	var mu sync.Mutex
	var wait sync.WaitGroup
	writers, most, turns := 0, 0, 0
	for range 8 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for range 30 {
				f, err := storage.Open(path, storage.Options{})
				if err != nil {
					if !errors.Is(err, storage.ErrBusy) {
						t.Error(err)
					}
					continue
				}
				if ro, _ := f.ReadOnly(); !ro {
					mu.Lock()
					writers, turns = writers+1, turns+1
					most = max(most, writers)
					mu.Unlock()
					time.Sleep(time.Millisecond)
					mu.Lock()
					writers--
					mu.Unlock()
				}
				f.Close()
			}
		}()
	}
	wait.Wait()
	if most != 1 || turns == 0 {
		t.Errorf("%d windows could write at once (%d turns), want 1", most, turns)
	}
	if got := files(t, filepath.Dir(path)); got != "shop.pile" {
		t.Errorf("the folder holds %q", got)
	}
}
