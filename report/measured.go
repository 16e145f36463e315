package report

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"anodebook/compute/stage/measured"
	"anodebook/spec/quantity"
)

// measuredWhat names what was measured, and at which end.
func measuredWhat(p *measured.Part) string {
	what := map[string]string{"tank": "Tank", "input": "Input network", "plate_choke": "Plate choke"}[p.Of]
	if p.Of == "plate_choke" {
		return what
	}
	ends := map[string]string{"plates": "the plates", "antenna": "the antenna connector", "exciter": "the exciter's side",
		"cathodes": "the cathodes"}
	return fmt.Sprintf("%s on %s, port 1 at %s", what, bandName(p.Band.Name), ends[p.Port])
}

// MeasuredHow says in a sentence how the measurement is read.
func (w *writer) MeasuredHow(p measured.Part) string {
	s := fmt.Sprintf("%s; from the file %s.", measuredWhat(&p), escapePlain(p.File))
	switch {
	case p.Absent:
		return s
	case p.Of == "plate_choke":
		s += " Laid over the choke as wound, its cold end bypassed."
	case p.Ports == 2:
		s += fmt.Sprintf(" Both ports are referred to what they shall see: port 1 to %s, port 2 to %s.", show(p.Reference[0], "Ω"),
			show(p.Reference[1], "Ω"))
	default:
		s += fmt.Sprintf(" The other end is taken as closed by a resistor of %s; the SWR is referred to %s, which this port shall see.",
			show(p.Termination, "Ω"), show(p.Reference[0], "Ω"))
	}
	if p.Note.Value != "" {
		s += " " + escapePlain(p.Note.Value)
	}
	return s
}

// MeasuredTable sets measured beside computed values at the edges and in the
// middle of the band.
func (w *writer) MeasuredTable(p measured.Part) string {
	if len(p.Rows) == 0 {
		return ""
	}
	var b strings.Builder
	switch {
	case p.Of == "plate_choke":
		b.WriteString("| in the band | frequency | measured | computed | measured over computed |\n|:--|--:|--:|--:|--:|\n")
	case p.Ports == 2:
		b.WriteString("| in the band | frequency | attenuation measured | computed | SWR at port 1 measured | computed " +
			"|\n|:--|--:|--:|--:|--:|--:|\n")
	default:
		b.WriteString("| in the band | frequency | measured | computed | SWR measured | computed |\n|:--|--:|--:|--:|--:|--:|\n")
	}
	for _, r := range p.Rows {
		fmt.Fprintf(&b, "| %s | %s |", r.Where, quantity.Format(r.Frequency, "Hz", 4))
		m, c := p.Impedance(r.Measured), p.Impedance(r.Computed)
		sm, sc := swrText(measured.SWR(r.Measured[0][0])), swrText(measured.SWR(r.Computed[0][0]))
		switch {
		case p.Of == "plate_choke":
			fmt.Fprintf(&b, " %s | %s | %.2f |\n", impedance(m), impedance(c), cmplx.Abs(m)/cmplx.Abs(c))
		case p.Ports == 2:
			fmt.Fprintf(&b, " %s | %s | %s | %s |\n", attenuationText(measured.Attenuation(r.Measured)),
				attenuationText(measured.Attenuation(r.Computed)), sm, sc)
		default:
			fmt.Fprintf(&b, " %s | %s | %s | %s |\n", impedance(m), impedance(c), sm, sc)
		}
	}
	return b.String()
}

func swrText(s float64) string {
	if s > 100 {
		return "> 100"
	}
	return fmt.Sprintf("%.2f", s)
}

func attenuationText(v float64) string {
	return strings.Replace(quantity.Fixed(v, 2)+" dB", "-", "−", 1)
}

// impedance writes a complex number of ohms to three digits of the larger part.
func impedance(z complex128) string {
	if cmplx.IsInf(z) || cmplx.IsNaN(z) {
		return "open"
	}
	unit, k := "Ω", 1.0
	if cmplx.Abs(z) >= 1e4 {
		unit, k = "kΩ", 1e3
	}
	digits := 0
	if a := cmplx.Abs(z) / k; a < 100 {
		digits = max(0, min(3, 2-int(math.Floor(math.Log10(math.Max(a, 1e-3))))))
	}
	sign := "+"
	if imag(z) < 0 {
		sign = "−"
	}
	re := strings.Replace(fmt.Sprintf("%.*f", digits, real(z)/k), "-", "−", 1)
	return fmt.Sprintf("%s %s j%.*f %s", re, sign, digits, math.Abs(imag(z))/k, unit)
}

// MeasuredPicture places the overlay, where there is one.
func (w *writer) MeasuredPicture(p measured.Part) (string, error) {
	if !measuredDrawn(&p) {
		return "", nil
	}
	return w.figure("measured-"+p.Name, measuredWhat(&p)+": measured and computed; beyond the scale the curves are cut off."), nil
}
