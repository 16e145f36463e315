package spec

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/BurntSushi/toml"
)

var (
	assignment = regexp.MustCompile(`^\s*([\w.-]+)\s*=\s*(.*?)\s*$`)
	leading    = regexp.MustCompile(`^\s*([A-Za-z][\w. -]*?)\s*(=|:|["'].*$|$)`)
)

// syntax words a TOML syntax error for someone who never heard of TOML: what
// is wrong, and what to write instead. The parser's own message stands where
// the cause is none of the usual ones.
func syntax(pe toml.ParseError, text string, at Position) (what, hint string) {
	m := pe.Message
	if m == "" {
		m = pe.Error()
		if i := strings.LastIndex(m, ": "); i >= 0 {
			m = m[i+2:]
		}
	}
	m = strings.TrimSuffix(strings.TrimPrefix(m, "toml: "), ".")
	lines := strings.Split(text, "\n")
	line := ""
	if at.Line <= len(lines) {
		line = strings.TrimRight(lines[at.Line-1], "\r")
	}
	key, value := "", ""
	if a := assignment.FindStringSubmatch(line); a != nil {
		key, value = a[1], a[2]
	}
	bare := value != "" && !strings.ContainsAny(value[:1], `"'[{`) // a value that lacks its quotes
	inQuotes := func() string {
		v, _, _ := strings.Cut(value, "#")
		return fmt.Sprintf(`put it in quotes: %s = "%s"`, key, strings.Trim(strings.TrimSpace(v), `"'“”„‘’«»`))
	}
	switch {
	case strings.Contains(m, "has already been defined"):
		_, name, _ := strings.Cut(m, "'")
		name, _, _ = strings.Cut(name, "'")
		if strings.HasPrefix(strings.TrimSpace(line), "[") {
			return fmt.Sprintf("the table [%s] is written twice", name), "put the keys of both under one heading"
		}
		return fmt.Sprintf("%s is written twice", name), "delete one of the two"
	case strings.ContainsAny(line, "“”„«»"):
		return "typographic quotes", `write straight quotes: "`
	case strings.Contains(m, "strings cannot contain newlines"), strings.Contains(m,
		"unexpected EOF; expected '\"'"), strings.Contains(m, `unexpected EOF; expected "'"`):
		return "the closing quote is missing", `a text begins and ends with " on one line`
	case strings.Contains(m, "invalid escape"):
		return "a backslash in a text means something special", `write \\ for one backslash, or put the text in single quotes: 'C:\parts'`
	case strings.Contains(m, "control characters"):
		return "an invisible control character", "delete it and write the line anew"
	case strings.HasPrefix(strings.TrimSpace(line), ";"), strings.HasPrefix(strings.TrimSpace(line), "//"):
		return "not a line of a spec", "a comment begins with #"
	case strings.Contains(m, "to end table name"):
		return "the heading of a table lacks its closing bracket", fmt.Sprintf("write [%s]",
			strings.Trim(strings.TrimSpace(line), "[] "))
	case strings.Contains(m, "array terminator"), strings.Contains(m, "unexpected EOF; expected ']'"):
		return "a list is not closed, or a comma is missing in it", `a list reads: bands = ["80m", "40m"]`
	case strings.Contains(m, "expected '.' or '='"):
		if l := leading.FindStringSubmatch(line); l != nil {
			name := strings.ReplaceAll(l[1], " ", "_")
			switch {
			case name != l[1]:
				return fmt.Sprintf("%q: a key is one word", l[1]), fmt.Sprintf(`an underscore joins its parts: %s = …`, name)
			case l[2] == ":":
				return fmt.Sprintf("a colon after %s", name), fmt.Sprintf("an equals sign stands between key and value: %s = …", name)
			}
			return fmt.Sprintf("no equals sign after %s", name), strings.TrimSpace(fmt.Sprintf("write %s = %s", name, l[2]))
		}
	case key != "" && value == "":
		return fmt.Sprintf("no value after %s =", key), fmt.Sprintf(`write the value behind the equals sign: %s = "…"`, key)
	case bare:
		return fmt.Sprintf("the value of %s stands without quotes", key), inQuotes()
	case strings.Contains(m, "to end with a newline"):
		return "something follows the value on the same line", "each key has a line of its own; a comment begins with #"
	}
	return "not TOML: " + m, `a line reads: key = "value with unit", or [table], or # comment`
}
