package metering

import (
	"fmt"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// Interlock is one thing that watches and what it stops.
type Interlock struct {
	Part   string // designators
	Senses string // what it watches, with its threshold
	Stops  string // what it takes away
	Reset  string // what gives it back
	Leaves string // what it does not do: the danger that stays
}

// Guard is what the list of interlocks is made from.
type Guard struct {
	GridTrip, PlateTrip float64 // [A]; 0: there is none
	ForcedAir           bool    // the tubes want a blower, whether or not there is one
	AfterRun            float64 // of the blower [s]; 0: there is none
	WarmUp              float64 // before high voltage or drive [s]; 0: the cathodes are ready at once
	MainsFuse           bool    // there are mains fuses
	Covers              bool    // a switch at every cover
	StepTime            float64 // until the step-start contactor closes [s]; 0: there is no step start
	StepThreshold       float64 // bank voltage below which that contactor stays open [V]
	StepTimeout         float64 // after which the step start gives up [s]
	TransmitDelay       float64 // key line to first drive [s]
	Glitch              bool    // a glitch resistor is in the plate lead
	Fuse                bool    // a high-voltage fuse is in the plate lead
	SafetyChoke         bool    // from the antenna connector to the chassis
	Clamps              bool    // diodes from the negative rail to the chassis
	FaultCurrent        float64 // into a flash-over, peak [A]
}

// Interlocks lists what watches over the amplifier, in the order in which one
// proves it on the bench: covers and air before high voltage, trips before
// drive.
func Interlocks(g Guard) []Interlock {
	var list []Interlock
	add := func(there bool, i Interlock) {
		if there {
			list = append(list, i)
		}
	}
	add(g.Covers, Interlock{"S5", "any cover lifted or not seated", "the mains of plate transformer and key line",
		"cover back on, and the start button pressed again",
		"it does not discharge the filter bank: plug out, wait, measure, stick, hook, as always"})
	add(g.MainsFuse, Interlock{"F1", "mains current above its rating for longer than the inrush", "all mains",
		"the cause found, a new fuse of the same rating",
		"one live conductor may stay on if only one is fused; the plug alone is proof"})
	if g.StepTime > 0 {
		up := desk.Show(g.StepThreshold, "V")
		list = append(list,
			Interlock{"K3", "step start not finished: " + desk.Show(g.StepTime, "s") + " not over, or the bank below " + up,
				"the key line; stuck closed, it bars the start button", "by itself when K3 has closed", "it stops no high voltage"},
			Interlock{"K9", "K3 not closed " + desk.Show(g.StepTimeout, "s") + " after the mains came on: the supply shorted or " +
				"loaded, or R4 open", "the mains of plate transformer and step start",
				"by hand only, after looking for the cause", "the bank keeps what charge it has, and R4 is hot"})
	}
	if g.ForcedAir {
		after := ""
		if g.AfterRun > 0 {
			after = "; the blower itself runs on for " + desk.Show(g.AfterRun, "s") + " after switch-off"
		}
		list = append(list, Interlock{"S6", "pressure in the plenum too low for the air wanted",
			"heaters, the mains of the plate transformer and the key line" + after,
			"the heaters by themselves as soon as there is air, the high voltage by the start button",
			"a vane that sticks says that there is air: prove it by blocking the inlet for a second at each bring-up"})
	}
	if g.WarmUp > 0 {
		list = append(list, Interlock{"K4", "less than " + desk.Show(g.WarmUp, "s") + " since the heaters came on, or heaters off",
			"the mains of the plate transformer and the key line", "by the start button, once the time is over",
			"after a short break of the mains it must count from the beginning"})
	}
	if g.GridTrip > 0 {
		list = append(list, Interlock{"K5, across R7", "grid current above " + desk.Show(g.GridTrip, "A"),
			"the key line: K1 and K2 fall back, the drive is locked out", "by hand only", "high voltage stays on"})
	}
	if g.PlateTrip > 0 {
		list = append(list, Interlock{"K6, across R6", "plate current above " + desk.Show(g.PlateTrip, "A"),
			"the key line and the mains of the plate transformer", "by hand only, after looking for the cause",
			"the bank is still charged"})
	}
	flash := fmt.Sprintf("a flash-over or a shorted plate circuit (%s at the peak)", desk.Show(g.FaultCurrent, "A"))
	switch {
	case g.Fuse && g.Glitch:
		list = append(list, Interlock{"F2 with R1", flash, "the plate supply", "a new fuse, after looking for the cause",
			"the bank is still charged, and R1 and F2 may hold its voltage across them"})
	case g.Fuse:
		list = append(list, Interlock{"F2 alone, no glitch resistor", flash, "the plate supply",
			"a new fuse, after looking for the cause and testing clamps, shunts and rectifier",
			"nothing holds the current back: tube, meters and clamp diodes take the bank's energy first; the bank may still be charged"})
	case g.Glitch:
		list = append(list, Interlock{"R1 alone, no fuse", flash, "nothing: it holds the current back", "none",
			"the transformer feeds the fault until trip or mains fuse open; R1 burns meanwhile"})
	}
	if g.SafetyChoke {
		x := Interlock{"RFC2 with F2", "blocking capacitor C3 shorted: direct voltage on tank and antenna",
			"the plate supply, by blowing F2", "new C3, new F2",
			"without RFC2 nothing stops it: its wire is checked with an ohmmeter at every bring-up"}
		if !g.Fuse {
			x.Part, x.Stops, x.Reset = "RFC2", "the plate supply, by the plate-current trip or the mains fuses", "new C3; look at "+
				"RFC2 for burnt wire"
			if g.PlateTrip <= 0 {
				x.Stops = "the plate supply, by the mains fuses alone"
			}
			if g.PlateTrip <= 0 && !g.MainsFuse {
				x.Stops = "nothing before the breaker at the wall"
			}
		}
		list = append(list, x)
	}
	list = append(list, Interlock{"sequence of K1 and K2", "less than " + desk.Show(g.TransmitDelay, "s") +
		" since the key line closed", "the drive", "by itself when the time is over",
		"an exciter that does not listen drives into moving contacts"})
	if g.Clamps {
		return append(list, Interlock{"D3 with R8", "a shunt or a meter lead broken, or a flash-over",
			"nothing: they hold the negative rail at the chassis", "none needed", "the meters lie from then on; check D3 once a year"})
	}
	return append(list, Interlock{"R8 alone, no clamp diodes", "a shunt or a meter lead broken",
		"nothing: it holds the negative rail some tens of volts from the chassis", "none needed",
		"in a flash-over the negative rail and the meters rise to kilovolts"})
}

// Protect lists the interlocks and enters their parts that no other stage has.
func Protect(d *desk.Desk, g Guard) []Interlock {
	covers(d, g)
	part := func(designator, name, value, note string) {
		d.Part(ledger.Part{Designator: designator, Name: name, Value: ledger.Literal(value),
			Stage: "protection", Note: ledger.Literal(note)})
	}
	if g.ForcedAir {
		part("S6", "Air switch in the plenum, by pressure rather than by a vane", "",
			"Wired so that a broken lead counts as no air. Prove it by blocking the inlet for a second.")
	}
	if g.WarmUp > 0 {
		part("K4", "Warm-up timer", desk.Show(g.WarmUp, "s"),
			"Holds high voltage and key line back; counts anew after each break of the heater supply.")
	}
	if g.GridTrip > 0 {
		part("K5", "Grid-current trip, latching, sensed across R7", desk.Show(g.GridTrip, "A"),
			"Opens the key line within some ten milliseconds. Its input sits in the negative lead: protect it with the same care as "+
				"the meters.")
	}
	if g.PlateTrip > 0 {
		part("K6", "Plate-current trip, latching, sensed across R6", desk.Show(g.PlateTrip, "A"),
			"Opens key line and primary. It does not empty the filter bank: the bank stays lethal after a trip.")
	}
	contactor(d, g)
	return Interlocks(g)
}
