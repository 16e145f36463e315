package report

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// unitWords are the units that belong to the number before them, without SI
// prefixes; prefixed says which take one.
var (
	unitWords = map[string]bool{"dBc": true, "dB": true, "dBi": true, "cm²": true, "mm²": true, "m²": true, "cm": true, "m³/s": true,
		"L/s": true, "m³/h": true,
		"CFM": true, "inH2O": true, "in": true, "ft": true, "%": true, "°C": true, "K": true, "kg": true, "h": true, "min": true,
		"minutes": true, "hours": true, "days": true, "turns": true}
	prefixed = map[string]bool{"VA": true, "V": true, "A²s": true, "A": true, "W": true, "Ω": true, "F": true, "H": true, "Hz": true,
		"J": true, "s": true, "m": true, "g": true, "T": true, "Pa": true}
)

// typography gives the report's prose a space that does not break between a
// number and its unit, a true minus sign, and a dash in ranges. Headings keep
// their plain spaces, for links are made from them; formulas, code, escaped
// marks and the targets of links stay as they are.
func typography(markdown string) string {
	var b strings.Builder
	b.Grow(len(markdown) + len(markdown)/16)
	for len(markdown) > 0 {
		line, rest, more := strings.Cut(markdown, "\n")
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "$$") {
			b.WriteString(line)
		} else {
			setLine(&b, line)
		}
		if more {
			b.WriteByte('\n')
		}
		markdown = rest
	}
	return b.String()
}

// setLine sets one line; what must stay as it is is copied.
func setLine(b *strings.Builder, s string) {
	before := byte(' ') // the byte before, as far as a minus sign goes
	for i := 0; i < len(s); {
		if n := untouched(s[i:]); n > 0 {
			b.WriteString(s[i : i+n])
			before = s[i+n-1]
			i += n
			continue
		}
		c := s[i]
		switch {
		case c == '-' && i+1 < len(s) && digit(s[i+1]) && strings.IndexByte(" \t([|", before) >= 0:
			b.WriteString("−")
		case c == ' ' && strings.HasPrefix(s[i:], " .. "):
			b.WriteString(" – ")
			before = ' '
			i += 4
			continue
		case c == ' ' && digit(before) && unitAt(s[i+1:]):
			b.WriteString("\u00a0")
		default:
			b.WriteByte(c)
		}
		before = c
		i++
	}
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// untouched is the length of a formula, a piece of code, an escaped mark or
// the target of a link at the front of s; 0 if there is none.
func untouched(s string) int {
	end := func(from int, mark string) int {
		if i := strings.Index(s[from:], mark); i >= 0 {
			return from + i + len(mark)
		}
		return 0
	}
	switch s[0] {
	case '\\':
		if len(s) > 1 && s[1] != ' ' && s[1] < 0x80 {
			return 2
		}
	case '`':
		return end(1, "`")
	case '$':
		if strings.HasPrefix(s, "$$") {
			return end(2, "$$")
		}
		return end(1, "$")
	case ']':
		if strings.HasPrefix(s, "](") {
			return end(2, ")")
		}
	}
	return 0
}

// unitAt says whether s begins with a unit that ends there.
func unitAt(s string) bool {
	n := 0
	for n < len(s) {
		r, size := utf8.DecodeRuneInString(s[n:])
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("²³/%°", r) {
			break
		}
		n += size
	}
	word := strings.TrimSuffix(s[:n], "/")
	if unitWords[word] || prefixed[word] {
		return true
	}
	r, size := utf8.DecodeRuneInString(word)
	return strings.ContainsRune("pnµmkMG", r) && prefixed[word[size:]]
}
