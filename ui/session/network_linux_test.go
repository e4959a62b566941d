package session_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/session"
)

// The test binary plays the program when told to by the environment.
func TestMain(m *testing.M) {
	switch os.Getenv("PILEWRIGHT_TEST_ROLE") {
	case "evening":
		if err := evening(os.Getenv("PILEWRIGHT_TEST_SHOP")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	case "caller":
		if c, err := net.Dial("udp", "127.0.0.1:9"); err == nil {
			c.Close()
		}
	default:
		os.Exit(m.Run())
	}
}

// evening is an evening's work without a window: a shop file made, edited,
// planned, undone, backed up, checked and salvaged.
func evening(path string) error {
	f, err := storage.Create(path, storage.Options{Now: clock})
	if err != nil {
		return err
	}
	defer f.Close()
	q := newQueue()
	s, err := session.New(f, 0, (&planner{}).tools(), q.post, clock)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := s.Edit("new piece", "", func(p *plan.Project) (*plan.Project, error) { return p.NewPiece(rack, "Rack"), nil }); err != nil {
		return err
	}
	if _, err := plan.Make(context.Background(), s.Project(), (&planner{}).tools(), nil); err != nil {
		return err
	}
	if _, err := s.Undo(); err != nil {
		return err
	}
	if _, err := s.Redo(); err != nil {
		return err
	}
	if _, err := f.BackUpDaily(); err != nil {
		return err
	}
	if _, err := storage.Salvage(path, path+".salvaged"); err != nil {
		return err
	}
	_, err = f.Check()
	return err
}

func TestNoConnectionIsOpened(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("strace is not installed; the imports are checked by the test below")
	}
	sockets := func(role string) string {
		t.Helper()
		trace := filepath.Join(t.TempDir(), "trace")
		cmd := exec.Command(strace, "-f", "-qq", "-e", "trace=socket,connect,bind,listen,accept4,sendto", "-o", trace, os.Args[0])
		cmd.Env = append(os.Environ(), "PILEWRIGHT_TEST_ROLE="+role, "PILEWRIGHT_TEST_SHOP="+filepath.Join(t.TempDir(), "shop.pile"))
		if out, err := cmd.CombinedOutput(); err != nil {
			if strings.Contains(string(out), "ptrace") {
				t.Skipf("strace may not trace here: %s", out)
			}
			t.Fatalf("%v: %s", err, out)
		}
		body, err := os.ReadFile(trace)
		if err != nil {
			t.Fatal(err)
		}
		var calls []string
		for _, line := range strings.Split(string(body), "\n") {
			if strings.Contains(line, "socket(") || strings.Contains(line, "connect(") {
				calls = append(calls, line)
			}
		}
		return strings.Join(calls, "\n")
	}
	if sockets("caller") == "" {
		t.Fatal("a program that does open a socket was not noticed")
	}
	if got := sockets("evening"); got != "" {
		t.Errorf("sockets were opened:\n%s", got)
	}
}

// Without package net among what they are made of, our packages below the window
// can't open a connection; the window's toolkit brings it in for itself, and none
// of ours uses it.
func TestNoPackageOfOursUsesTheNetwork(t *testing.T) {
	list := func(args ...string) []string {
		t.Helper()
		cmd := exec.Command("go", append([]string{"list"}, args...)...)
		cmd.Dir = filepath.Join("..", "..")
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("go list: %v", err)
		}
		return strings.Split(strings.TrimSpace(string(out)), "\n")
	}
	deps := list("-deps", "./plan/...", "./layout/...", "./storage/...", "./ui/session")
	if len(deps) < 50 {
		t.Fatalf("only %d packages were listed", len(deps))
	}
	for _, d := range deps {
		if d == "net" || strings.HasPrefix(d, "net/http") || strings.HasPrefix(d, "net/rpc") || d == "net/smtp" {
			t.Errorf("a package below the window is made of %s", d)
		}
	}
	direct := list("-e", "-f", `{{.ImportPath}}: {{join .Imports " "}} `, "./...")
	for _, line := range direct {
		for _, bad := range []string{" net ", " net/http ", " net/rpc ", " net/smtp ", " golang.org/x/net"} {
			if strings.Contains(line, bad) {
				t.Errorf("a package of ours imports%s: %s", bad, line)
			}
		}
	}
}
