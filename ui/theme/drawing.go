package theme

import (
	"image/color"

	d "pilewright/layout/drawing"
	"pilewright/layout/drawing/raster"
)

// inks are the colours a drawing of one look is made from.
type inks struct {
	paper, ink, lesser, faint       uint32
	board, part, partAlt, leftover  uint32
	waste, cut, kerf, defect, stain uint32
	dimension, warning, selected    uint32
	faceLight, faceMid, faceDark    uint32
	barA, barB, barC, barD, curve   uint32
}

var palettes = map[Look]*raster.Palette{
	Light: inks{
		paper: 0xfdfcf9, ink: 0x23282a, lesser: 0x50565a, faint: 0xc4c0b6,
		board: 0xf2e6cf, part: 0xcfe3de, partAlt: 0xdfd9ec, leftover: 0xf7f0dd,
		waste: 0x9c8f78, cut: 0xb0430f, kerf: 0x6d4427, defect: 0x9b2c22, stain: 0x7d6a4c,
		dimension: 0x33566f, warning: 0xa8281f, selected: 0x0f7f72,
		faceLight: 0xf6ead2, faceMid: 0xe2cfa9, faceDark: 0xc6ad80,
		barA: 0xbcd9d2, barB: 0xecd5b2, barC: 0xecebe6, barD: 0xd8d3e9, curve: 0x1d655c,
	}.palette(),
	Dark: inks{
		paper: 0x22272a, ink: 0xe7e4dd, lesser: 0xc2c5c1, faint: 0x50585b,
		board: 0x4a3f2e, part: 0x2f4f4a, partAlt: 0x443f5c, leftover: 0x3a352b,
		waste: 0x948770, cut: 0xf0a06c, kerf: 0xd9a679, defect: 0xf59287, stain: 0xc2ad84,
		dimension: 0x9cc3de, warning: 0xf59287, selected: 0x8fe0d0,
		faceLight: 0x6b5c42, faceMid: 0x544732, faceDark: 0x403624,
		barA: 0x2a4f49, barB: 0x5c4424, barC: 0x363c3f, barD: 0x443e60, curve: 0x7cc6b8,
	}.palette(),
	HighContrast: inks{
		paper: 0x000000, ink: 0xffffff, lesser: 0xe6e6e6, faint: 0x9a9a9a,
		board: 0x1c1408, part: 0x06312b, partAlt: 0x251a47, leftover: 0x14140a,
		waste: 0xc9c9c9, cut: 0xffb070, kerf: 0xffb070, defect: 0xff9c94, stain: 0xe8d09a,
		dimension: 0xa8dcff, warning: 0xff9c94, selected: 0xffe14d,
		faceLight: 0x4a4a4a, faceMid: 0x303030, faceDark: 0x161616,
		barA: 0x06403a, barB: 0x4a2f00, barC: 0x1a1a1a, barD: 0x2c1f57, curve: 0xffe14d,
	}.palette(),
}

func (k inks) palette() *raster.Palette {
	p := &raster.Palette{Paper: rgb(k.paper)}
	for r := d.Role(0); r < d.Roles; r++ {
		p.Line[r], p.Text[r] = rgb(k.ink), rgb(k.ink)
		if r.Style().Fill {
			p.Fill[r] = rgb(k.paper)
		}
	}
	line := func(c uint32, roles ...d.Role) {
		for _, r := range roles {
			p.Line[r] = rgb(c)
		}
	}
	area := func(r d.Role, fill uint32) { p.Fill[r] = rgb(fill) }
	text := func(c uint32, roles ...d.Role) {
		for _, r := range roles {
			p.Text[r] = rgb(c)
		}
	}
	line(k.lesser, d.RoleHidden, d.RoleCentre, d.RoleThin, d.RoleNote, d.RoleGhost, d.RoleTape, d.RoleLeftover)
	line(k.faint, d.RoleGrid)
	line(k.waste, d.RoleWaste, d.RoleTrim)
	line(k.cut, d.RoleCut)
	line(k.kerf, d.RoleKerf)
	line(k.defect, d.RoleDefect)
	line(k.stain, d.RoleBlemish)
	line(k.dimension, d.RoleDimension)
	line(k.warning, d.RoleWarning)
	line(k.selected, d.RoleSelected)
	line(k.curve, d.RoleCurve)
	line(k.paper, d.RolePaper)

	area(d.RoleKerf, k.kerf)
	area(d.RoleBoard, k.board)
	area(d.RoleLeftover, k.leftover)
	area(d.RolePart, k.part)
	area(d.RolePartAlt, k.partAlt)
	area(d.RoleBarA, k.barA)
	area(d.RoleBarB, k.barB)
	area(d.RoleBarC, k.barC)
	area(d.RoleBarD, k.barD)
	for r, c := range map[d.Role]uint32{d.RoleFaceLight: k.faceLight, d.RoleFaceMid: k.faceMid, d.RoleFaceDark: k.faceDark} {
		p.Fill[r], p.Line[r] = rgb(c), rgb(c) // a face's own line closes the seam to its neighbour
	}

	text(k.lesser, d.RoleNote, d.RoleGhost)
	text(k.dimension, d.RoleDimension)
	text(k.warning, d.RoleWarning)
	return p
}

// Overlay colours of a palette: what is laid over a drawing while it is worked with.
func Overlay(p *raster.Palette) (selected, ghost, refused, plate color.NRGBA) {
	return p.Line[d.RoleSelected], p.Line[d.RoleDimension], p.Line[d.RoleWarning], p.Paper
}
