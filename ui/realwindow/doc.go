// Package realwindow holds the test of the built program on a real display: it is
// worked by keys alone, and what it did is read from its shop file and its screen.
package realwindow
