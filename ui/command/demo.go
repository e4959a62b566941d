package command

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/storage"
)

// FillDemo stores the demo shop in a new file and gives the ID of the open piece.
func FillDemo(f *storage.File, env Env) (plan.ID, error) {
	states, err := demo.Projects(env.Starts, env.Now())
	if err != nil {
		return 0, err
	}
	var before *plan.Project
	for _, p := range states {
		changes, err := plan.Diff(before, p)
		if err != nil {
			return 0, err
		}
		if err := f.Commit(storage.Edit{Piece: p.Piece.ID, Changes: changes}); err != nil {
			return 0, err
		}
		before = p
	}
	return before.Piece.ID, nil
}

// demonstrate opens the window on the demo shop, or, where none can be opened,
// plans it, writes the build sheet and prints the plan.
func demonstrate(ctx context.Context, args []string, env Env) error {
	set := newSet("demo")
	shop := set.String("shop", "", "")
	out := set.String("o", "", "")
	noWindow := set.Bool("no-window", false, "")
	if err := flags(set, args); err != nil {
		return err
	}
	path, err := demoFile(*shop, env)
	if err != nil {
		return err
	}
	if !*noWindow && *out == "" {
		if env.Display {
			if err := env.Window(path); !errors.Is(err, ErrNoWindow) {
				return err
			}
		}
		fmt.Fprintln(env.Stdout, "There is no display to open a window on, so the demo is planned and its build sheet written here.")
	}
	p, err := openPiece(path, "Potting table")
	if err != nil {
		return err
	}
	made, err := make1(ctx, path, p, env)
	if err != nil {
		return err
	}
	if *out == "" {
		*out = "demo.pdf" // here, where the shop file is one of the moment
		if *shop != "" {
			*out = strings.TrimSuffix(path, filepath.Ext(path)) + ".pdf"
		}
	}
	if err := sheetTo(*out, made, p.Shop.Paper, env); err != nil {
		return err
	}
	summary(env.Stdout, made)
	fmt.Fprintln(env.Stdout, "Build sheet:", *out)
	return shortOf(made)
}

// demoFile makes the demo's shop file where it is not there yet. A named file
// that exists is used as it is; without a name a fresh one is made each time.
func demoFile(shop string, env Env) (string, error) {
	if shop == "" {
		dir, err := os.MkdirTemp("", "pilewright-demo-")
		if err != nil {
			return "", fmt.Errorf("make a folder for the demo: %w", err)
		}
		shop = filepath.Join(dir, "demo.pile")
	}
	f, err := storage.Create(shop, storage.Options{Now: env.Now})
	if err != nil {
		if _, there := os.Stat(shop); there == nil {
			return shop, nil
		}
		return "", err
	}
	if _, err := FillDemo(f, env); err != nil {
		return "", errors.Join(err, f.Close())
	}
	// The window begins its guided start on it.
	return shop, errors.Join(f.SetSetting("tour", "0"), f.Close())
}
