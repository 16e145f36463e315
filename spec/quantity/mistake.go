package quantity

import (
	"regexp"
	"sort"
	"strings"
)

// Mistake is a slip of the pen in a quantity, with what to write instead.
type Mistake struct {
	What string // what is wrong
	Fix  string // the text as it was probably meant; may be empty
}

// Error says what is wrong.
func (m *Mistake) Error() string { return m.What }

// UnknownUnit says that a number carries a unit that nobody knows.
type UnknownUnit struct {
	Text string // the whole text
	Name string // the unit
}

// Error says which unit is unknown.
func (u *UnknownUnit) Error() string { return quoted(u.Text) + ": unknown unit " + quoted(u.Name) }

// quoted writes text of the builder's own for a message, shortened where it
// is beyond all reason.
func quoted(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "…"
	}
	return `"` + s + `"`
}

var (
	commaDecimal = regexp.MustCompile(`^([-+]?\d+),(\d+)(.*)$`)
	commaGroups  = regexp.MustCompile(`^[-+]?\d{1,3}(,\d{3})+(\.\d+)?(\D.*)?$`)
	groups       = regexp.MustCompile(`^[-+]?\d{1,3}([ '_\x{a0}\x{202f}]\d{3})+(\.\d+)?(\D.*)?$`)
	notRange     = regexp.MustCompile(`^([^.]*?[\d.]+[^-–—…]*?)\s*(?:-|–|—|…|\.\.\.+|\bto\b|\bbis\b)\s*(\d.*)$`)
)

// slip recognises the usual slips in the number of a quantity.
func slip(text string) *Mistake {
	switch {
	case commaGroups.MatchString(text):
		one := strings.ReplaceAll(text, ",", "")
		return &Mistake{quoted(text) + ": no comma in a number; the decimal sign is a point, and nothing stands between thousands", one}
	case commaDecimal.MatchString(text):
		return &Mistake{quoted(text) + ": write a decimal point, not a comma", strings.Replace(text, ",", ".", 1)}
	case groups.MatchString(text):
		n := strings.IndexFunc(text, func(r rune) bool { return r > '9' && r != '_' && r != '\u00a0' && r != '\u202f' })
		if n < 0 {
			n = len(text)
		}
		number := strings.TrimRight(text[:n], " \u00a0\u202f")
		fix := regexp.MustCompile(`[ '_\x{a0}\x{202f}]`).ReplaceAllString(number, "")
		return &Mistake{quoted(text) + ": write the digits of a number together",
			strings.TrimSpace(fix + " " + strings.TrimSpace(text[n:]))}
	}
	return nil
}

// words for units, in the singular or plural, that builders write.
var unitWords = map[string]string{
	"volt": "V", "ampere": "A", "amp": "A", "watt": "W", "ohm": "ohm", "farad": "F", "henry": "H", "henrie": "H",
	"hertz": "Hz", "cycle": "Hz", "second": "s", "sec": "s", "metre": "m", "meter": "m", "joule": "J", "pascal": "Pa",
	"mfd": "uF", "mf": "uF", "mmfd": "pF", "mmf": "pF", "kc": "kHz", "mc": "MHz",
	"c": "°C", "celsius": "°C", "centigrade": "°C", "f": "°F", "fahrenheit": "°F", "kelvin": "K",
	"percent": "%", "pct": "%", "per cent": "%", "prozent": "%",
	"k": "kohm", "meg": "Mohm", "r": "ohm", "decibel": "dB", "db": "dB", "dbi": "dBi", "dbd": "dBd",
	"foot": "ft", "feet": "ft", "minute": "min", "hour": "h", "msec": "ms", "usec": "us", "'": "ft",
	"”": "in", "″": "in", "''": "in", "mils": "mil", "thou": "mil",
}

var prefixWords = map[string]string{
	"kilo": "k", "milli": "m", "mega": "M", "micro": "u", "nano": "n", "pico": "p", "giga": "G", "centi": "c",
}

// Meant finds the unit of the kind of like that was probably meant by a name
// that is no such unit: other capitals ("kv", "PF") or a word ("volts",
// "kilowatt"). It returns "" where nothing fits.
func Meant(name string, like Unit) string {
	fits := func(n string) bool {
		u, ok := LookupUnit(n)
		return ok && u.Kind() == like.Kind() && u.Dimension == like.Dimension
	}
	word := strings.ToLower(strings.Trim(name, " ."))
	for _, w := range []string{word, strings.TrimSuffix(word, "s")} {
		if u, ok := unitWords[w]; ok && fits(u) {
			return u
		}
		for long, short := range prefixWords {
			if rest, ok := strings.CutPrefix(w, long); ok {
				if u, ok := unitWords[rest]; ok && fits(short+u) {
					return short + u
				}
			}
		}
	}
	order := []string{"", "k", "m", "u", "n", "p", "M", "G", "c"}
	if like.Dimension == Frequency || like.Dimension == Resistance {
		order = []string{"", "k", "M", "m", "u", "n", "p", "G", "c"}
	}
	var names []string
	for n, u := range units {
		if n != "" && u.Dimension == like.Dimension && u.Kind() == like.Kind() {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	for _, p := range order {
		for _, n := range names {
			if strings.EqualFold(p+n, strings.TrimSpace(name)) && fits(p+n) {
				return p + n
			}
		}
	}
	return ""
}

// Kind tells apart what has no dimension: "%", "dB", "dBi", "turns", "°", or
// "" for plain numbers and everything with a dimension.
func (u Unit) Kind() string {
	if u.Dimension != Pure {
		return ""
	}
	switch u.Symbol {
	case "ppm":
		return "%"
	case "dBd":
		return "dBi"
	}
	return u.Symbol
}

var kindNames = map[string][2]string{
	"%": {"a percentage", "5 %"}, "dB": {"a number of decibels", "1.5 dB"}, "dBi": {"an antenna gain", "2.2 dBi"},
	"turns": {"a number of turns", "12 turns"}, "°": {"an angle", "60 °"},
}

// Name returns what the unit measures, such as "a voltage" or "a percentage".
func (u Unit) Name() string {
	if n, ok := kindNames[u.Kind()]; ok {
		return n[0]
	}
	return u.Dimension.Name()
}

// Example returns text of the unit's kind as a builder would write it.
func (u Unit) Example() string {
	if n, ok := kindNames[u.Kind()]; ok {
		return n[1]
	}
	return u.Dimension.Example()
}
