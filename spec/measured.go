package spec

import (
	"fmt"
	"path"
	"regexp"
	"strings"
)

// MaxAttachment is the greatest size of a file that a spec names, in bytes.
const MaxAttachment = 4 << 20

// Attachment is a file beside the spec. Reading the spec takes its name only;
// who has the file system fills in the content.
type Attachment struct {
	Origin
	Name    string // path below the spec's own folder, with slashes
	Content []byte // nil: not read
}

// Measured is a network measured with an analyser.
type Measured struct {
	File        Attachment `key:"file" required:"" doc:"Touchstone file (.s1p, .s2p or .ts) in the spec's own folder or below it"`
	Of          Choice     `key:"of" required:"" oneof:"tank input plate_choke" doc:"what was measured"`
	Band        Choice     `key:"band" oneof:"@bands" doc:"band to which it was set; for a plate choke the band to look at"`
	Port        Choice     `key:"port" oneof:"plates antenna exciter cathodes" doc:"where port 1 of the analyser was connected"`
	Termination Quantity   `key:"termination" unit:"ohm" min:"1 ohm" max:"100 kohm" because:"a resistor in place of exciter, cathodes, plates or antenna" doc:"of a one-port file: resistor at the other end of the network"`
	Note        Text       `key:"note" doc:"how, when and with what it was measured"`
}

var (
	partName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	// drive is how a Windows path begins.
	drive = regexp.MustCompile(`^[A-Za-z]:`)
)

// attachment reads the name of a file.
func (r *reader) attachment(o Origin, missing func(), raw any) Attachment {
	a := Attachment{Origin: o}
	if !o.Given {
		missing()
		return a
	}
	s, ok := raw.(string)
	hint := `a path below the spec's own folder, such as "` + exampleFile(o.Key) + `"`
	switch {
	case !ok:
		r.problem(o, kind(raw)+" where the name of a file is wanted", "in quotes, "+hint)
	case strings.TrimSpace(s) == "" || len(s) > 400 || strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c == 0x7f }):
		r.problem(o, quote(s)+" is not the name of a file", hint)
	case strings.Contains(s, `\`):
		r.problem(o, quote(s)+" has a backslash in it", "folders are set off by / on every system: "+hint)
	case strings.HasPrefix(s, "/") || drive.MatchString(s):
		r.problem(o, quote(s)+" begins at the root of a disk", hint)
	case path.Clean(s) == ".." || strings.HasPrefix(path.Clean(s), "../"):
		r.problem(o, quote(s)+" leads out of the spec's folder", "copy the file beside the spec: "+hint)
	default:
		a.Name = path.Clean(s)
	}
	return a
}

// exampleFile is the name of a file as a hint shows it.
func exampleFile(key string) string {
	if strings.HasPrefix(key, "photo.") {
		return "photos/front-panel.jpg"
	}
	return "measured/tank-80m.s1p"
}

// ports says which ends a part has, the usual end for port 1 first.
var ports = map[string][]string{"tank": {"plates", "antenna"}, "input": {"exciter", "cathodes"}, "plate_choke": {"plates"}}

// measured checks what needs more than one key of [measured.NAME], and fills
// in the port.
func (r *reader) measured() {
	s := r.spec
	for _, name := range sortedKeys(s.Measured) {
		m := s.Measured[name]
		key := "measured." + name
		if !partName.MatchString(name) {
			r.problem(Origin{Key: key, Position: r.at[key]}, quote(name)+" is not a name for a measurement",
				"small letters, digits and _, beginning with a letter, such as [measured.tank_80m]")
		}
		ends := ports[m.Of.Value]
		if len(ends) == 0 {
			continue
		}
		if !m.Band.Given && m.Of.Value != "plate_choke" {
			r.problem(Origin{Key: key + ".band", Position: r.at[key]}, "missing: band to which it was set",
				fmt.Sprintf("under [%s] write for example band = %q", key, "80m"))
		}
		if m.Band.Value != "" && len(s.Target.Bands.Values) > 0 && !contains(s.Target.Bands.Values, m.Band.Value) {
			r.problem(m.Band.Origin, m.Band.Value+" is not among target.bands", "add it to target.bands, or drop this table")
		}
		switch {
		case !m.Port.Given:
			m.Port.Value = ends[0]
			s.Assumptions = append(s.Assumptions, Assumption{m.Port.Key, ends[0], "port 1 is usually connected there"})
		case m.Port.Value != "" && !contains(ends, m.Port.Value):
			r.problem(m.Port.Origin, fmt.Sprintf("%q is not an end of what was measured", m.Port.Value),
				"port = "+listing(quoteAll(ends)))
		}
		if m.Termination.Given && (m.Of.Value == "plate_choke" || strings.HasSuffix(strings.ToLower(m.File.Name), ".s2p")) {
			r.problem(m.Termination.Origin, "nothing is terminated there",
				"only the far end of a one-port measurement of a network has a resistor")
		}
		s.Measured[name] = m
	}
}

func quoteAll(words []string) []string {
	var out []string
	for _, w := range words {
		out = append(out, fmt.Sprintf("%q", w))
	}
	return out
}
