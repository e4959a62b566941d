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
// crosses a figure. Where a figure does not fit a chain that runs up, all of them
// stand level beside it instead, to be read without turning the head. It gives
// how far the figures reach.
func chain(p *Picture, ref string, up bool, points []Point, texts []string, at, away float64) (reach float64) {
	along := func(i int) float64 {
		if up {
			return -points[i].Y
		}
		return points[i].X
	}
	if up {
		for i, text := range texts {
			if text != "" && along(i+1)-along(i) < font.Width(text, figureSize, false)+0.8 {
				return level(p, ref, points, texts, at, away)
			}
		}
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

// levelStep is the pitch of figures that stand level beside a chain.
const levelStep = 3.0

// level draws a chain that runs up with its figures level beside it, on the side
// away (+1 left, -1 right), each at the height of its stretch or, where that is
// taken, near it at the end of a thin line.
func level(p *Picture, ref string, points []Point, texts []string, at, away float64) (reach float64) {
	type figure struct {
		text     string
		from, at float64 // the middle of its stretch; where it stands
	}
	var figures []figure
	for i, text := range texts {
		if text == "" {
			continue
		}
		a, b := points[i+1], points[i]
		p.Marks = append(p.Marks, Mark{Kind: Dimension, Role: RoleDimension, Ref: ref, At: at, Size: figureSize, Up: true,
			Pts: p.keep(a, b), Ticks: b.Y-a.Y < 2*arrowLength+0.6})
		figures = append(figures, figure{font.Clean(text), (a.Y + b.Y) / 2, 0})
	}
	// Neighbours that would touch are spread about their common middle.
	for i := 0; i < len(figures); {
		k, middle := i+1, figures[i].from
		for {
			top := middle + float64(k-i-1)*levelStep/2 // lowest on paper is the first
			low := middle - float64(k-i-1)*levelStep/2
			if k < len(figures) && figures[k].from > low-levelStep {
				middle = (middle*float64(k-i) + figures[k].from) / float64(k-i+1)
				k++
				continue
			}
			if i > 0 && figures[i-1].at < top+levelStep {
				middle = figures[i-1].at - levelStep - float64(k-i-1)*levelStep/2
			}
			break
		}
		for j := i; j < k; j++ {
			figures[j].at = middle + (float64(k-i-1)/2-float64(j-i))*levelStep
		}
		i = k
	}
	const stem, gap = 2.2, 0.5
	for _, f := range figures {
		x := at - away*stem
		p.Polyline(RoleThin, ref, Point{at, f.from}, Point{x, f.at})
		align := Right + Centre
		if away < 0 {
			align = Left + Centre
		}
		width := font.Width(f.text, figureSize, false)
		near, far := x-away*gap*0.6, x-away*(gap+width+0.3)
		p.Rect(RolePaper, ref, Rect{min(near, far), f.at - 1.2, max(near, far), f.at + 1.2}) // lines of others pass behind
		p.Text(RoleDimension, ref, x-away*gap, f.at, figureSize, align, f.text)
		reach = math.Max(reach, stem+gap+width)
	}
	return reach
}
