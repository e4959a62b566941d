package drawing

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// What is left out behind a body like it changes no line, seen or hidden.
func TestBodiesBehindOnesLikeThemChangeNoLine(t *testing.T) {
	left := 0
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 7))
		var solids []Solid3
		for range 1 + r.IntN(5) {
			var boxes []solid.Box
			for range 1 + r.IntN(3) {
				var b solid.Box
				for k := range 3 {
					b.Min[k] = measure.Length(r.IntN(6))
					b.Max[k] = b.Min[k] + measure.Length(1+r.IntN(3))
				}
				boxes = append(boxes, b)
			}
			axis := r.IntN(3)
			for n := range 1 + r.IntN(3) {
				s := Solid3{Boxes: boxes}
				s.Offset[axis] = measure.Length(n * (9 + r.IntN(3)))
				solids = append(solids, s)
			}
		}
		for _, v := range []projection{frontView, rightView, leftView, topView} {
			boxes := cuboids(solids)
			front, behind := foremost(&v, boxes)
			for _, list := range behind {
				left += len(list)
			}
			if got, want := lineArt(&v, front, outlines(boxes), true), lineArt(&v, boxes, outlines(boxes), true); !reflect.DeepEqual(got, want) {
				t.Fatalf("seed %d, seen from %v: %d lines, want %d", seed, v.toward, len(got), len(want))
			}
		}
	}
	if left == 0 {
		t.Error("nothing was left out")
	}
}
