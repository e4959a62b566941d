// Pilewright plans furniture from salvaged boards. This file reads the command
// line, finds the shop file and the display, and hands over to ui and
// ui/command.
package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/layout/sheet"
	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui"
	"pilewright/ui/command"
)

// memoryGoal is what the window's program should stay under, in bytes, as far as
// it can: near it, what replaced plans held is given up sooner.
const memoryGoal = 384 << 20

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	env := command.Env{
		Stdout: os.Stdout, Stderr: os.Stderr, Now: time.Now, DataDir: dataDir(), Display: hasDisplay(),
		Tools:  func(*plan.Project) plan.Tools { return layout.Tools(time.Now()) },
		Starts: start,
		Sheet: func(w io.Writer, p *plan.Plan, paper string) error {
			return sheet.Write(w, p, sheet.Options{Paper: paper, Now: time.Now().Format(time.DateOnly)})
		},
	}
	env.Window = func(path string) error {
		if os.Getenv("GOMEMLIMIT") == "" {
			debug.SetMemoryLimit(memoryGoal)
		}
		starts, err := allStarts()
		if err != nil {
			return err
		}
		err = ui.Run(path, ui.Deps{Tools: func() plan.Tools { return layout.Tools(time.Now()) }, Starts: starts, Now: time.Now, Fresh: freshShop, Demo: openDemo})
		if errors.Is(err, ui.ErrNoWindow) {
			return command.ErrNoWindow
		}
		return err
	}
	os.Exit(command.Run(ctx, os.Args[1:], env))
}

// openDemo starts the program once more, on the demo.
func openDemo() error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	c := exec.Command(program, "demo")
	c.Stderr = os.Stderr
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }() // so that it does not linger when it has ended
	return nil
}

// freshShop stores a shop of starting guesses in a new file.
func freshShop(f *storage.File) error {
	changes, err := plan.Diff(nil, &plan.Project{Shop: plan.DefaultShop()})
	if err != nil {
		return err
	}
	return f.Commit(storage.Edit{Changes: changes})
}

func start(id string) (plan.Start, error) {
	return plan.OpenStart(assets.Starts, id)
}

func allStarts() ([]plan.Start, error) {
	var out []plan.Start
	for _, id := range []string{"table", "bench", "stool", "shelf", "crate"} {
		s, err := start(id)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// dataDir is the user's data directory by the custom of the system.
func dataDir() string {
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return dir
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "."
	}
	if runtime.GOOS == "linux" {
		return filepath.Join(home, ".local", "share")
	}
	if dir, err := os.UserConfigDir(); err == nil {
		return dir
	}
	return home
}

// hasDisplay reports whether a window can be tried.
func hasDisplay() bool {
	return runtime.GOOS != "linux" || os.Getenv("DISPLAY") != ""
}
