//go:build linux

package realwindow

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/storage"
)

// built is the program, built once for all tests.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "pilewright-window-")
	if err != nil {
		return "", err
	}
	binary := filepath.Join(dir, "pilewright")
	c := exec.Command("go", "build", "-o", binary, "pilewright")
	if out, err := c.CombinedOutput(); err != nil {
		return "", errors.Join(fmt.Errorf("build the program: %w\n%s", err, out), os.RemoveAll(dir))
	}
	return binary, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if builtOnce {
		if binary, err := built(); err == nil {
			os.RemoveAll(filepath.Dir(binary))
		}
	}
	os.Exit(code)
}

var builtOnce bool

func build(t *testing.T) string {
	t.Helper()
	builtOnce = true
	binary, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return binary
}

// desktop is a display of the test's own with a window manager.
type desktop struct {
	t      *testing.T
	env    []string
	memory string // the file in which the display keeps what it shows
	home   string // the user's folder, empty at first
	viewed string // a file that names what the stand-in for the viewer was given
}

func newDesktop(t *testing.T) *desktop {
	t.Helper()
	for _, tool := range []string{"Xvfb", "openbox", "xdotool"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed; the window is tested with Xvfb, openbox and xdotool", tool)
		}
	}
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	memory := t.TempDir()
	x := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1280x800x24", "-fbdir", memory, "-nolisten", "tcp")
	x.ExtraFiles = []*os.File{write}
	start(t, x)
	write.Close()
	var number int
	if _, err := fmt.Fscan(read, &number); err != nil {
		t.Skipf("Xvfb gave no display: %v", err)
	}
	read.Close()
	tools := t.TempDir()
	d := &desktop{t: t, memory: filepath.Join(memory, "Xvfb_screen0"), home: t.TempDir(), viewed: filepath.Join(tools, "viewed")}
	viewer := "#!/bin/sh\nprintf '%s\\n' \"$1\" > '" + d.viewed + ".part' && mv '" + d.viewed + ".part' '" + d.viewed + "'\n"
	if err := os.WriteFile(filepath.Join(tools, "xdg-open"), []byte(viewer), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, v := range os.Environ() {
		if !strings.HasPrefix(v, "DISPLAY=") && !strings.HasPrefix(v, "LANG=") && !strings.HasPrefix(v, "PATH=") {
			d.env = append(d.env, v)
		}
	}
	d.env = append(d.env, fmt.Sprintf("DISPLAY=:%d", number), "LIBGL_ALWAYS_SOFTWARE=1", "LANG=C", "HOME="+d.home, "PATH="+tools+string(os.PathListSeparator)+os.Getenv("PATH"))
	wm := exec.Command("openbox")
	wm.Env = d.env
	start(t, wm)
	return d
}

// start runs a program until the test ends.
func start(t *testing.T, c *exec.Cmd) {
	t.Helper()
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() { _ = c.Wait(); close(done) }()
	t.Cleanup(func() {
		_ = c.Process.Kill()
		<-done
	})
}

// run runs a short program on the display and gives what it printed.
func (d *desktop) run(name string, args ...string) string {
	d.t.Helper()
	c := exec.Command(name, args...)
	c.Env = d.env
	out, err := c.Output()
	if err != nil {
		d.t.Fatalf("%s %s: %v", name, strings.Join(args, " "), err)
	}
	return strings.TrimSpace(string(out))
}

// program is the running window.
type program struct {
	d    *desktop
	cmd  *exec.Cmd
	done chan error
	id   string
	log  bytes.Buffer
}

// open starts the program and waits for its window to be painted.
func (d *desktop) open(binary string, args ...string) *program {
	d.t.Helper()
	began := time.Now()
	p := d.started(binary, args...)
	p.until(30*time.Second, "the window is painted", func() bool { return colours(p.screen()) > 20 })
	d.t.Logf("first painted %v after the start", time.Since(began).Round(10*time.Millisecond))
	return p
}

// until waits for something to hold.
func (p *program) until(limit time.Duration, what string, holds func() bool) {
	p.d.t.Helper()
	for end := time.Now().Add(limit); time.Now().Before(end); time.Sleep(60 * time.Millisecond) {
		if holds() {
			return
		}
		select {
		case err := <-p.done:
			p.d.t.Fatalf("while waiting that %s the program ended: %v\n%s", what, err, p.log.String())
		default:
		}
	}
	seen := p.keepScreen()
	_ = p.cmd.Process.Signal(syscall.SIGQUIT) // it tells where each goroutine stands, and ends
	select {
	case <-p.done:
	case <-time.After(10 * time.Second):
	}
	p.d.t.Fatalf("waited %v in vain that %s; the screen then: %s\n%s", limit, what, seen, p.log.String())
}

// keepScreen keeps a picture of the screen for a person to look at.
func (p *program) keepScreen() string {
	f, err := os.CreateTemp("", "pilewright-screen-*.png")
	if err != nil {
		return err.Error()
	}
	defer f.Close()
	s := p.screen()
	img := image.NewRGBA(image.Rect(0, 0, s.width, s.height))
	for i, v := range s.pixels {
		img.Set(i%s.width, i/s.width, color.RGBA{byte(v >> 16), byte(v >> 8), byte(v), 255})
	}
	if err := png.Encode(f, img); err != nil {
		return err.Error()
	}
	return f.Name()
}

// screen is what a display shows: 0x00RRGGBB, row by row.
type screen struct {
	width, height int
	pixels        []uint32
}

// screen is what the display shows now. Xvfb keeps it as an X window dump (the
// header is XWDFileHeader of X11/XWDFile.h, numbers of 32 bits, largest byte
// first), which costs no work of the display to read.
func (p *program) screen() screen {
	p.d.t.Helper()
	body, err := os.ReadFile(p.d.memory)
	if err != nil {
		p.d.t.Fatalf("take the screen: %v", err)
	}
	number := func(i int) int { return int(binary.BigEndian.Uint32(body[4*i:])) }
	s := screen{width: number(4), height: number(5)}
	from, line := number(0)+12*number(19), number(12) // past the header and its colours
	if number(1) != 7 || number(11) != 32 || len(body) < from+s.height*line {
		p.d.t.Fatalf("the display's memory is of version %d, %d bits a pixel, %d bytes", number(1), number(11), len(body))
	}
	var order binary.ByteOrder = binary.LittleEndian
	if number(7) != 0 {
		order = binary.BigEndian
	}
	s.pixels = make([]uint32, 0, s.width*s.height)
	for y := range s.height {
		for row := body[from+y*line:][:4*s.width]; len(row) > 0; row = row[4:] {
			s.pixels = append(s.pixels, order.Uint32(row)&0xffffff)
		}
	}
	return s
}

// colours counts different colours on a coarse grid, at most 64.
func colours(s screen) int {
	seen := map[uint32]bool{}
	for y := 40; y < s.height; y += 3 {
		for x := 0; x < s.width && len(seen) < 64; x += 3 {
			seen[s.pixels[y*s.width+x]] = true
		}
	}
	return len(seen)
}

// changed is the share of pixels in a part of the screen, given in shares of its
// width and height, that differ.
func changed(a, b screen, x0, y0, x1, y1 float64) float64 {
	n, differ := 0, 0
	for y := int(y0 * float64(a.height)); y < int(y1*float64(a.height)); y++ {
		for x := int(x0 * float64(a.width)); x < int(x1*float64(a.width)); x++ {
			n++
			if a.pixels[y*a.width+x] != b.pixels[y*a.width+x] {
				differ++
			}
		}
	}
	return float64(differ) / float64(n)
}

func (p *program) key(keys ...string) {
	p.d.t.Helper()
	p.d.run("xdotool", append([]string{"key", "--delay", "40"}, keys...)...)
	time.Sleep(120 * time.Millisecond)
}

func (p *program) write(text string) {
	p.d.t.Helper()
	p.d.run("xdotool", "type", "--delay", "25", text)
	time.Sleep(120 * time.Millisecond)
}

// command does something by the searchable list.
func (p *program) command(name string) {
	p.d.t.Helper()
	p.key("ctrl+k")
	time.Sleep(250 * time.Millisecond)
	p.write(name)
	p.key("Return")
	time.Sleep(250 * time.Millisecond)
}

// quit closes the window by its keys and waits for the program to end well. What
// it printed must tell nothing of what is in the shop file.
func (p *program) quit() {
	p.d.t.Helper()
	p.key("ctrl+q")
	select {
	case err := <-p.done:
		if err != nil {
			p.d.t.Fatalf("the program ended with %v\n%s", err, p.log.String())
		}
	case <-time.After(20 * time.Second):
		p.d.t.Fatal("the window did not close on Ctrl+Q")
	}
	for _, content := range []string{"Potting", "Edit ", "rack", "pine", "35 1/4"} {
		if strings.Contains(p.log.String(), content) {
			p.d.t.Errorf("the program printed what is in the shop file:\n%s", p.log.String())
			break
		}
	}
}

// measureIs is a measure's text, and the names of undo and redo, as stored.
func measureIs(t *testing.T, path, name string) (text, undo, redo string) {
	t.Helper()
	f, err := storage.Open(path, storage.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p := potting(t, f)
	if undo, redo, err = f.History(p.Piece.ID); err != nil {
		t.Fatal(err)
	}
	for _, m := range p.Measures {
		if m.Name == name {
			return m.Text, undo, redo
		}
	}
	t.Fatalf("there is no measure %s", name)
	return "", "", ""
}

func potting(t *testing.T, f *storage.File) *plan.Project {
	t.Helper()
	p, err := f.Load(0)
	if err != nil {
		t.Fatal(err)
	}
	for _, piece := range p.Pieces {
		if piece.Name == "Potting table" {
			if p, err = f.Load(piece.ID); err != nil {
				t.Fatal(err)
			}
			return p
		}
	}
	t.Fatal("the demo's piece is not in the shop file")
	return nil
}

func TestAnEditInTheWindowIsPlannedPrintedKeptAndUndone(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	d := newDesktop(t)
	dir := t.TempDir()
	binary, shop := build(t), filepath.Join(dir, "demo.pile")

	p := d.open(binary, "demo", "-shop", shop)
	before, _, _ := measureIs(t, shop, "height")
	if before == "35 1/4" {
		t.Fatalf("the demo's height is %q already; the test needs another", before)
	}
	p.command("table: measures")
	old := p.screen()
	p.key("Home", "Right")
	p.write("35 1/4")
	p.key("Return")
	p.until(10*time.Second, "the edit is stored", func() bool {
		text, _, _ := measureIs(t, shop, "height")
		return text == "35 1/4"
	})
	p.until(30*time.Second, "the plan in the drawing and the figures of the sidebar change", func() bool {
		now := p.screen()
		return changed(old, now, 0.1, 0.6, 0.75, 0.9) > 0.002 && changed(old, now, 0.81, 0.2, 1, 0.6) > 0.002
	})
	p.quit()

	after, undo, _ := measureIs(t, shop, "height")
	if after != "35 1/4" || undo == "" {
		t.Fatalf("after closing, height is %q and undo %q; want 35 1/4 and an edit to undo", after, undo)
	}
	p = d.open(binary, "-shop", shop)
	p.key("ctrl+z")
	p.until(10*time.Second, "the edit of the last run is undone", func() bool {
		text, _, redo := measureIs(t, shop, "height")
		return text == before && redo == undo
	})
	p.key("ctrl+y")
	p.until(10*time.Second, "it is made again", func() bool {
		text, _, _ := measureIs(t, shop, "height")
		return text == after
	})

	p.command("open the build sheet to print")
	p.until(60*time.Second, "the build sheet reaches the viewer", func() bool {
		_, err := os.Stat(d.viewed)
		return err == nil
	})
	path, err := os.ReadFile(d.viewed)
	if err != nil {
		t.Fatal(err)
	}
	wholeSheet(t, strings.TrimSpace(string(path)))
	p.quit()

	sheet := filepath.Join(dir, "sheet.pdf")
	c := exec.Command(binary, "sheet", "-shop", shop, "-piece", "Potting table", "-o", sheet)
	c.Env = d.env
	if out, err := c.CombinedOutput(); err != nil && c.ProcessState.ExitCode() != 1 {
		t.Fatalf("write the build sheet: %v\n%s", err, out)
	}
	wholeSheet(t, sheet)
}

// wholeSheet checks that a file is a PDF from its first line to its last.
func wholeSheet(t *testing.T, path string) {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(body, []byte("%PDF-")) || !bytes.Contains(body[max(0, len(body)-64):], []byte("%%EOF")) {
		t.Errorf("the build sheet %s of %d bytes is no whole PDF", path, len(body))
	}
}
