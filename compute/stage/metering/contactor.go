package metering

import (
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// contactor enters what gives and takes the mains of the plate transformer: a
// contactor that holds itself once the button is pressed, so that nothing comes
// back by itself after a trip, and the timer of the blower.
func contactor(d *desk.Desk, g Guard) {
	rating := ledger.Sentence{}
	if i, ok := d.Lookup("supply.primary_current"); ok {
		rating = ledger.Say("contacts for {next_up}, two poles and two auxiliary contacts",
			ledger.Of("next_up", desk.NextUp(1.25*i.Value, desk.Currents), "A"))
	}
	mains := ledger.Sentence{}
	if v, ok := d.Lookup("supply.mains_voltage"); ok {
		mains = ledger.Say("{v}", ledger.Q("v", v))
	}
	d.Part(ledger.Part{Designator: "K7", Name: "Contactor of the plate transformer, held by its own contact", Stage: "protection",
		Value: ledger.Say("coil {mains}", ledger.In("mains", mains)), Rating: rating,
		Note: ledger.Say("Whatever opens the chain of its coil takes the high voltage off until S7 is pressed again. Contacts weld: " +
			"the fuse, the cover switch in the primary and the plug must each do without it. Open, it leaves the filter bank charged.")})
	d.Part(ledger.Part{Designator: "S7", Name: "Start button, high voltage on", Stage: "protection", Rating: mains,
		Note: ledger.Say("Mains voltage on its contacts: a body of insulating material, terminals covered. Never a switch that stays " +
			"closed: the high voltage would come back by itself when a cover goes on.")})
	if g.AfterRun > 0 {
		d.Part(ledger.Part{Designator: "K8", Name: "Timer that lets the blower run on", Stage: "protection",
			Value: ledger.Say("{after_run}", ledger.Of("after_run", g.AfterRun, "s")),
			Note: ledger.Say("Its contact is ahead of S2: blower and timer stay live with S2 off. Pull the plug before touching them, " +
				"after the blower has stopped.")})
	}
}
