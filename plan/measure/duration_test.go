package measure

import (
	"errors"
	"testing"
	"time"
)

func TestParseMinutes(t *testing.T) {
	tests := []struct {
		name, text string
		want       time.Duration
	}{
		{"bare minutes", `80`, 80 * time.Minute},
		{"minutes", `80 min`, 80 * time.Minute},
		{"hours and bare minutes", `1h20`, 80 * time.Minute},
		{"hours and minutes", `1 h 20 min`, 80 * time.Minute},
		{"a clock", `1:20`, 80 * time.Minute},
		{"a clock with seconds", `1:20:30`, 80*time.Minute + 30*time.Second},
		{"a clock below an hour", `0:05`, 5 * time.Minute},
		{"decimal hours", `1.5 h`, 90 * time.Minute},
		{"mixed hours", `1 1/2 hours`, 90 * time.Minute},
		{"half an hour", `½h`, 30 * time.Minute},
		{"seconds", `45s`, 45 * time.Second},
		{"all three", `1h 2m 3s`, time.Hour + 2*time.Minute + 3*time.Second},
		{"minutes and bare seconds", `2 min 30`, 2*time.Minute + 30*time.Second},
		{"upper case", `2 H`, 2 * time.Hour},
		{"a third of an hour", `1/3 h`, 20 * time.Minute},
		{"rounded to the second", `0.01 min`, time.Second},
		{"nothing done", `0`, 0},
		{"the most", `10000 h`, 10_000 * time.Hour},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got, err := ParseMinutes(tt.text); err != nil || got != tt.want {
				t.Errorf("ParseMinutes(%q) = %v, %v; want %v", tt.text, got, err, tt.want)
			}
		})
	}
}

func TestParseMinutesErrors(t *testing.T) {
	tests := []struct {
		name, text string
		err        error
		offset     int
	}{
		{"nothing", ``, ErrEmpty, 0},
		{"a word", `long`, ErrSyntax, 0},
		{"an unknown unit", `3 days`, ErrUnit, 2},
		{"minutes before hours", `20 min 1 h`, ErrUnit, 7},
		{"hours twice", `1 h 2 h`, ErrUnit, 4},
		{"sixty minutes behind an hour", `1 h 60`, ErrSyntax, 4},
		{"sixty on the clock", `1:60`, ErrSyntax, 2},
		{"one digit on the clock", `1:5`, ErrSyntax, 2},
		{"below nought", `-5`, ErrSyntax, 0},
		{"a decimal comma", `1,5 h`, ErrComma, 1},
		{"more behind the end", `5 min!`, ErrSyntax, 5},
		{"too long to be true", `10001 h`, ErrOverflow, 0},
		{"a hyphen", `1-1/2 h`, ErrAmbiguous, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ParseMinutes(tt.text)
			var place *ParseError
			if got != 0 || !errors.Is(err, tt.err) || !errors.As(err, &place) || place.Offset != tt.offset {
				t.Errorf("ParseMinutes(%q) = %v, %v; want %v at %d", tt.text, got, err, tt.err, tt.offset)
			}
		})
	}
}

func TestFormatDuration(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0 min", 80 * time.Minute: "1 h 20 min", 2 * time.Hour: "2 h", 45 * time.Second: "45 s",
		time.Hour + 5*time.Second: "1 h 0 min 5 s", -90 * time.Second: "-1 min 30 s", 1500 * time.Millisecond: "1 s",
	} {
		if got := FormatDuration(d); got != want {
			t.Errorf("FormatDuration(%v) = %q, want %q", d, got, want)
		}
	}
}

func FuzzParseMinutes(f *testing.F) {
	for _, s := range []string{`80`, `1h20`, `1 h 20 min`, `1:20:30`, `1.5 h`, `½ h 3 s`, `1:`, `9999999999999 h`, `1/0 h`, `-5`, ``} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseMinutes(text)
		if err != nil {
			placed(t, text, err)
			return
		}
		if d < 0 || d > maxDuration || d%time.Second != 0 {
			t.Fatalf("%q = %v", text, d)
		}
		if again, err := ParseMinutes(FormatDuration(d)); err != nil || again != d {
			t.Fatalf("%q = %v; written %q reads %v, %v", text, d, FormatDuration(d), again, err)
		}
	})
}
