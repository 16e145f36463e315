package report

import (
	"regexp"
	"strings"
)

var (
	// untouched are the parts of a line that are not prose: escaped marks,
	// formulas, code, and where links lead.
	untouched = regexp.MustCompile("\\\\[^\\w\\s]|\\$\\$[^$]*\\$\\$|\\$[^$]+\\$|`[^`]*`|\\]\\([^)]*\\)")
	withUnit  = regexp.MustCompile(`(\d) ((?:[pnµmkMG]?(?:VA|V|A²s|A|W|Ω|F|H|Hz|J|s|m|g|T|Pa)|dBc|dB|cm²|mm²|m²|cm|km|m³/s|L/s|m³/h|CFM|inH2O|in|ft|%|°C|K|kg|h|min|minutes|hours|days|turns)(?:[^\p{L}\p{N}]|$))`)
	negative  = regexp.MustCompile(`(^|[\s(\[|])-(\d)`)
)

// typography gives the report's prose a space that does not break between a
// number and its unit, a true minus sign, and a dash in ranges. Headings keep their plain
// spaces, for links are made from them.
func typography(markdown string) string {
	lines := strings.Split(markdown, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "#") || strings.HasPrefix(l, "$$") {
			continue
		}
		var b strings.Builder
		at := 0
		for _, m := range untouched.FindAllStringIndex(l, -1) {
			b.WriteString(setText(l[at:m[0]]))
			b.WriteString(l[m[0]:m[1]])
			at = m[1]
		}
		b.WriteString(setText(l[at:]))
		lines[i] = b.String()
	}
	return strings.Join(lines, "\n")
}

func setText(s string) string {
	s = strings.ReplaceAll(s, " .. ", " – ")
	return negative.ReplaceAllString(withUnit.ReplaceAllString(s, "$1\u00a0$2"), "$1−$2")
}
