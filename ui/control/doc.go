// Package control holds the window's own controls: the Grid (an editable table
// worked as a spreadsheet is), validated fields, side panels, the rail of rooms
// and the like. They know no wood and hold no project: they show what callbacks
// give them and report gestures by callbacks. Start with Grid.
package control
