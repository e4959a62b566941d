package schedule

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Event is an entry of the calendar file.
type Event struct {
	// Key names the event from export to export; with equal keys a calendar that
	// reads the file again moves the entry instead of adding one.
	Key         string
	Start, End  time.Time
	AllDay      bool // Start and End stand for their days, End's day included
	Free        bool // does not take up the maker's time: a cure
	Summary     string
	Description string
	Location    string
}

// Errors of WriteICS.
var (
	ErrEventKey  = errors.New("has no key or the key of another")
	ErrEventTime = errors.New("ends before it begins or lies outside the years 1 to 9999")
	ErrDomain    = errors.New("a domain is letters, digits, dots and hyphens")
)

// Events turns a timeline into calendar events: one for every stretch of a step
// (its change of set-up included) and one for every wait, which takes up no
// time. Text gives an event's words; wait tells a wait from work.
func Events(t Timeline, text func(step string, wait bool) (summary, description string)) []Event {
	var out []Event
	pieces := map[string]int{}
	for k := 0; k < len(t.Bars); {
		first := t.Bars[k]
		end := first.End
		for k++; k < len(t.Bars) && t.Bars[k].Step == first.Step && t.Bars[k].Start.Equal(end); k++ {
			end = t.Bars[k].End
		}
		pieces[first.Step]++
		e := Event{Key: fmt.Sprintf("%s/%d", first.Step, pieces[first.Step]), Start: first.Start, End: end}
		e.Summary, e.Description = text(first.Step, false)
		out = append(out, e)
	}
	for _, w := range t.Waits {
		e := Event{Key: w.Step + "/wait", Start: w.Start, End: w.End, Free: true}
		e.Summary, e.Description = text(w.Step, true)
		out = append(out, e)
	}
	return out
}

// WriteICS writes events as an iCalendar object (RFC 5545), sorted by start and
// key. Times are written in UTC, to the second, so no time zone has to be
// described and the clocks' changes cannot be misread. now is the time of
// writing (DTSTAMP); domain is the right-hand side of the UIDs, name the
// calendar's name (RFC 7986), which may be empty. Control characters other than
// tabs and line ends, which the format forbids, are left out of texts.
func WriteICS(w io.Writer, events []Event, now time.Time, domain, name string) error {
	if domain == "" || strings.ContainsFunc(domain, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '-')
	}) {
		return fmt.Errorf("%q: %w", domain, ErrDomain)
	}
	if !inYears(now) {
		return fmt.Errorf("the time of writing %w", ErrEventTime)
	}
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, func(a, b Event) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Key, b.Key))
	})
	var b strings.Builder
	line := func(property, value string) { fold(&b, property+":"+value) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//Pilewright//Pilewright//EN")
	line("CALSCALE", "GREGORIAN")
	if name != "" {
		line("NAME", escape(name))
	}
	seen := map[string]bool{}
	for _, e := range sorted {
		if e.Key == "" || seen[e.Key] {
			return fmt.Errorf("event %q %w", e.Key, ErrEventKey)
		}
		seen[e.Key] = true
		if e.End.Before(e.Start) || !inYears(e.Start) || !inYears(e.End.AddDate(0, 0, 1)) {
			return fmt.Errorf("event %q %w", e.Key, ErrEventTime)
		}
		line("BEGIN", "VEVENT")
		line("UID", uid(e.Key)+"@"+domain)
		line("DTSTAMP", stamp(now))
		switch {
		case e.AllDay: // the end is exclusive
			line("DTSTART;VALUE=DATE", e.Start.Format("20060102"))
			line("DTEND;VALUE=DATE", e.End.AddDate(0, 0, 1).Format("20060102"))
		case stamp(e.Start) == stamp(e.End): // DTEND must be later than DTSTART
			line("DTSTART", stamp(e.Start))
		default:
			line("DTSTART", stamp(e.Start))
			line("DTEND", stamp(e.End))
		}
		line("SUMMARY", escape(e.Summary))
		if e.Description != "" {
			line("DESCRIPTION", escape(e.Description))
		}
		if e.Location != "" {
			line("LOCATION", escape(e.Location))
		}
		if e.Free || e.AllDay {
			line("TRANSP", "TRANSPARENT")
		}
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

func stamp(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

func inYears(t time.Time) bool {
	y := t.UTC().Year()
	return y >= 1 && y <= 9999
}

// escape writes a TEXT value (RFC 5545 section 3.3.11).
func escape(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.ReplaceAll(s, "\r\n", "\n")
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n' || r == '\r':
			b.WriteString(`\n`)
		case r < ' ' && r != '\t' || r == 0x7f:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// uid writes a key with letters, digits, dots, hyphens, underscores and slashes
// kept and every other byte as = and two hexadecimal digits, so that different
// keys stay different.
func uid(key string) string {
	var b strings.Builder
	for i := range len(key) {
		c := key[i]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("._-/", c) >= 0 {
			b.WriteByte(c)
			continue
		}
		fmt.Fprintf(&b, "=%02X", c)
	}
	return b.String()
}

// octets is the most a line may hold without its end (RFC 5545 section 3.1).
const octets = 75

// fold writes a content line, broken into lines of at most 75 octets between
// characters; every line after the first begins with a space.
func fold(b *strings.Builder, s string) {
	room := octets
	for len(s) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		b.WriteString(s[:cut])
		b.WriteString("\r\n ")
		s = s[cut:]
		room = octets - 1
	}
	b.WriteString(s)
	b.WriteString("\r\n")
}
