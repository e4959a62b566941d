package assembly

import (
	"fmt"
	"math/rand/v2"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

const mm = measure.Millimetre

// box is a block given in millimetres.
func box(x0, y0, z0, x1, y1, z1 int) solid.Box {
	return solid.Box{
		Min: solid.Point{measure.Length(x0) * mm, measure.Length(y0) * mm, measure.Length(z0) * mm},
		Max: solid.Point{measure.Length(x1) * mm, measure.Length(y1) * mm, measure.Length(z1) * mm},
	}
}

// table has four legs, two short rails between legs, two long rails, and a top
// on buttons. Tenons are 30 mm long in legs 60 mm square; the short rails' tenons
// sit lower than the long ones' so that they miss each other.
func table() ([]solid.Body, []Joint) {
	leg := map[string]solid.Solid{}
	at := map[string][2]int{"leg fl": {0, 0}, "leg bl": {0, 540}, "leg fr": {1140, 0}, "leg br": {1140, 540}}
	names := []string{"leg fl", "leg bl", "leg fr", "leg br"}
	for _, n := range names {
		x, y := at[n][0], at[n][1]
		leg[n] = solid.New(box(x, y, 0, x+60, y+60, 700))
	}
	var rails []solid.Body
	var joints []Joint
	rail := func(id, a, b string, body, ta, tb solid.Box, dir solid.Direction) {
		rails = append(rails, solid.Body{ID: id, Solid: solid.New(body, ta, tb)})
		leg[a], leg[b] = leg[a].Cut(ta), leg[b].Cut(tb)
		joints = append(joints,
			Joint{ID: id + "/" + a, A: a, B: id, Dir: dir.Opposite(), Minutes: 2},
			Joint{ID: id + "/" + b, A: b, B: id, Dir: dir, Minutes: 2})
	}
	for _, s := range []struct {
		id, a, b string
		x        int
	}{{"rail l", "leg fl", "leg bl", 20}, {"rail r", "leg fr", "leg br", 1160}} {
		rail(s.id, s.a, s.b, box(s.x, 60, 600, s.x+20, 540, 700), box(s.x, 30, 610, s.x+20, 60, 640), box(s.x, 540, 610, s.x+20, 570, 640), solid.PlusY)
	}
	for _, s := range []struct {
		id, a, b string
		y        int
	}{{"rail f", "leg fl", "leg fr", 20}, {"rail b", "leg bl", "leg br", 560}} {
		rail(s.id, s.a, s.b, box(60, s.y, 600, 1140, s.y+20, 700), box(30, s.y, 650, 60, s.y+20, 680), box(1140, s.y, 650, 1170, s.y+20, 680), solid.PlusX)
	}
	var bodies []solid.Body
	for _, n := range names {
		bodies = append(bodies, solid.Body{ID: n, Solid: leg[n]})
	}
	bodies = append(bodies, rails...)
	bodies = append(bodies, solid.Body{ID: "top", Solid: solid.New(box(-50, -50, 700, 1250, 650, 725))})
	for _, r := range []string{"rail l", "rail r", "rail f", "rail b"} {
		joints = append(joints, Joint{ID: "top/" + r, A: r, B: "top", Dir: solid.MinusZ, Dry: true, Minutes: 1})
	}
	return bodies, joints
}

// slattedBench has n slats with tenons in two rails.
func slattedBench(n int) ([]solid.Body, []Joint) {
	length := 40*n + 60
	var bodies []solid.Body
	var joints []Joint
	var front, back []solid.Box
	for i := range n {
		x := 40*i + 30
		a, b := box(x, 10, 20, x+20, 30, 60), box(x, 430, 20, x+20, 450, 60)
		front, back = append(front, a), append(back, b)
		id := fmt.Sprint("slat ", i)
		bodies = append(bodies, solid.Body{ID: id, Solid: solid.New(box(x-5, 30, 10, x+25, 430, 70), a, b)})
		joints = append(joints,
			Joint{ID: id + " front", A: "front", B: id, Dir: solid.MinusY, Minutes: 1},
			Joint{ID: id + " back", A: "back", B: id, Dir: solid.PlusY, Minutes: 1})
	}
	return append(bodies,
		solid.Body{ID: "front", Solid: solid.New(box(0, 0, 0, length, 30, 80)).Cut(front...)},
		solid.Body{ID: "back", Solid: solid.New(box(0, 430, 0, length, 460, 80)).Cut(back...)}), joints
}

// slattedTable is the table with slats screwed on instead of its top: 60 copies.
func slattedTable() ([]solid.Body, []Joint) {
	bodies, joints := table()
	bodies = bodies[:8]
	joints = joints[:8]
	for i := range 52 {
		id := fmt.Sprint("slat ", i)
		x := -50 + 25*i
		bodies = append(bodies, solid.Body{ID: id, Solid: solid.New(box(x, -50, 700, x+24, 650, 725))})
		if x >= 60 && x+24 <= 1140 {
			for _, r := range []string{"rail f", "rail b"} {
				joints = append(joints, Joint{ID: id + "/" + r, A: r, B: id, Dir: solid.MinusZ, Dry: true, Minutes: 1})
			}
		}
	}
	return bodies, joints
}

// side of the grid random pieces are cut from.
const side = 4

// randomPiece cuts a small block into up to most bodies of cubes that touch each
// other, and joins some of those that touch, by any kind of joint.
func randomPiece(r *rand.Rand, most int) ([]solid.Body, []Joint) {
	n := 2 + r.IntN(most-1)
	var owner [side][side][side]int
	var cubes [][][3]int
	for i := range n {
		for {
			c := [3]int{r.IntN(side), r.IntN(side), r.IntN(side)}
			if owner[c[0]][c[1]][c[2]] == 0 {
				owner[c[0]][c[1]][c[2]] = i + 1
				cubes = append(cubes, [][3]int{c})
				break
			}
		}
	}
	// Grow bodies by neighbouring cubes, straight runs more often than not.
	for range 4 + r.IntN(side*side*side) {
		i := r.IntN(n)
		c := cubes[i][r.IntN(len(cubes[i]))]
		d := solid.PlusX + solid.Direction(r.IntN(6))
		for range 1 + r.IntN(3) {
			step := d.Times(1)
			for k := range 3 {
				c[k] += int(step[k])
			}
			if min(c[0], c[1], c[2]) < 0 || max(c[0], c[1], c[2]) >= side || owner[c[0]][c[1]][c[2]] != 0 {
				break
			}
			owner[c[0]][c[1]][c[2]] = i + 1
			cubes[i] = append(cubes[i], c)
		}
	}
	bodies := make([]solid.Body, n)
	for i := range bodies {
		var boxes []solid.Box
		for _, c := range cubes[i] {
			p := solid.Point{measure.Length(c[0]), measure.Length(c[1]), measure.Length(c[2])}
			boxes = append(boxes, solid.Box{Min: p, Max: p.Add(solid.Point{1, 1, 1})})
		}
		bodies[i] = solid.Body{ID: fmt.Sprint("b", i), Solid: solid.New(boxes...)}
	}
	var joints []Joint
	for i := range n {
		for j := range n {
			if i == j || i > j && r.IntN(4) > 0 {
				continue
			}
			faces := solid.Contact(bodies[i].Solid, bodies[j].Solid)
			if len(faces) == 0 || r.IntN(3) == 0 {
				continue
			}
			joint := Joint{ID: fmt.Sprint("j", len(joints)), A: bodies[i].ID, B: bodies[j].ID, Minutes: 1 + r.IntN(3), Dry: r.IntN(5) == 0}
			switch r.IntN(4) {
			case 0:
				joint.Dir = faces[0].Normal.Opposite() // B comes face to face
			case 1:
				joint.Dir = solid.PlusX + solid.Direction(r.IntN(6))
			}
			joints = append(joints, joint)
		}
	}
	return bodies, joints
}
