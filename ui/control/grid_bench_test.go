package control

import (
	"testing"

	"fyne.io/fyne/v2"
)

// BenchmarkGrid works a grid of 5,000 rows without painting: what the window's
// goroutine is busy with between two frames.
func BenchmarkGrid(b *testing.B) {
	b.Run("refresh", func(b *testing.B) {
		g, _ := newSheet(5000).grid(b)
		for b.Loop() {
			g.Refresh()
		}
	})
	b.Run("scroll by three rows", func(b *testing.B) {
		g, _ := newSheet(5000).grid(b)
		step := float32(-3) * g.rowHeight()
		for b.Loop() {
			if g.scroll.Offset.Y > 4900*g.rowHeight() {
				g.scroll.ScrollToTop()
			}
			g.scroll.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, step)})
		}
	})
	b.Run("arrow down", func(b *testing.B) {
		g, _ := newSheet(5000).grid(b)
		for b.Loop() {
			if g.row > 4900 {
				g.moveTo(0, 0, false)
			}
			g.moveTo(g.row+1, 0, false)
		}
	})
	b.Run("type and commit", func(b *testing.B) {
		g, w := newSheet(5000).grid(b)
		for b.Loop() {
			if g.row > 4900 {
				g.moveTo(0, 0, false)
			}
			typeText(w, "57")
			press(w, fyne.KeyReturn)
		}
	})
}
