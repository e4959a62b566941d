// Package words says the sentences of a plan in another language. The English
// sentence is the source of truth and its own key: a catalogue holds the
// sentences as the source composes them, with %s for each hole, and what they
// read like in the language, with {1}, {2} ... for the same holes in any order.
// Two kinds are held apart: sentences are found by what stands between their
// holes, see Language.Say; phrases only by their key, see Language.Format. What
// has no entry is shown in English. The package knows no toolkit, no file and no
// locale of the system; start with Read.
package words

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// Catalogue is the file of a language.
type Catalogue struct {
	Language  string            // its name in itself
	Sentences map[string]string // composed by the plan; found by their fixed text
	Phrases   map[string]string // of sheets and drawings; found by their key
}

// Language says English sentences in another language. Nil is English itself:
// all methods give back what they are given. It may be used by many goroutines.
type Language struct {
	tag     string
	comma   bool // decimal sign
	behind  bool // the currency's sign stands behind the amount
	phrases map[string][]piece
	exact   map[string]string
	starts  map[string][]*pattern // by the first bytes of their fixed text
	any     []*pattern            // those that begin with a hole
	kept    map[string]bool

	lock sync.Mutex
	said map[string]answer
}

// answer is what a text came to; known is false where it has no entry, whole
// where something in one of its holes has none either.
type answer struct {
	text         string
	known, whole bool
}

// piece is fixed text, or a hole where hole > 0.
type piece struct {
	text string
	hole int
}

// pattern is a sentence with holes.
type pattern struct {
	key   string
	fixed []string // before the first hole, between them and behind the last
	out   []piece
	size  int // letters of the fixed text
}

// startLength is how many bytes of fixed text index a pattern.
const startLength = 3

// mostSaid bounds what is remembered.
const mostSaid = 20_000

// Read takes a catalogue as JSON. tag is the language with its region where one
// is known, as in es-MX or es_ES.UTF-8; it decides decimal signs and where the
// currency stands. Errors: no JSON, holes of an entry that do not agree.
func Read(data []byte, tag string) (*Language, error) {
	var c Catalogue
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, fmt.Errorf("read the words of %s: %w", tag, err)
	}
	l := &Language{tag: tag, phrases: map[string][]piece{}, exact: map[string]string{}, starts: map[string][]*pattern{}, said: map[string]answer{}}
	l.comma, l.behind = habits(tag)
	for key, text := range c.Phrases {
		out, err := parse(key, text)
		if err != nil {
			return nil, err
		}
		l.phrases[key] = out
		if len(out) == 1 && out[0].hole == 0 {
			l.exact[key] = text
		}
	}
	for key, text := range c.Sentences {
		out, err := parse(key, text)
		if err != nil {
			return nil, err
		}
		l.phrases[key] = out
		fixed := strings.Split(key, "%s")
		if len(fixed) == 1 {
			l.exact[key] = text
			continue
		}
		p := &pattern{key: key, fixed: fixed, out: out, size: len(key) - 2*(len(fixed)-1)}
		if len(fixed[0]) < startLength {
			l.any = append(l.any, p)
			continue
		}
		start := fixed[0][:startLength]
		l.starts[start] = append(l.starts[start], p)
	}
	order := func(a, b *pattern) int {
		if a.size != b.size {
			return b.size - a.size
		}
		return strings.Compare(a.key, b.key)
	}
	slices.SortFunc(l.any, order)
	for _, list := range l.starts {
		slices.SortFunc(list, order)
	}
	return l, nil
}

var numbered = regexp.MustCompile(`\{(\d)\}`)

// parse parts the translation of key at its holes.
func parse(key, text string) ([]piece, error) {
	var out []piece
	holes := strings.Count(key, "%s")
	used := map[int]bool{}
	at := 0
	for _, m := range numbered.FindAllStringSubmatchIndex(text, -1) {
		if m[0] > at {
			out = append(out, piece{text: text[at:m[0]]})
		}
		n, _ := strconv.Atoi(text[m[2]:m[3]])
		if n < 1 || n > holes {
			return nil, fmt.Errorf("%q: the translation names hole %d of %d", key, n, holes)
		}
		used[n] = true
		out = append(out, piece{hole: n})
		at = m[1]
	}
	if len(used) != holes {
		return nil, fmt.Errorf("%q: the translation has %d of %d holes", key, len(used), holes)
	}
	if at < len(text) || len(out) == 0 {
		out = append(out, piece{text: text[at:]})
	}
	return out, nil
}

// Keeping gives the language with names that are nobody's words but the maker's:
// they are left as they are wherever they fill a hole.
func (l *Language) Keeping(names ...string) *Language {
	if l == nil {
		return nil
	}
	k := &Language{tag: l.tag, comma: l.comma, behind: l.behind, phrases: l.phrases, exact: l.exact, starts: l.starts, any: l.any,
		kept: map[string]bool{}, said: map[string]answer{}}
	for _, n := range names {
		k.kept[n] = true
	}
	return k
}

// Tag is the language's tag as given, empty for English.
func (l *Language) Tag() string {
	if l == nil {
		return ""
	}
	return l.tag
}

// Say gives a text of the plan, one sentence or several, in the language. What
// fills a hole is said in turn, unless it is a name that is kept. A text without
// an entry comes back as it is, but for decimal signs.
func (l *Language) Say(text string) string {
	if l == nil {
		return text
	}
	return l.say(text).text
}

// Knows reports whether the whole of a text has entries, down to what fills its
// holes.
func (l *Language) Knows(text string) bool { return l == nil || l.say(text).whole }

// All says each of a list.
func (l *Language) All(list []string) []string {
	if l == nil || len(list) == 0 {
		return list
	}
	out := make([]string, len(list))
	for i, text := range list {
		out[i] = l.Say(text)
	}
	return out
}

func (l *Language) say(text string) answer {
	l.lock.Lock()
	a, ok := l.said[text]
	l.lock.Unlock()
	if ok {
		return a
	}
	a = l.find(text)
	l.lock.Lock()
	if len(l.said) >= mostSaid {
		clear(l.said)
	}
	l.said[text] = a
	l.lock.Unlock()
	return a
}

// find looks a text up: as a whole, then sentence by sentence.
func (l *Language) find(text string) answer {
	if text == "" || l.kept[text] {
		return answer{text, true, true}
	}
	whole := l.one(text)
	if whole.whole {
		return whole
	}
	for _, end := range []string{"\n", ". ", "; "} {
		for at := strings.LastIndex(text, end); at > 0; at = strings.LastIndex(text[:at], end) {
			cut := at + len(end) - 1 // a full stop stays with its sentence
			if end != ". " {
				cut = at
			}
			head := l.one(text[:cut])
			if !head.known {
				continue
			}
			rest := l.say(text[at+len(end):])
			a := answer{head.text + text[cut:at+len(end)] + rest.text, rest.known, head.whole && rest.whole}
			if a.whole || !whole.known {
				return a
			}
		}
	}
	if whole.known {
		return whole
	}
	return answer{text: l.Number(text)}
}

// one says one sentence that has an entry, or something that needs none. A
// sentence may stand within another, its first letter small, or the other way.
func (l *Language) one(text string) answer {
	if a := l.entry(text); a.known {
		return a
	}
	first, n := utf8.DecodeRuneInString(text)
	turn, back := unicode.ToUpper, unicode.ToLower
	if unicode.IsUpper(first) {
		turn, back = back, turn
	}
	a := l.entry(string(turn(first)) + text[n:])
	if a.known {
		first, n = utf8.DecodeRuneInString(a.text)
		a.text = string(back(first)) + a.text[n:]
	}
	return a
}

func (l *Language) entry(text string) answer {
	if said, ok := l.exact[text]; ok {
		return answer{said, true, true}
	}
	if !hasWord(text) {
		return answer{l.Number(text), true, true}
	}
	if said, ok := l.day(text); ok {
		return answer{said, true, true}
	}
	lists := [][]*pattern{l.any}
	if len(text) >= startLength {
		lists = [][]*pattern{l.starts[text[:startLength]], l.any}
	}
	for _, list := range lists {
		for _, p := range list {
			if a := l.fit(p, text); a.known {
				return a
			}
		}
	}
	return answer{}
}

// mostSplits bounds the ways a sentence is parted into its holes.
const mostSplits = 24

// fit fills a pattern from a text: by the first parting whose holes are all known,
// else by the first.
func (l *Language) fit(p *pattern, text string) (best answer) {
	tried := 0
	match(p.fixed, text, func(holes []string) bool {
		if slices.ContainsFunc(holes, l.runsOn) {
			return false
		}
		if a := l.fill(p, holes); a.whole || !best.known {
			best = a
		}
		tried++
		return best.whole || tried == mostSplits
	})
	return best
}

// runsOn reports whether what would fill a hole is more than one sentence.
func (l *Language) runsOn(hole string) bool { return strings.Contains(hole, ". ") && !l.kept[hole] }

// fill sets a pattern's translation, its holes said in turn.
func (l *Language) fill(p *pattern, holes []string) answer {
	var b strings.Builder
	whole := true
	for _, x := range p.out {
		if x.hole > 0 {
			a := l.part(holes[x.hole-1])
			whole = whole && a.whole
			b.WriteString(a.text)
			continue
		}
		b.WriteString(x.text)
	}
	return answer{b.String(), true, whole}
}

// joiners part a list in a hole.
var joiners = []string{"; ", ", then ", ", ", " or ", " and ", " -> "}

// part says what fills a hole: a name, a figure, a word, or a list of them.
func (l *Language) part(text string) answer {
	a := l.say(text)
	if a.whole {
		return a
	}
	for _, j := range joiners {
		head, rest, ok := strings.Cut(text, j)
		if !ok {
			continue
		}
		between := j
		if word, ok := l.exact[strings.TrimSpace(j)]; ok {
			between = strings.Replace(j, strings.TrimSpace(j), word, 1)
		}
		first, last := l.part(head), l.part(rest)
		list := answer{first.text + between + last.text, first.known && last.known, first.whole && last.whole}
		if list.whole || !a.known {
			return list
		}
	}
	return a
}

// match fits a text between fixed stretches and hands over what fills the holes,
// one parting after the other, until take is content.
func match(fixed []string, text string, take func(holes []string) bool) {
	rest, ok := strings.CutPrefix(text, fixed[0])
	if !ok || !strings.HasSuffix(rest, fixed[len(fixed)-1]) {
		return
	}
	matchFrom(fixed[1:], rest, make([]string, 0, len(fixed)-1), take)
}

func matchFrom(fixed []string, text string, holes []string, take func([]string) bool) bool {
	if len(fixed) == 1 {
		head, ok := strings.CutSuffix(text, fixed[0])
		return ok && take(append(holes, head))
	}
	for at := 0; at <= len(text); at++ {
		i := strings.Index(text[at:], fixed[0])
		if i < 0 {
			return false
		}
		at += i
		if matchFrom(fixed[1:], text[at+len(fixed[0]):], append(holes, text[:at]), take) {
			return true
		}
	}
	return false
}

var aVerb = regexp.MustCompile(`%[-+#0]*\d*(?:\.\d+)?[a-zA-Z%]`)

// Key is the catalogue's key of a format string: every verb is %s, and a quoted
// one stands in quotes.
func Key(format string) string {
	return aVerb.ReplaceAllStringFunc(format, func(v string) string {
		switch v[len(v)-1] {
		case '%':
			return "%"
		case 'q':
			return `"%s"`
		}
		return "%s"
	})
}

// Word is the entry of a text without holes, whoever's name it may be too.
func (l *Language) Word(text string) string {
	if l == nil {
		return text
	}
	if said, ok := l.exact[text]; ok {
		return said
	}
	return text
}

// Format is fmt.Sprintf in the language: the entry of the format string filled
// with the arguments, which are not said in turn. Fractions among the arguments
// get the language's decimal sign.
func (l *Language) Format(format string, args ...any) string {
	if l == nil {
		return fmt.Sprintf(format, args...)
	}
	out, ok := l.phrases[Key(format)]
	if !ok {
		return fmt.Sprintf(format, args...)
	}
	var verbs []string
	for _, v := range aVerb.FindAllString(format, -1) {
		if v != "%%" {
			verbs = append(verbs, strings.Replace(v, "q", "s", 1))
		}
	}
	var b strings.Builder
	for _, x := range out {
		if x.hole == 0 {
			b.WriteString(x.text)
			continue
		}
		if x.hole > len(args) || x.hole > len(verbs) {
			return fmt.Sprintf(format, args...)
		}
		text := fmt.Sprintf(verbs[x.hole-1], args[x.hole-1])
		if _, isText := args[x.hole-1].(string); !isText {
			text = l.Number(text)
		}
		b.WriteString(text)
	}
	return b.String()
}
