package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"anodebook/compute"
	"anodebook/spec"
)

// pageWidth is the greatest width of a line [columns].
const pageWidth = 100

// lesson writes a spec that explains itself: the facts as keys, and every other
// key of the format as a comment with its meaning and its default.
func lesson(f facts, reasons map[string]string) string {
	var b strings.Builder
	say := func(text string) { comment(&b, text) }
	say("Spec of a grounded-grid linear amplifier with two " + f[tubeKey] + ", for anodebook check, write and preview.")
	b.WriteString("#\n")
	say("An amplifier of this kind can kill: its supply holds kilovolts after the switch is off. What is computed from this file is " +
		"an estimate to be proved on the bench by people who know how to work near such voltages.")
	b.WriteString("#\n")
	say("A line that begins with a key is read. A line that begins with # and, without a space, a key is not: take the # away and " +
		"change the value to say it yourself.")
	b.WriteString("#\n")
	say("\"Assumed\" is what is taken where you write nothing, and the report lists every assumption. Where nothing is assumed the " +
		"value only shows how one is written, and fits no amplifier: without it the part is worked out, or left out.")
	b.WriteString("#\n")
	say("Quantities are text with a unit in quotes: \"2.8 kV\", \"250 pF\", \"1/4 in\", \"12 AWG\", \"25 .. 250 pF\". A bare number " +
		"is a count or a ratio.")
	if f[purposeKey] == "restoration" {
		b.WriteString("#\n")
		say("A restoration: write what you found under [survey.NAME] and what you measured under [reading.NAME], near the end; " +
			"describe the parts that are there in the tables of their stages.")
	}
	b.WriteString("\n")
	table, open := "", true // the keys outside all tables come first
	for _, k := range spec.Keys(compute.Names()) {
		if k.Table != table {
			table = k.Table
			open = !k.Named && !strings.HasPrefix(k.Table, "tubes.custom") || k.Table == "prices"
			mark := ""
			if !open {
				mark = "#"
			}
			b.WriteString("\n")
			if k.Named {
				say(named(k.Table))
			}
			fmt.Fprintf(&b, "%s[%s]\n", mark, k.Table)
		}
		path := k.Name
		if k.Table != "" {
			path = k.Table + "." + k.Name
		}
		if text := f[path]; text != "" {
			head := sentence(k)
			if r := reasons[path]; r != "" {
				head += " (here: " + r + ")"
			}
			say(head)
			b.WriteString(folded(k.Name, f.toml(path)))
			continue
		}
		say(sentence(k))
		fmt.Fprintf(&b, "#%s = %s\n", k.Name, k.Example)
	}
	return b.String()
}

// named tells how the name of a table of the builder's own is chosen.
func named(table string) string {
	switch head, _, _ := strings.Cut(table, "."); {
	case head == "prices":
		return "one line for each part, by the designator in the parts list"
	case strings.Contains(table, ".band."):
		return "one such table for each band of which you say something"
	case head == "note":
		return "named after a section of the report, such as tubes, tank, supply"
	}
	return "one such table for each; the name after the dot is yours"
}

// sentence explains a key.
func sentence(k spec.Key) string {
	s := k.Doc
	if k.Bounds != "" {
		s += "; " + k.Bounds
	}
	switch {
	case k.Default != "":
		s += "; assumed: " + k.Why
	case k.Required && k.Named:
		s += "; must stand in the table"
	}
	return s
}

// comment writes a text as comment lines of no more than the page's width.
func comment(b *strings.Builder, text string) {
	line := "#"
	for _, w := range strings.Fields(text) {
		if utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > pageWidth && line != "#" {
			b.WriteString(line + "\n")
			line = "#"
		}
		line += " " + w
	}
	b.WriteString(line + "\n")
}

// folded writes a key and its value, a long text over several lines.
func folded(name, value string) string {
	line := name + " = " + value
	if utf8.RuneCountInString(line) <= pageWidth || !strings.HasPrefix(value, `"`) {
		return line + "\n"
	}
	var b strings.Builder
	b.WriteString(name + " = \"\"\"\\\n")
	n := 0
	for inner := strings.TrimSuffix(value[1:], `"`); inner != ""; {
		size := unit(inner)
		u := inner[:size]
		inner = inner[size:]
		// a backslash at the end of a line takes the line's end and all white
		// space after it out of the text
		if n+len(u) > pageWidth-8 || n > pageWidth-30 && strings.HasSuffix(b.String(), " ") && u != " " {
			b.WriteString("\\\n")
			n = 0
			if u == " " {
				u = `\u0020`
			}
		}
		b.WriteString(u)
		n += utf8.RuneCountInString(u)
	}
	b.WriteString("\"\"\"\n")
	return b.String()
}

// unit is the length in bytes of the first sign of a basic string as
// tomlText writes it.
func unit(s string) int {
	switch {
	case strings.HasPrefix(s, `\u`):
		return 6
	case s[0] == '\\':
		return 2
	}
	_, n := utf8.DecodeRuneInString(s)
	return n
}

// tomlText writes a text as a basic string of TOML.
func tomlText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range strings.ToValidUTF8(s, "\ufffd") {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c < ' ' || c == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}
