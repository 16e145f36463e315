package compare

import (
	"fmt"
	"slices"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

// Digest writes a design as text made to be compared line by line: what the
// spec says, the main results (all of them with every), verdicts, findings and
// parts; one to a line, sorted, three digits, and nothing of where it stood.
func Digest(s Side, every bool) string {
	var b strings.Builder
	section := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		slices.Sort(lines)
		if b.Len() > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "# %s\n", title)
		for _, l := range lines {
			b.WriteString(strings.ReplaceAll(l, "\n", " ") + "\n")
		}
	}
	section("spec", specLines(s))
	var results, verdicts, findings, parts []string
	for _, q := range s.Design.Book.Quantities() {
		if _, main := Main(q.ID); main || every && q.From == ledger.FromComputed && q.ID != "tubes.energy_balance" {
			results = append(results, q.ID+" = "+q.Text())
		}
	}
	for _, r := range s.Design.Book.Ratings {
		id := r.Part + "." + r.Quantity
		if r.StressID != "" {
			id = r.Part + "." + r.StressID[strings.LastIndexByte(r.StressID, '.')+1:]
		}
		verdicts = append(verdicts, "rating."+id+" = "+string(r.Verdict))
	}
	for _, f := range s.Design.Book.Findings {
		findings = append(findings, "finding."+f.ID+" = "+string(f.Severity))
	}
	for _, p := range setting.Plain(s.Design.Book, "metric").Parts() {
		parts = append(parts, "part."+p.Designator+" = "+Text(&p))
	}
	section("results", results)
	section("findings", findings)
	section("ratings", verdicts)
	section("parts", parts)
	return b.String()
}

// specLines are the keys that the builder wrote.
func specLines(s Side) []string {
	var out []string
	for _, e := range s.Design.Spec.Entries(s.Text) {
		if e.Given {
			out = append(out, "spec."+e.Key+" = "+e.Text)
		}
	}
	return out
}

// Unreadable writes in place of a digest why there is none, and the text of
// the spec itself, so that a comparison line by line still shows what changed.
func Unreadable(err error, text []byte) string {
	var b strings.Builder
	b.WriteString("# anodebook cannot compute this spec\n")
	b.WriteString(err.Error() + "\n")
	if len(text) > 0 {
		b.WriteString("\n# its text\n" + strings.ReplaceAll(strings.ToValidUTF8(string(text), "\ufffd"), "\r\n", "\n"))
		if text[len(text)-1] != '\n' {
			b.WriteString("\n")
		}
	}
	return b.String()
}
