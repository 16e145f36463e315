package metering

import (
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// covers warns of covers that open onto high voltage, where no switch watches
// them.
func covers(d *desk.Desk, g Guard) {
	if g.Covers {
		return
	}
	highest := d.Get("supply.highest_voltage")
	d.Find(ledger.Finding{
		Severity: ledger.Exceeds, ID: "protection.interlock", Stage: "protection", Quantities: []string{highest.ID},
		Text: ledger.Say("No interlock switch is fitted: a cover that comes off with the plug in leaves the mains and up to " +
			"{supply.highest_voltage} open to a hand."),
		Advice: ledger.Say("Fit a switch at every cover, wired so that a lifted cover or a broken lead opens the primary of the plate " +
			"transformer and the key line, and take fitted = false out of [protection.interlock]. It keeps no charge away: with it or " +
			"without it, the plug comes out before a cover does."),
	})
}
