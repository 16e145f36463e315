package tank

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/source"
	"anodebook/compute/winding"
)

// coldCopper is the temperature at which the ideal Q of a coil is given [°C].
const coldCopper = 20.0

var (
	byTurns = ledger.Method{Source: source.CircuitLaws,
		Words: "The number of turns of this diameter, conductor and pitch whose inductance (current sheet with Nagaoka's and Rosa's corrections) is the one wanted. Shorted turns beyond the tap lower the inductance by some per cent: the tap found on the bench sits a little farther from the plate end."}
	byCopper = ledger.Method{Source: source.CircuitLaws,
		Words: "Reactance over the resistance of the bare copper with skin and proximity effect: an upper bound that no coil in a cabinet reaches."}
)

// coil winds or checks the tank coil and enters L1, L2 and S1.
func (w *worker) coil(r *Result) {
	if w.d.Spec.Tank.Coil.Kind.Value == "roller" {
		w.roller(r)
	} else {
		w.tapped(r)
	}
	if w.piL {
		w.outputCoil(r)
	}
}

func (w *worker) coilCaution() string {
	return "At full output this coil carries RF of kilovolts to ground and burns to the bone without warning. " +
		"If the blocking capacitor C3 shorts, the whole plate voltage of " + desk.Show(w.in.PlateVoltage.Value, "V") +
		" stands on it: mains plug out, wait, meter, discharge through the stick and leave the ground hook on before touching it."
}

func (w *worker) roller(r *Result) {
	c := w.d.Spec.Tank.Coil
	least := math.Inf(1)
	for _, b := range r.Bands {
		l := b.Tank.Inductance
		least = math.Min(least, l)
		if !c.Range.Given || l >= c.Range.Low && l <= c.Range.High {
			continue
		}
		advice := "Take a roller inductor of more inductance, or put a fixed coil in series on this band."
		if l < c.Range.Low {
			advice = "Use a separate coil of tubing for this band in front of the roller inductor, which is then set to zero, or lower the loaded Q."
		}
		w.d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "tank." + b.Name + ".roller_range", Stage: "tank",
			Text: fmt.Sprintf("On %s the tank needs %s; the roller inductor covers %s to %s.", b.Name,
				desk.Show(l, "H"), desk.Show(c.Range.Low, "H"), desk.Show(c.Range.High, "H")),
			Quantities: []string{"tank." + b.Name + ".inductance"}, Advice: advice})
	}
	value := desk.Show(least, "H") + " .. " + desk.Show(r.Coil, "H")
	w.d.Part(ledger.Part{Designator: "L1", Name: "roller inductor, tank coil", Value: value, Stage: "tank",
		Given: c.Range.Given, Note: w.coilCaution()})
}

// tapped winds the coil for the lowest band and finds the other bands' taps.
func (w *worker) tapped(r *Result) {
	c := w.d.Spec.Tank.Coil
	form := w.d.Take("tank.coil_diameter", "mean diameter of the tank coil", "m", c.Form)
	wire := w.d.Take("tank.coil_conductor", "conductor of the tank coil", "m", c.Conductor)
	pitch := w.d.Take("tank.coil_pitch", "distance from turn to turn", "m", c.Pitch)
	var taps, optimistic, unwound []string
	var whole winding.Solenoid
	var qualities []string
	for i := range r.Bands {
		b := &r.Bands[i]
		id := "tank." + b.Name + "."
		l := w.d.Get(id + "inductance")
		s, err := winding.TurnsFor(l.Value, form.Value, pitch.Value, wire.Value)
		if err != nil {
			unwound = append(unwound, b.Name)
			continue
		}
		b.Turns = s.Turns
		if s.Turns > whole.Turns {
			whole = s
		}
		w.d.Solved(id+"coil_turns", "turns in use on "+b.Name+", from the plate end", s.Turns, "turns", byTurns, l, form, wire, pitch)
		ideal := w.d.Solved(id+"coil_q_ideal", "Q of the bare coil on "+b.Name, s.IdealQ(b.Centre, coldCopper), "", byCopper, l, form, wire, pitch)
		taps = append(taps, fmt.Sprintf("%s %.1f", b.Name, s.Turns))
		if q := w.d.Get(id + "coil_q"); q.Value > ideal.Value {
			optimistic = append(optimistic, fmt.Sprintf("%s (%.0f, at most %.0f)", b.Name, q.Value, ideal.Value))
			qualities = append(qualities, q.ID, ideal.ID)
		}
	}
	if len(optimistic) > 0 {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_q_optimistic", Stage: "tank", Quantities: qualities,
			Text:   "The unloaded Q supposed for the tank coil is above that of the bare copper on " + words(optimistic) + ".",
			Advice: "Lower tank.coil_q, or wind the coil of thicker conductor or greater diameter: the heat and loss shown here are too small."})
	}
	if len(unwound) > 0 {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_turns", Stage: "tank",
			Text:   fmt.Sprintf("On %s less than one turn of the %s coil would do.", words(unwound), desk.Show(form.Value, "m")),
			Advice: "Wind a separate coil of a smaller diameter for these bands, at the plate end and in series with the main coil."})
	}
	if whole.Turns == 0 {
		w.d.Part(ledger.Part{Designator: "L1", Name: "tank coil", Value: desk.Show(r.Coil, "H"), Stage: "tank", Note: w.coilCaution()})
		return
	}
	r.CoilTurns = whole.Turns
	w.d.Solved("tank.coil_length", "length of the tank coil", whole.Length(), "m", desk.Derived("Turns times pitch."), pitch)
	wireLength := w.d.Solved("tank.coil_wire_length", "conductor in the tank coil, leads not counted", whole.WireLength(), "m",
		desk.Derived("Length of the helix."), form, pitch)
	w.d.Part(ledger.Part{Designator: "L1", Name: "tank coil, tapped", Stage: "tank",
		Value: fmt.Sprintf("%s: %.1f turns of %s tubing, mean diameter %s, pitch %s", desk.Show(r.Coil, "H"), whole.Turns,
			desk.Show(wire.Value, "m"), desk.Show(form.Value, "m"), desk.Show(pitch.Value, "m")),
		Note: fmt.Sprintf("Cut %s of conductor and allow for the leads. Taps in turns from the plate end: %s; find the last half turn on the bench. %s",
			desk.Show(wireLength.Value, "m"), strings.Join(taps, ", "), w.coilCaution())})
}

func (w *worker) outputCoil(r *Result) {
	var taps []string
	greatest := 0.0
	for _, b := range r.Bands {
		greatest = math.Max(greatest, b.Tank.OutputInductance)
		taps = append(taps, b.Name+" "+desk.Show(b.Tank.OutputInductance, "H"))
	}
	w.d.Part(ledger.Part{Designator: "L2", Name: "output coil of the pi-L", Value: desk.Show(greatest, "H"), Stage: "tank",
		Note: "Per band: " + strings.Join(taps, ", ") + ". Set it at right angles to L1 and a coil diameter away; what couples across spoils the harmonic attenuation. " +
			"It carries the full output: an RF burn from it is as bad as from L1."})
}
