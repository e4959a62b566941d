package measure

import (
	"math/big"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// maxDuration is the longest stretch of work one entry may hold.
const maxDuration = 10_000 * time.Hour

var timeWords = map[string]time.Duration{
	"h": time.Hour, "hr": time.Hour, "hrs": time.Hour, "hour": time.Hour, "hours": time.Hour,
	"m": time.Minute, "min": time.Minute, "mins": time.Minute, "minute": time.Minute, "minutes": time.Minute,
	"s": time.Second, "sec": time.Second, "secs": time.Second, "second": time.Second, "seconds": time.Second,
}

// ParseMinutes reads worked time: 80, 80 min, 1h20, 1 h 20 min, 1:20 (hours
// and minutes), 1:20:30, 1.5 h, 1 1/2 h, 45 s. A number without a unit is
// minutes; behind hours it is minutes and behind minutes seconds. The result
// is whole seconds, a fraction of a second rounded half up, at most 10 000
// hours. Every error is a *ParseError.
func ParseMinutes(text string) (time.Duration, error) {
	s := &scanner{text: text}
	if err := s.begin(); err != nil {
		return 0, err
	}
	start := s.pos
	total, clock, err := s.clock()
	if err != nil {
		return 0, err
	}
	if !clock {
		if total, err = s.timeParts(); err != nil {
			return 0, err
		}
	}
	s.spaces()
	if !s.done() {
		return 0, s.fail(s.pos, ErrSyntax, "expected h, min or s, or the end")
	}
	seconds := roundRat(total)
	if seconds.Cmp(big.NewInt(int64(maxDuration/time.Second))) > 0 {
		return 0, s.fail(start, ErrOverflow, "the time is beyond 10000 hours, the most that is accepted")
	}
	return time.Duration(seconds.Int64()) * time.Second, nil
}

// clock reads 1:20 and 1:20:30 in seconds; ok is false for other forms.
func (s *scanner) clock() (total *big.Rat, ok bool, err error) {
	start := s.pos
	hours := s.digits()
	if hours == "" || s.peek() != ':' {
		s.pos = start
		return nil, false, nil
	}
	total = new(big.Rat).Mul(rat(hours), big.NewRat(3600, 1))
	for _, worth := range []int64{60, 1} {
		if s.peek() != ':' {
			break
		}
		s.next()
		at := s.pos
		d := s.digits()
		if len(d) != 2 || d > "59" {
			return nil, false, s.fail(at, ErrSyntax, "expected two digits from 00 to 59")
		}
		total.Add(total, new(big.Rat).Mul(rat(d), big.NewRat(worth, 1)))
	}
	return total, true, nil
}

// timeParts reads numbers with units that fall from hours to seconds.
func (s *scanner) timeParts() (*big.Rat, error) {
	total := new(big.Rat)
	last := time.Duration(0)
	for {
		at := s.pos
		m, err := s.magnitude(false)
		if err != nil {
			return nil, err
		}
		if m.joined {
			return nil, s.fail(at, ErrAmbiguous, "write a space in place of the hyphen for a whole number and a fraction")
		}
		s.spaces()
		unitAt := s.pos
		for !s.done() && unicode.IsLetter(s.peek()) {
			s.next()
		}
		word := strings.ToLower(s.text[unitAt:s.pos])
		unit, known := timeWords[word]
		switch {
		case word != "" && !known:
			return nil, s.fail(unitAt, ErrUnit, "“%s” is not a unit of time; write h, min or s", s.text[unitAt:s.pos])
		case word == "" && last == time.Hour:
			unit = time.Minute
		case word == "" && last == time.Minute:
			unit = time.Second
		case word == "" && last == 0:
			unit = time.Minute
		}
		if last != 0 && unit >= last || unit == 0 {
			return nil, s.fail(at, ErrUnit, "hours come first, then minutes, then seconds, each once")
		}
		if last != 0 && m.value.Cmp(big.NewRat(60, 1)) >= 0 {
			return nil, s.fail(at, ErrSyntax, "minutes behind hours and seconds behind minutes must be below 60")
		}
		total.Add(total, new(big.Rat).Mul(m.value, big.NewRat(int64(unit/time.Second), 1)))
		s.spaces()
		if _, single := vulgar[s.peek()]; !isDigit(s.peek()) && !single || word == "" {
			return total, nil
		}
		last = unit
	}
}

// FormatDuration writes worked time as 1 h 20 min, seconds only below a minute
// or where they are not whole minutes: 45 s, 1 h 0 min 5 s. Less than a second
// is cut off. ParseMinutes reads it back.
func FormatDuration(d time.Duration) string {
	var b strings.Builder
	seconds := int64(d / time.Second)
	if seconds < 0 {
		b.WriteString("-")
		seconds = -seconds
	}
	h, m, s := seconds/3600, seconds/60%60, seconds%60
	var parts []string
	if h > 0 {
		parts = append(parts, strconv.FormatInt(h, 10)+" h")
	}
	if m > 0 || h > 0 && s > 0 || seconds == 0 {
		parts = append(parts, strconv.FormatInt(m, 10)+" min")
	}
	if s > 0 {
		parts = append(parts, strconv.FormatInt(s, 10)+" s")
	}
	b.WriteString(strings.Join(parts, " "))
	return b.String()
}
