package spec

import (
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// positions finds where every key and table of a TOML text stands, by dotted
// path. The text must have passed the TOML parser: of its grammar only what
// is needed to skip values is known here. Where a path appears more than once
// (a table that is opened and then extended) the first place counts.
func positions(src string) map[string]Position {
	s := &scanner{src: src, out: map[string]Position{}}
	for i := range len(src) {
		if src[i] == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	var table []string
	for s.skip(true); s.i < len(src); s.skip(true) {
		if s.src[s.i] == '[' {
			start := s.i
			for s.i < len(src) && s.src[s.i] == '[' {
				s.i++
			}
			table = s.key(nil, -1)
			s.put(table, start)
			for s.i < len(src) && s.src[s.i] != '\n' {
				if s.src[s.i] == '#' {
					s.comment()
					break
				}
				s.i++
			}
			continue
		}
		before := s.i
		s.pair(table)
		if s.i == before { // not TOML: never loop for ever
			s.i++
		}
	}
	return s.out
}

type scanner struct {
	src   string
	i     int
	lines []int // where each line but the first begins
	out   map[string]Position
}

// deepest is how many parts a key may have and still be entered: the format
// has four levels, and a hostile file could have a hundred thousand.
const deepest = 16

func (s *scanner) put(path []string, at int) {
	if len(path) > deepest {
		return
	}
	p := strings.Join(path, ".")
	if _, ok := s.out[p]; ok {
		return
	}
	n := sort.SearchInts(s.lines, at+1)
	begin := 0
	if n > 0 {
		begin = s.lines[n-1]
	}
	s.out[p] = Position{n + 1, utf8.RuneCountInString(s.src[begin:at]) + 1}
}

// place turns a byte offset into line and column. The TOML library may report
// an offset of -1, or one beyond the end.
func place(src string, at int) Position {
	at = max(0, min(at, len(src)))
	line := strings.Count(src[:at], "\n") + 1
	begin := strings.LastIndexByte(src[:at], '\n') + 1
	return Position{line, utf8.RuneCountInString(src[begin:at]) + 1}
}

func (s *scanner) comment() {
	for s.i < len(s.src) && s.src[s.i] != '\n' {
		s.i++
	}
}

// skip passes white space and comments, and line ends too where lines is set.
func (s *scanner) skip(lines bool) {
	for s.i < len(s.src) {
		switch c := s.src[s.i]; {
		case c == ' ' || c == '\t' || c == '\r':
			s.i++
		case c == '\n' && lines:
			s.i++
		case c == '#':
			s.comment()
		default:
			return
		}
	}
}

// key reads a dotted key. With a start of 0 or more every prefix of the key is
// entered as standing there.
func (s *scanner) key(prefix []string, start int) []string {
	path := append([]string(nil), prefix...)
	for s.i < len(s.src) {
		s.skip(false)
		if s.i >= len(s.src) {
			break
		}
		switch c := s.src[s.i]; c {
		case '"', '\'':
			begin := s.i
			s.str()
			path = append(path, unquote(s.src[begin:s.i]))
		default:
			begin := s.i
			for s.i < len(s.src) && strings.IndexByte(" \t\r\n.=]\"'#,{}[", s.src[s.i]) < 0 {
				s.i++
			}
			if s.i == begin {
				return path
			}
			path = append(path, s.src[begin:s.i])
		}
		if start >= 0 {
			s.put(path, start)
		}
		s.skip(false)
		if s.i >= len(s.src) || s.src[s.i] != '.' {
			break
		}
		s.i++
	}
	return path
}

// unquote returns the name that a quoted key stands for.
func unquote(key string) string {
	if key[0] == '"' && strings.Contains(key, `\`) {
		var one map[string]int
		if _, err := toml.Decode(key+" = 0", &one); err == nil {
			for k := range one {
				return k
			}
		}
	}
	return strings.TrimSuffix(key[1:], key[:1])
}

// pair reads "key = value" below a table.
func (s *scanner) pair(table []string) {
	path := s.key(table, s.i)
	s.skip(false)
	if s.i < len(s.src) && s.src[s.i] == '=' {
		s.i++
		s.value(path)
	}
}

func (s *scanner) value(path []string) {
	s.skip(false)
	if s.i >= len(s.src) {
		return
	}
	switch s.src[s.i] {
	case '"', '\'':
		s.str()
	case '[':
		s.i++
		for s.skip(true); s.i < len(s.src) && s.src[s.i] != ']'; s.skip(true) {
			before := s.i
			if s.src[s.i] == ',' {
				s.i++
				continue
			}
			s.value(path)
			if s.i == before {
				return
			}
		}
		s.i++
	case '{':
		s.i++
		for s.skip(true); s.i < len(s.src) && s.src[s.i] != '}'; s.skip(true) {
			before := s.i
			if s.src[s.i] == ',' {
				s.i++
				continue
			}
			s.pair(path)
			if s.i == before {
				return
			}
		}
		s.i++
	default:
		for s.i < len(s.src) && strings.IndexByte(",]}#\r\n", s.src[s.i]) < 0 {
			s.i++
		}
	}
}

// str passes a string of any of the four kinds.
func (s *scanner) str() {
	q := s.src[s.i]
	triple := strings.Repeat(string(q), 3)
	if strings.HasPrefix(s.src[s.i:], triple) {
		s.i += 3
		for s.i < len(s.src) && !strings.HasPrefix(s.src[s.i:], triple) {
			if q == '"' && s.src[s.i] == '\\' {
				s.i++
			}
			s.i++
		}
		s.i = min(s.i+3, len(s.src))
		for s.i < len(s.src) && s.src[s.i] == q { // up to two quotes may precede the end
			s.i++
		}
		return
	}
	for s.i++; s.i < len(s.src) && s.src[s.i] != q && s.src[s.i] != '\n'; s.i++ {
		if q == '"' && s.src[s.i] == '\\' {
			s.i++
		}
	}
	s.i = min(s.i+1, len(s.src))
}
