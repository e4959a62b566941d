package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// figureSize is the text size of dimensions.
const figureSize = 2.5

// chainStep is how much further out each row of lifted figures stands.
const chainStep = 3.1

// chain draws a chain of dimensions between measured points in ascending order,
// to the right or, with up, upwards; a stretch without a text is left out. A
// figure too wide for its stretch stands off the line on a stem, on the side away
// (+1 above or left of the line, -1 below or right of it), in rows so that no stem
// crosses a figure. It gives how far the rows reach.
func chain(p *Picture, ref string, up bool, points []Point, texts []string, at, away float64) (reach float64) {
	along := func(i int) float64 {
		if up {
			return -points[i].Y
		}
		return points[i].X
	}
	rows := make([]int, len(texts))
	for i := len(texts) - 1; i >= 0; i-- {
		a, b := along(i), along(i+1)
		width := font.Width(texts[i], figureSize, false)
		if texts[i] == "" || b-a >= width+0.8 {
			continue
		}
		rows[i] = 1
		end := (a+b)/2 + 0.6 + width + 0.5
		for j := i + 1; j < len(texts) && (along(j)+along(j+1))/2 < end; j++ {
			if rows[j] > 0 {
				rows[i] = max(rows[i], rows[j]+1)
			}
		}
	}
	for i, text := range texts {
		if text == "" {
			continue
		}
		m := Mark{Kind: Dimension, Role: RoleDimension, Ref: ref, At: at, Text: font.Clean(text), Size: figureSize, Up: up}
		if up {
			m.Pts = p.keep(points[i+1], points[i])
		} else {
			m.Pts = p.keep(points[i], points[i+1])
		}
		if rows[i] > 0 {
			m.Lift = away * float64(rows[i]) * chainStep
			if away < 0 {
				m.Lift -= figureGap // the letters hang below the line here
			}
		}
		m.Ticks = along(i+1)-along(i) < 2*arrowLength+0.6
		reach = math.Max(reach, math.Abs(m.Lift))
		p.Marks = append(p.Marks, m)
	}
	return reach
}
