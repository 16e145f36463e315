package touchstone

import (
	"fmt"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// keyword reads a line "[Keyword] argument" of version 2.
func (p *parser) keyword(line string, column int) {
	name, argument, closed := strings.Cut(strings.TrimSpace(line), "]")
	name = strings.ToLower(strings.Join(strings.Fields(strings.TrimPrefix(name, "[")), " "))
	argument = strings.TrimSpace(argument)
	bad := func(what, hint string) { p.problem(p.line, column, what, hint) }
	if !closed {
		bad("a keyword without its closing bracket", "such as [Network Data]")
		return
	}
	if p.version == 1 && name != "version" {
		bad("a keyword in a file of version 1", "a file of version 2 begins with [Version] 2.0")
		return
	}
	if p.in == network && len(p.pending) > 0 {
		bad(fmt.Sprintf("only %d numbers for the frequency before this keyword", len(p.pending)), "a number is missing")
		p.pending = p.pending[:0]
	}
	if p.in == references {
		p.reference(p.line - 1)
	}
	if p.in >= network && !strings.HasPrefix(name, "end") && name != "noise data" {
		bad("["+cutPlain(name)+"] stands behind the data", "it comes before [Network Data]")
		return
	}
	switch name {
	case "version":
		switch {
		case p.begun:
			bad("[Version] is not the first line", "only comments may stand before it")
		case argument != "2.0" && argument != "2.1":
			bad(cut(argument)+" is not a version that this program reads", "2.0; a file of version 1 has no [Version] line")
		default:
			p.version = 2
			p.data.Ports, p.swapped = 0, false
		}
	case "number of ports":
		n, err := strconv.Atoi(argument)
		switch {
		case err != nil || n < 1 || n > 2:
			bad(cut(argument)+" ports", "one or two; measure others two at a time")
		case p.named > 0 && n != p.named:
			bad(fmt.Sprintf("%d port(s), but the name of the file tells %d", n, p.named), "")
		default:
			p.data.Ports, p.ports = n, true
		}
	case "two-port data order", "two-port order":
		p.order = true
		switch argument {
		case "12_21":
		case "21_12":
			p.swapped = true
		default:
			bad(cut(argument)+" is no order", "12_21 or 21_12")
		}
	case "number of frequencies":
		n, err := strconv.Atoi(argument)
		if err != nil || n < 1 || n > MaxPoints {
			bad(cut(argument)+" frequencies", fmt.Sprintf("a whole number from 1 to %d", MaxPoints))
			return
		}
		p.count, p.countLine, p.frequencies = n, p.line, true
	case "reference":
		p.in = references
		if argument != "" {
			at := strings.Index(line, "]") + 1
			for _, w := range words(line[at:]) {
				w.column += at
				if r, ok := p.resistance(w); ok {
					p.given = append(p.given, r)
				}
			}
		}
	case "matrix format":
		switch strings.ToLower(argument) {
		case "full":
		case "lower":
			p.lower = true
		case "upper":
			p.upper = true
		default:
			bad(cut(argument)+" is no format", "Full, Lower or Upper")
		}
	case "number of noise frequencies", "begin information", "end information":
		p.in = header
		if name == "begin information" {
			p.in = information
		}
	case "mixed-mode order":
		bad("mixed modes are not read", "measure one port against ground at a time")
	case "network data":
		p.begin(bad)
	case "noise data":
		p.in, p.lastNoise = noise, 0
	case "end":
		p.ended = true
	default:
		bad("["+cutPlain(name)+"] is not a keyword",
			"[Number of Ports], [Two-Port Data Order], [Number of Frequencies], [Reference], [Matrix Format], [Network Data], [End]")
	}
}

// begin checks at [Network Data] that all that the data needs is there.
func (p *parser) begin(bad func(what, hint string)) {
	p.in = network
	if !p.option {
		bad("no option line before [Network Data]", optionHint)
	}
	if !p.ports {
		bad("no [Number of Ports] before [Network Data]", "[Number of Ports] 1")
	}
	if !p.frequencies {
		bad("no [Number of Frequencies] before [Network Data]", "[Number of Frequencies] 201")
	}
	if p.data.Ports == 2 && !p.order {
		bad("no [Two-Port Data Order] before [Network Data]", "[Two-Port Data Order] 21_12")
	}
	if p.order && p.data.Ports == 1 {
		bad("[Two-Port Data Order] of a one-port", "leave it out")
	}
	if (p.upper || p.lower) && (p.data.Kind == Hybrid || p.data.Kind == Inverse) {
		bad("half a matrix of H or G parameters", "[Matrix Format] Full")
	}
	p.kindFits()
}

// reference ends the numbers of [Reference].
func (p *parser) reference(line int) {
	p.in = header
	switch {
	case p.data.Ports == 0:
		p.problem(line, 1, "[Reference] before [Number of Ports]", "")
	case len(p.given) != p.data.Ports:
		p.problem(line, 1, fmt.Sprintf("%d reference resistances for %d port(s)", len(p.given), p.data.Ports), "one for each port")
	default:
		for i, r := range p.given {
			if !(r >= 1/MaxOhms && r <= MaxOhms) {
				p.problem(line, 1, fmt.Sprintf("%s is no reference resistance", quantity.Short(r, 6)),
					"a positive number of ohms, such as 50")
				return
			}
			p.data.Reference[i] = r
		}
	}
}

func cutPlain(s string) string { q := cut(s); return q[1 : len(q)-1] }
