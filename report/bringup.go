package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec/quantity"
)

// window is a row of the readings to expect: what is read, and the quantities
// that say what to expect and where to stop.
type window struct {
	name, expect, low, high string // IDs; "" where there is none
	always                  string // to expect where there is no quantity for it
}

// windows are the readings of the bring-up in the order in which they are
// taken, the same in the report, on the bench card and on the cards.
var windows = map[string][]window{
	"cold": {
		{name: "plate caps to chassis, supply connected", expect: "bring_up.plate_to_chassis", low: "bring_up.plate_to_chassis_low",
			high: "bring_up.plate_to_chassis_high"},
		{name: "negative rail to chassis", expect: "bring_up.rail_to_chassis", high: "bring_up.rail_to_chassis_high"},
		{name: "grid trip, current through R7", expect: "bring_up.grid_trip", low: "bring_up.grid_trip_low",
			high: "bring_up.grid_trip_high"},
		{name: "plate trip, current through R6", expect: "bring_up.plate_trip", low: "bring_up.plate_trip_low",
			high: "bring_up.plate_trip_high"},
	},
	"voltage": {
		{name: "filter voltage, no load", expect: "supply.no_load_voltage", low: "bring_up.no_load_voltage_low",
			high: "bring_up.no_load_voltage_high"},
		{name: "fall to half after switch-off", expect: "bring_up.half_time", low: "bring_up.half_time_earliest",
			high: "bring_up.half_time_latest"},
	},
	"tubes": {
		{name: "heater voltage at the pins", expect: "filament.rated_voltage", low: "bring_up.heater_low",
			high: "bring_up.heater_high"},
		{name: "plate current on receive", expect: "bias.standby_current", high: "bring_up.standby_stop"},
		{name: "idle current", expect: "tubes.idle_current", low: "bring_up.idle_current_low", high: "bring_up.idle_current_high"},
		{name: "filter voltage, idling", expect: "supply.idle_voltage", low: "bring_up.idle_voltage_low",
			high: "bring_up.idle_voltage_high"},
		{name: "grid current, no drive", always: "0", high: "bring_up.grid_stop"},
		{name: "plate current, full output", expect: "tubes.plate_current", low: "bring_up.plate_current_low",
			high: "protection.plate_stop"},
		{name: "grid current, full output", expect: "tubes.grid_current", low: "bring_up.grid_current_low",
			high: "protection.grid_stop"},
	},
}

// Windows writes the table of readings of some parts of the bring-up.
func (w *writer) Windows(parts ...string) (string, error) { return w.windows(false, parts) }

// WindowsToFill writes it with a column to write the readings into.
func (w *writer) WindowsToFill(parts ...string) (string, error) { return w.windows(true, parts) }

func (w *writer) windows(fill bool, parts []string) (string, error) {
	head, rule, end := "| reading | expect | stop below | stop above |", "|:--|--:|--:|--:|", ""
	if fill {
		head, rule, end = head+" read |", rule+":--|", " |"
	}
	var b strings.Builder
	b.WriteString(head + "\n" + rule + "\n")
	for _, part := range parts {
		rows, ok := windows[part]
		if !ok {
			return "", fmt.Errorf("the bring-up has no readings %q", part)
		}
		for _, r := range rows {
			if strings.HasSuffix(r.expect, "_trip") {
				if _, ok := w.Book.Lookup(r.expect); !ok { // no such trip
					continue
				}
			}
			fmt.Fprintf(&b, "| %s |", r.name)
			for k, id := range []string{r.expect, r.low, r.high} {
				text := "—"
				switch {
				case id != "":
					var err error
					if text, err = w.q(id); err != nil {
						return "", err
					}
				case k == 0:
					text = r.always
				}
				fmt.Fprintf(&b, " %s |", text)
			}
			b.WriteString(end + "\n")
		}
	}
	return b.String(), nil
}

// Wait is the one waiting time that every text of the notebook gives.
func (w *writer) Wait() string {
	q := w.Book.Get("bring_up.wait")
	return w.link(q, minutes(q.Value))
}

// Longest is the longest time that whole bleeders take to 60 V.
func (w *writer) Longest() string {
	q := w.Book.Get("supply.time_to_60v_worst")
	return w.link(q, minutes(q.Value))
}

// OneOpenWait says how long the bank stays charged with one bleeder open.
func (w *writer) OneOpenWait() string {
	q, ok := w.Book.Lookup("supply.time_to_60v_one_bleeder_open")
	if !ok {
		return "days"
	}
	return w.link(q, minutes(q.Value))
}

// leastHold is the shortest time to hold the stick on that is printed [s]:
// nobody counts fractions of a second in front of a bank (common practice).
const leastHold = 3.0

// Hold is how long the stick is held on, in whole seconds, rounded up.
func (w *writer) Hold(id string) string {
	q := w.Book.Get(id)
	return w.link(q, fmt.Sprintf("%.0f s", math.Max(leastHold, math.Ceil(q.Value-1e-9))))
}

// Bled says that the bank has bleeders.
func (w *writer) Bled() bool { return w.Supply.Plan.Bleeders > 0 }

// Several says that the bank is of several capacitors in series, each of which
// can hold a charge of its own.
func (w *writer) Several() bool { return w.Supply.Plan.Bank.Count > 1 }

// Listed says that the parts list has a part.
func (w *writer) Listed(designator string) bool {
	return slices.ContainsFunc(w.Book.Parts, func(p ledger.Part) bool { return p.Designator == designator })
}

// StartBars says when the start button must do nothing: one clause for each
// contact in the chain of the contactor that can be tried without high voltage.
func (w *writer) StartBars() string {
	var list []string
	for _, bar := range [][2]string{
		{"S5", "while a cover is lifted off its switch"}, {"S6", "while the air is blocked"},
		{"K4", "before K4 has run"}, {"K6", "while K6 is tripped"}, {"K9", "while K9 is tripped"},
	} {
		if w.Listed(bar[0]) {
			list = append(list, bar[1])
		}
	}
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
	return strings.Join(list, "")
}

// Glass says that one can see into the tubes, or that nobody knows.
func (w *writer) Glass() bool { return w.Type.Plate.Kind != tube.ExternalPlate }

// StopColour is what colour of the plates ends a key-down.
func (w *writer) StopColour() string { return w.Type.Plate.Stop() }

// PlateOverload says how an overload of the plates is seen.
func (w *writer) PlateOverload() string { return w.Type.Plate.Overload() }

// minutes writes a time to wait as one says it, long ones rounded up.
func minutes(s float64) string {
	switch {
	case s == math.Trunc(s) && s <= 120:
		return fmt.Sprintf("%.0f s", s)
	case s <= 120:
		return quantity.Format(s, "s", 2)
	case s < 2*3600:
		step := 60.0
		if s < 600 {
			step = 6
		}
		return fmt.Sprintf("%s min", quantity.Short(math.Ceil(s/step-1e-9)/(60/step), 6))
	}
	return fmt.Sprintf("%.1f h", math.Ceil(s/360-1e-9)/10)
}
