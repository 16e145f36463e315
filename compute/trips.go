package compute

import (
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tuning"
	"anodebook/compute/stage/metering"
)

// tuneUpLevels are the steps of drive power on the way up, with the words that
// IDs and names have for them: 9, 6 and 3 dB below full drive.
var tuneUpLevels = [...]struct {
	id, name string
	share    float64
}{{"eighth", "an eighth", 1.0 / 8}, {"quarter", "a quarter", 1.0 / 4}, {"half", "half", 1.0 / 2}}

// trips chooses the trips from the mistakes of the lowest band, and enters what
// the meters show on the way up to full drive there: bands whose plates see the
// same load behave alike.
func (d *Design) trips(k *desk.Desk) {
	o, band := &d.Operating, &d.Tank.Bands[0]
	s := d.setup(band)
	mistakes, err := tuning.Mistakes(s)
	if err != nil {
		mistakes = nil // as for the map, which says why
	}
	d.Trips = metering.Trips(k, metering.TripInput{
		PlateCurrent: o.PlateCurrent, GridCurrent: o.GridCurrent, PlateVoltage: o.PlateVoltage, Output: o.Output,
		PlateOutput: o.PlateOutput, Dissipation: o.PlateDissipationEach,
		Tubes: o.N, Limits: s.Limits, Band: band.Name, Mistakes: mistakes,
	})
	const more = 1.2589254117941673 // 1 dB
	levels := []float64{more}
	for _, l := range tuneUpLevels {
		levels = append(levels, l.share)
	}
	rows, err := tuning.Rows(s, levels...)
	if err != nil {
		return
	}
	how := ledger.Method{Words: ledger.Say("The plates seeing their load and no reactance, drive power a share of that at full "+
		"output, the plate voltage following the supply; on {on}, other bands alike.",
		ledger.OnBand("on", band.Name)), Source: source.CircuitLaws}
	if over := rows[0].GridCurrent; over > 0 {
		tuneUp := k.Get("protection.grid_tune_up")
		k.Solved("tune_up.grid_room", "Grid current up to which 1 dB more drive keeps a tune-up correct",
			tuneUp.Value*o.GridCurrent.Value/over, "A", ledger.Method{
				Words: ledger.Say("Grid current at which a correct tune-up turns back, over the rise of the grid current with 1 dB "+
					"more "+
					"drive, {over}.", ledger.Fixed("over", over/o.GridCurrent.Value, 2)), Source: source.TuneUpTrials}, tuneUp)
	}
	for i, l := range tuneUpLevels {
		enter := func(id, name string, v float64, unit string) {
			k.Solved("tune_up."+id+"_"+l.id, name+" at "+l.name+" of the drive", v, unit, how, o.PlateCurrent)
		}
		enter("plate_current", "Plate current", rows[i+1].PlateCurrent, "A")
		enter("grid_current", "Grid current", rows[i+1].GridCurrent, "A")
		enter("output", "Output", rows[i+1].Output, "W")
	}
}
