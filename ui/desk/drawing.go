package desk

import "pilewright/ui/paint"

// Drawer is a room with a drawing that can be zoomed, fitted and, with tools,
// measured.
type Drawer interface {
	Drawing() (*paint.View, []paint.Tool)
}

// Deeds are what can be done with the drawing of a room, none where it has none.
func Deeds(r Room) []paint.Deed {
	d, ok := r.(Drawer)
	if !ok {
		return nil
	}
	v, tools := d.Drawing()
	list := paint.Deeds(v)
	for _, t := range tools {
		list = append(list, paint.Take(v, t))
	}
	return list
}
