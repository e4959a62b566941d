package schedule

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// written gives the file of some events and checks what RFC 5545 section 3.1
// asks of every line.
func written(t testing.TB, events []Event, name string) string {
	t.Helper()
	var b strings.Builder
	if err := WriteICS(&b, events, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC), "shop.example", name); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if !strings.HasSuffix(text, "\r\n") {
		t.Fatalf("the last line has no end: %q", text)
	}
	for _, line := range strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) || line == "" || strings.ContainsAny(line, "\r\n\x00") {
			t.Fatalf("line of %d octets: %q", len(line), line)
		}
	}
	return text
}

// value is a property's value as the independent parser reads it.
func value(e *ics.VEvent, p ics.ComponentProperty) string {
	got := e.GetProperty(p)
	if got == nil {
		return ""
	}
	return got.Value
}

func TestWriteICSIsReadBackByAnotherParser(t *testing.T) {
	z := zone(t, "America/New_York")
	events := []Event{
		{Key: "glue/1", Start: time.Date(2026, 11, 1, 0, 30, 0, 0, z), End: time.Date(2026, 11, 1, 4, 0, 0, 0, z), Summary: "Glue-up: top; 5 rows, 3 clamps", Description: "spread \\ clamp\nwipe", Location: "Shop, back room"},
		{Key: "rip ä/1", Start: time.Date(2026, 10, 31, 18, 0, 0, 0, z), End: time.Date(2026, 10, 31, 18, 20, 0, 0, z), Summary: strings.Repeat("längs sägen ½ ", 20)},
		{Key: "mark", Start: time.Date(2026, 10, 31, 18, 20, 0, 0, z), End: time.Date(2026, 10, 31, 18, 20, 0, 0, z), Summary: "Mark"},
		{Key: "ready", AllDay: true, Start: time.Date(2026, 11, 3, 0, 0, 0, 0, z), End: time.Date(2026, 11, 3, 0, 0, 0, 0, z), Summary: "Ready"},
		{Key: "glue/wait", Free: true, Start: time.Date(2026, 11, 1, 4, 0, 0, 0, z), End: time.Date(2026, 11, 2, 4, 0, 0, 0, z), Summary: "Cures"},
	}
	text := written(t, events, "Bench, oak")
	cal, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]*ics.VEvent{}
	for _, e := range cal.Events() {
		got[e.Id()] = e
	}
	if len(got) != len(events) {
		t.Fatalf("%d events read, %d written", len(got), len(events))
	}
	for id, want := range map[string]Event{"glue/1@shop.example": events[0], "rip=20=C3=A4/1@shop.example": events[1]} {
		e := got[id]
		if e == nil {
			t.Fatalf("no event %q among %v", id, got)
		}
		start, err1 := e.GetStartAt()
		end, err2 := e.GetEndAt()
		if err1 != nil || err2 != nil || !start.Equal(want.Start) || !end.Equal(want.End) {
			t.Errorf("%s: %v to %v, want %v to %v", id, start, end, want.Start, want.End)
		}
		if value(e, ics.ComponentPropertySummary) != want.Summary || value(e, ics.ComponentPropertyDescription) != want.Description || value(e, ics.ComponentPropertyLocation) != want.Location {
			t.Errorf("%s: texts %q, %q, %q", id, value(e, ics.ComponentPropertySummary), value(e, ics.ComponentPropertyDescription), value(e, ics.ComponentPropertyLocation))
		}
		if value(e, ics.ComponentPropertyDtstamp) != "20261125T120000Z" {
			t.Errorf("%s: DTSTAMP %q", id, value(e, ics.ComponentPropertyDtstamp))
		}
	}
	if e := got["mark@shop.example"]; e.GetProperty(ics.ComponentPropertyDtEnd) != nil {
		t.Error("an event of no length has an end, which would have to be later than its start")
	}
	day := got["ready@shop.example"]
	if value(day, ics.ComponentPropertyDtStart) != "20261103" || value(day, ics.ComponentPropertyDtEnd) != "20261104" {
		t.Errorf("a day's end is exclusive: %q to %q", value(day, ics.ComponentPropertyDtStart), value(day, ics.ComponentPropertyDtEnd))
	}
	if value(got["glue/wait@shop.example"], ics.ComponentPropertyTransp) != "TRANSPARENT" {
		t.Error("a cure takes up the maker's time")
	}
	golden(t, "calendar.ics", text)
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (run with -update and read the change):\n%s", path, diff)
	}
}

// The example of RFC 5545 section 3.3.11 and the reference checks ic01 to ic03.
func TestICSTextAndLines(t *testing.T) {
	for _, tc := range []struct{ name, in, want string }{
		{"RFC 5545 3.3.11: commas and line ends", "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.", `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.`},
		{"ic02: the backslash is escaped first", "a;b,c\\d\ne", `a\;b\,c\\d\ne`},
		{"carriage returns are line ends", "a\r\nb\rc", `a\nb\nc`},
		{"controls are left out, tabs stay", "a\x00\x07\tb\x7f", "a\tb"},
		{"broken UTF-8 is replaced", "a\xffb", "a\uFFFDb"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := escape(tc.in); got != tc.want {
				t.Errorf("escape(%q) = %q, want %q", tc.in, got, tc.want)
			}
		})
	}
	for _, tc := range []struct {
		name string
		in   string
		want []int // octets of the lines
	}{
		{"ic01: 75 octets stay whole", strings.Repeat("x", 75), []int{75}},
		{"ic01: the 76th goes to the next line, behind a space", strings.Repeat("x", 76), []int{75, 2}},
		{"ic01: a character of two octets is not split", strings.Repeat("x", 74) + "äx", []int{74, 4}},
		{"ic01: nor one of four", strings.Repeat("🪵", 40), []int{72, 73, 17}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var b strings.Builder
			fold(&b, tc.in)
			var got []int
			lines := strings.Split(strings.TrimSuffix(b.String(), "\r\n"), "\r\n")
			for _, l := range lines {
				got = append(got, len(l))
			}
			if diff := cmp.Diff(tc.want, got); diff != "" {
				t.Error(diff)
			}
			if strings.Join(lines, "\r\n") != strings.Join(lines, "\r\n ") && strings.ReplaceAll(strings.Join(lines, "\r\n"), "\r\n ", "") != tc.in {
				t.Errorf("unfolded: %q", lines)
			}
		})
	}
	t.Run("ic03: every event has UID, DTSTAMP and DTSTART", func(t *testing.T) {
		text := written(t, []Event{{Key: "a"}, {Key: "b"}}, "")
		for _, p := range []string{"\r\nUID:", "\r\nDTSTAMP:", "\r\nDTSTART:", "BEGIN:VEVENT"} {
			if strings.Count(text, p) != 2 {
				t.Errorf("%q stands %d times", p, strings.Count(text, p))
			}
		}
	})
}

func TestWriteICSRefuses(t *testing.T) {
	at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name   string
		events []Event
		domain string
		want   error
	}{
		{"an event without a key", []Event{{Start: at, End: at}}, "d", ErrEventKey},
		{"a key twice", []Event{{Key: "a", Start: at, End: at}, {Key: "a", Start: at, End: at}}, "d", ErrEventKey},
		{"an end before the start", []Event{{Key: "a", Start: at, End: at.Add(-1)}}, "d", ErrEventTime},
		{"a year of five digits", []Event{{Key: "a", Start: at, End: at.AddDate(9000, 0, 0)}}, "d", ErrEventTime},
		{"a domain with a line end", nil, "a\r\nb", ErrDomain},
		{"no domain", nil, "", ErrDomain},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var b strings.Builder
			if err := WriteICS(&b, tc.events, at, tc.domain, ""); !errors.Is(err, tc.want) || b.Len() > 0 {
				t.Errorf("got %v with %d bytes written, want %v", err, b.Len(), tc.want)
			}
		})
	}
}

func TestEventsOfATimelineKeepTheirKeys(t *testing.T) {
	job := Job{Week: evenings(time.UTC), Start: time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC), Problem: Problem{Operations: []Operation{
		{ID: "rip", Machine: "saw", Setup: "x", Time: minutes(170)},
		{ID: "glue", Time: minutes(30), Wait: 8 * time.Hour, Whole: true, After: []string{"rip"}},
		{ID: "plane", Time: minutes(200), After: []string{"glue"}}}}}
	keys := func(start time.Time) (keys, starts []string) {
		job.Start = start
		line, err := Place(job)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range Events(line, func(step string, wait bool) (string, string) { return step, "" }) {
			keys = append(keys, e.Key)
			starts = append(starts, e.Start.Format("02 15:04")+"-"+e.End.Format("02 15:04"))
		}
		return keys, starts
	}
	k1, s1 := keys(job.Start)
	k2, s2 := keys(job.Start.AddDate(0, 0, 7))
	if diff := cmp.Diff([]string{"rip/1", "glue/1", "plane/1", "glue/wait"}, k1); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(k1, k2); diff != "" {
		t.Errorf("a week later the keys differ: %s", diff)
	}
	if cmp.Equal(s1, s2) {
		t.Error("a week later the times are the same")
	}
	// The change of set-up is part of the step's event: 1 + 170 minutes.
	if s1[0] != "01 18:00-01 20:51" {
		t.Errorf("first event %s", s1[0])
	}
}

func FuzzWriteICS(f *testing.F) {
	f.Add("Rip rails", "blade; fence, 60 mm\nslow", "step-1", int64(1790000000), uint16(30))
	f.Add(strings.Repeat("ä", 200), "\\n\\\\n;", "ä@b", int64(0), uint16(0))
	f.Add("\xff\x00\r\n \t", "END:VCALENDAR\r\nBEGIN:VEVENT", "\r\n", int64(-1), uint16(1))
	f.Fuzz(func(t *testing.T, summary, description, key string, unix int64, min uint16) {
		start := time.Unix(unix%(1<<33), 0).UTC()
		if key == "" {
			key = "k"
		}
		e := Event{Key: key, Start: start, End: start.Add(time.Duration(min) * time.Minute), Summary: summary, Description: description}
		text := written(t, []Event{e}, summary)
		cal, err := ics.ParseCalendar(strings.NewReader(text))
		if err != nil {
			t.Fatalf("the other parser says %v of %q", err, text)
		}
		if len(cal.Events()) != 1 {
			t.Fatalf("%d events in %q", len(cal.Events()), text)
		}
		got := cal.Events()[0]
		at, err := got.GetStartAt()
		if err != nil || !at.Equal(start) {
			t.Fatalf("start %v, want %v", at, start)
		}
		if want := plain(summary); value(got, ics.ComponentPropertySummary) != want {
			t.Fatalf("summary %q, want %q", value(got, ics.ComponentPropertySummary), want)
		}
	})
}

// plain is what of a text may be kept, worked out apart from escape.
func plain(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if r < 32 && r != '\n' && r != '\t' || r == 127 {
			return -1
		}
		return r
	}, s)
}
