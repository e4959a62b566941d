package locale

import (
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"
)

// Day writes a date, or a date and a time, by a layout of package time. The
// layout itself is translated, as languages set the parts in another order; the
// names of days and months are then put in.
func Day(t time.Time, layout string) string {
	layout = lang.L(layout)
	var out strings.Builder
	for layout != "" {
		at, name := len(layout), ""
		for _, n := range []string{"Monday", "Mon", "January", "Jan"} {
			if i := strings.Index(layout, n); i >= 0 && i < at {
				at, name = i, n
			}
		}
		out.WriteString(t.Format(layout[:at]))
		if name != "" {
			out.WriteString(lang.X("date."+t.Format(name)+long(name), t.Format(name)))
		}
		layout = layout[at+len(name):]
	}
	return out.String()
}

// long tells the full name May from the short one.
func long(name string) string {
	if name == "January" {
		return ".long"
	}
	return ""
}

// Weekday is the name of a day of the week.
func Weekday(d time.Weekday) string { return lang.X("date."+d.String(), d.String()) }
