package drawing_test

import (
	"testing"

	"pilewright/layout/drawing"
)

func tenon() drawing.JointView {
	return drawing.JointView{
		Title:    "Stopped tenon, B1 into A1",
		Receiver: drawing.JointMember{Mark: "A1", Width: 45 * mm, Thickness: 45 * mm},
		Member:   drawing.JointMember{Mark: "B1", Width: 80 * mm, Thickness: 22 * mm},
		Setback:  11 * mm, Horn: 20 * mm,
		Tongues: []drawing.Tongue{{FromEdge: 10 * mm, FromFace: 5 * mm, Width: 60 * mm, Thickness: 12 * mm, Depth: 25 * mm, Mortise: 27 * mm}},
		Notes:   []string{"mortise ends square; 2 mm glue room at the bottom"},
	}
}

func TestJointStoppedTenon(t *testing.T) {
	golden(t, "joint_stopped_tenon", drawing.Joint(tenon(), drawing.Options{}))
}

func TestJointThroughTenon(t *testing.T) {
	j := tenon()
	j.Title, j.RunsOn = "Through tenon", true
	j.Tongues[0].Depth, j.Tongues[0].Mortise = 45*mm, 0
	golden(t, "joint_through_tenon", drawing.Joint(j, drawing.Options{}))
}

func TestJointHousing(t *testing.T) {
	golden(t, "joint_housing", drawing.Joint(drawing.JointView{
		Title:    "Housing, shelf into side",
		Receiver: drawing.JointMember{Mark: "E1", Width: 20 * mm, Thickness: 240 * mm},
		Member:   drawing.JointMember{Mark: "F1", Width: 18 * mm, Thickness: 220 * mm},
		Setback:  10 * mm, RunsOn: true,
		Tongues: []drawing.Tongue{{Width: 18 * mm, Thickness: 220 * mm, Depth: 7 * mm}},
	}, drawing.Options{}))
}

func TestJointHalfLap(t *testing.T) {
	golden(t, "joint_half_lap", drawing.Joint(drawing.JointView{
		Title:    "Half lap",
		Receiver: drawing.JointMember{Mark: "G1", Width: 60 * mm, Thickness: 30 * mm},
		Member:   drawing.JointMember{Mark: "H1", Width: 60 * mm, Thickness: 30 * mm},
		RunsOn:   true,
		Tongues:  []drawing.Tongue{{Width: 60 * mm, Thickness: 15 * mm, Depth: 60 * mm}},
	}, drawing.Options{}))
}

func TestJointDowels(t *testing.T) {
	golden(t, "joint_dowels", drawing.Joint(drawing.JointView{
		Title:    "Two dowels 8 mm",
		Receiver: drawing.JointMember{Mark: "A1", Width: 45 * mm, Thickness: 45 * mm},
		Member:   drawing.JointMember{Mark: "B1", Width: 80 * mm, Thickness: 22 * mm},
		Setback:  11 * mm,
		Tongues: []drawing.Tongue{{FromEdge: 16 * mm, FromFace: 7 * mm, Width: 8 * mm, Thickness: 8 * mm, Depth: 20 * mm, Mortise: 22 * mm},
			{FromEdge: 56 * mm, FromFace: 7 * mm, Width: 8 * mm, Thickness: 8 * mm, Depth: 20 * mm, Mortise: 22 * mm}},
	}, drawing.Options{Plain: true}))
}
