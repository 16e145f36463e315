package report

import (
	"regexp"
	"strings"
)

// escapePlain makes a text of the builder's own safe inside Markdown: every
// ASCII punctuation mark is escaped and line ends become spaces, so that it
// reads as the very characters that were written.
func escapePlain(s string) string {
	var b strings.Builder
	for _, r := range strings.Join(strings.Fields(s), " ") {
		if r < ' ' || r == 0x7f {
			continue
		}
		if r < 0x80 && r > ' ' && !(r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z') {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

var (
	// structural finds what would begin a heading, rule, definition, quotation
	// or footnote, also inside a list; a single = or - below a line makes that
	// line a heading, -: makes it a table.
	structural = regexp.MustCompile(`(?m)^((?:[ \t]|[-+*][ \t]+|\d{1,9}[.)][ \t]+)*)(#{1,6}(?:[ \t]|$)|=+[ \t]*$|-+:?[ \t]*$|:|>|\[\^)`)
	// unsafeText leaves what is escaped already as it is: one more backslash
	// would undo it. A bracket with a colon would define a link.
	unsafeText = strings.NewReplacer(`\\`, `\\`, `\$`, `\$`, `\<`, `\<`, `\|`, `\|`, "\\`", "\\`", `\~`, `\~`, `\{`, `\{`, `\!`, `\!`,
		`\]`, `\]`,
		"$", `\$`, "<", `\<`, "|", `\|`, "`", "\\`", "![", `!\[`, "~", `\~`, "{", `\{`, "]:", `]\:`)
	indent = regexp.MustCompile(`(?m)^[ \t]+`)
)

// escapeProse lets the builder's own Markdown keep paragraphs, emphasis, lists
// and links, and takes from it whatever could disturb the report around it:
// headings, rules, quotations, tables, code, formulas, images, raw HTML and
// link definitions.
func escapeProse(s string) string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	s = strings.TrimSpace(s) // before what is structural is looked for: a trimmed no-break space could bare it
	s = indent.ReplaceAllString(s, "")
	s = unsafeText.Replace(s)
	s = structural.ReplaceAllStringFunc(s, func(m string) string {
		at := structural.FindStringSubmatchIndex(m)[4]
		return m[:at] + `\` + m[at:]
	})
	return s
}
