//go:build linux

package realwindow

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/storage"
)

// sockets gives the calls of a trace that open or use a socket: those that stay
// on this machine, and those that could leave it.
func sockets(t *testing.T, trace string) (here, away []string) {
	t.Helper()
	body, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(body), "\n") {
		for _, call := range []string{"socket(", "socketpair(", "connect(", "bind(", "listen(", "sendto("} {
			switch {
			case !strings.Contains(line, call):
				continue
			case local(line):
				here = append(here, line)
			default:
				away = append(away, line)
			}
			break
		}
	}
	return here, away
}

// local is a call that can't leave this machine: the display's socket, and the
// one by which the C library asks for a user's name.
func local(line string) bool {
	return strings.Contains(line, "AF_UNIX") && (!strings.Contains(line, "connect(") || strings.Contains(line, "/tmp/.X11-unix/") || strings.Contains(line, "/var/run/nscd/"))
}

func traced(strace, trace string, command ...string) *exec.Cmd {
	return exec.Command(strace, append([]string{"-f", "-qq", "-s", "200", "-e", "trace=network", "-o", trace}, command...)...)
}

// smallShop writes a shop file that is planned at once: a stool and no boards.
func smallShop(t *testing.T, path string) {
	t.Helper()
	start, err := plan.OpenStart(assets.Starts, "stool")
	if err != nil {
		t.Fatal(err)
	}
	f, err := storage.Create(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(start, "Stool").Settled()
	changes, err := plan.Diff(nil, p)
	if err := errors.Join(err, f.Commit(storage.Edit{Changes: changes}), f.Close()); err != nil {
		t.Fatal(err)
	}
}

// The program as it is shipped is run under strace: its commands and its window use
// no socket that could leave this machine.
func TestTheProgramReachesNoNetwork(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("strace is not installed; bash assets/setup.sh tests installs it")
	}
	dir := t.TempDir()
	// What the trace shows of a program that does send something.
	trace := filepath.Join(dir, "known")
	if out, err := traced(strace, trace, "bash", "-c", "echo x > /dev/udp/127.0.0.1/9").CombinedOutput(); err != nil {
		t.Skipf("strace may not trace here: %v, %s", err, out)
	}
	if here, away := sockets(t, trace); len(away) == 0 {
		t.Fatalf("a packet that was sent is not seen: %q", here)
	}
	binary := build(t)
	shop := filepath.Join(dir, "demo.pile")
	for name, text := range map[string]string{
		"b.csv": "board,length,width,thickness\nB1,48,5.5,7/8\n", "p.csv": "part,count,length,width,thickness\nleg,2,20,2,3/4\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	demoShop(t, shop)
	small := filepath.Join(dir, "small.pile")
	smallShop(t, small)
	for _, args := range [][]string{
		{"list", "-shop", shop},
		{"check", "-shop", shop},
		{"plan", "-shop", small, "-piece", "Stool"},
		{"sheet", "-shop", small, "-piece", "Stool", "-o", filepath.Join(dir, "s.pdf")},
		{"cuts", "-boards", filepath.Join(dir, "b.csv"), "-parts", filepath.Join(dir, "p.csv"), "-effort", "100ms"},
		{"help"},
	} {
		trace := filepath.Join(dir, args[0])
		c := traced(strace, trace, append([]string{binary}, args...)...)
		if out, err := c.CombinedOutput(); err != nil && c.ProcessState.ExitCode() != 1 {
			t.Errorf("%s: %v\n%s", args[0], err, out)
		}
		if _, away := sockets(t, trace); len(away) > 0 {
			t.Errorf("%s uses the network:\n%s", args[0], strings.Join(away, "\n"))
		}
	}
	t.Run("the window", func(t *testing.T) {
		d := newDesktop(t)
		trace := filepath.Join(dir, "window")
		p := d.open(strace, "-f", "-qq", "-s", "200", "-e", "trace=network", "-o", trace, binary, "-shop", shop)
		p.command("add boards quick")
		p.write("2 @ 33 x 2 x 1 pine")
		p.key("Return")
		p.until(20*time.Second, "an edit is stored", func() bool {
			q, err := look(shop, 0)
			return err == nil && len(byLength(q)) > 0
		})
		p.command("open the build sheet to print")
		p.until(60*time.Second, "the build sheet reaches the viewer", func() bool {
			_, err := os.Stat(d.viewed)
			return err == nil
		})
		p.quit()
		here, away := sockets(t, trace)
		if len(here) == 0 {
			t.Fatal("not even the display's socket was seen")
		}
		if len(away) > 0 {
			t.Errorf("the window uses the network:\n%s", strings.Join(away, "\n"))
		}
		t.Logf("%d calls stay on this machine", len(here))
	})
}
