// Package command runs Pilewright from a command line: the same plan as the
// window's, without one. It decides what is printed, what is written and the
// exit status; main hands it the arguments and what opens a window.
package command

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"pilewright/plan"
	"pilewright/storage"
)

// Exit statuses.
const (
	Done   = 0 // the job is done
	Short  = 1 // it can't be fully done; what is short was printed
	Misuse = 2 // bad input or usage; nothing was written
)

// Env is the world a command runs in.
type Env struct {
	Stdout, Stderr io.Writer
	Now            func() time.Time
	DataDir        string // where the shop file lies when none is named
	Tools          func(*plan.Project) plan.Tools
	Starts         func(id string) (plan.Start, error)
	Sheet          func(w io.Writer, p *plan.Plan, paper string) error
	Display        bool // a window can be opened
	Window         func(path string) error
}

const usage = `Pilewright plans furniture from salvaged boards.

  pilewright [-shop FILE]                          the window
  pilewright demo [-shop FILE] [-no-window] [-o OUT.pdf]
  pilewright list  -shop FILE                      the pieces, one a line
  pilewright plan  -shop FILE -piece NAME [-json]  the whole plan
  pilewright sheet -shop FILE -piece NAME -o OUT.pdf [-paper letter|a4] [-language en|es]
  pilewright cuts  -boards B.csv -parts P.csv [-crosscut-kerf 1/8in] [-rip-kerf 1/8in] [-effort 2s] [-json]
  pilewright check -shop FILE                      integrity of the file and of its contents

"pilewright cuts -help" tells what the two lists may hold, and further flags.
Exit status: 0 done, 1 the job can't be fully done, 2 bad input or usage.
`

// ErrNoWindow says that the display there is can't be used.
var ErrNoWindow = errors.New("no window could be opened on this display; use the commands list, plan, sheet, cuts and check")

// misuse is an error of the one who typed the command.
type misuse struct{ error }

func badUse(format string, args ...any) error { return misuse{fmt.Errorf(format, args...)} }

// shortage is a job that can't be fully done; what is short was printed.
var errShort = errors.New("the job can't be fully done")

// Run runs the command line (without the program's name) and gives the exit status.
func Run(ctx context.Context, args []string, env Env) int {
	err := run(ctx, args, env)
	switch {
	case err == nil:
		return Done
	case errors.Is(err, errShort):
		return Short
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(env.Stdout, usage)
		return Done
	}
	fmt.Fprintln(env.Stderr, sentence(err))
	return Misuse
}

// sentence makes an error read as one.
func sentence(err error) string {
	text := err.Error()
	if text == "" {
		return text
	}
	text = strings.ToUpper(text[:1]) + text[1:]
	if !strings.HasSuffix(text, ".") {
		text += "."
	}
	return text
}

func run(ctx context.Context, args []string, env Env) error {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") {
		return window(args, env)
	}
	verb, rest := args[0], args[1:]
	switch verb {
	case "demo":
		return demonstrate(ctx, rest, env)
	case "list":
		return list(rest, env)
	case "plan":
		return showPlan(ctx, rest, env)
	case "sheet":
		return writeSheet(ctx, rest, env)
	case "cuts":
		return cuts(ctx, rest, env)
	case "check":
		return check(rest, env)
	case "help":
		return flag.ErrHelp
	}
	return badUse("there is no command %q; the commands are demo, list, plan, sheet, cuts and check", verb)
}

// flags parses args by set; a positional argument left over is refused.
func flags(set *flag.FlagSet, args []string) error {
	set.SetOutput(io.Discard)
	if err := set.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return badUse("%s: %v", set.Name(), err)
	}
	if set.NArg() > 0 {
		return badUse("%s: %q is not a flag; flags begin with a dash", set.Name(), set.Arg(0))
	}
	return nil
}

func newSet(name string) *flag.FlagSet { return flag.NewFlagSet(name, flag.ContinueOnError) }

// need refuses a missing flag.
func need(set *flag.FlagSet, names ...string) error {
	for _, n := range names {
		if set.Lookup(n).Value.String() == "" {
			return badUse("%s: -%s is missing", set.Name(), n)
		}
	}
	return nil
}

// DefaultShop is the shop file used when none is named.
func DefaultShop(dataDir string) string { return filepath.Join(dataDir, "pilewright", "shop.pile") }

func window(args []string, env Env) error {
	set := newSet("pilewright")
	shop := set.String("shop", "", "")
	if err := flags(set, args); err != nil {
		return err
	}
	if *shop == "" {
		*shop = DefaultShop(env.DataDir)
	}
	if !env.Display {
		return badUse("there is no display to open a window on; use the commands list, plan, sheet, cuts and check, or set DISPLAY")
	}
	return env.Window(*shop)
}

// openPiece opens the shop file for reading with the named piece.
func openPiece(shop, piece string) (*plan.Project, error) {
	f, err := storage.Open(shop, storage.Options{ReadOnly: true})
	if err != nil {
		return nil, err
	}
	defer f.Close()
	all, err := f.Load(0)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range all.Pieces {
		if strings.EqualFold(p.Name, piece) {
			return f.Load(p.ID)
		}
		names = append(names, p.Name)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("the shop file holds no piece yet")
	}
	return nil, fmt.Errorf("there is no piece %q; the pieces are %s", piece, strings.Join(names, ", "))
}

func list(args []string, env Env) error {
	set := newSet("list")
	shop := set.String("shop", "", "")
	if err := flags(set, args); err != nil {
		return err
	}
	if err := need(set, "shop"); err != nil {
		return err
	}
	f, err := storage.Open(*shop, storage.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer f.Close()
	p, err := f.Load(0)
	if err != nil {
		return err
	}
	for _, piece := range p.Pieces {
		fmt.Fprintln(env.Stdout, piece.Name)
	}
	return nil
}

func check(args []string, env Env) error {
	set := newSet("check")
	shop := set.String("shop", "", "")
	if err := flags(set, args); err != nil {
		return err
	}
	if err := need(set, "shop"); err != nil {
		return err
	}
	f, err := storage.Open(*shop, storage.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer f.Close()
	faults, err := f.Check()
	if err != nil {
		return err
	}
	if len(faults) == 0 {
		fmt.Fprintln(env.Stdout, "The shop file is sound.")
		return nil
	}
	for _, fault := range faults {
		fmt.Fprintln(env.Stdout, fault)
	}
	return errShort
}
