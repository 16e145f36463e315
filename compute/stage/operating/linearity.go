package operating

import (
	"math"

	"anodebook/compute/physics/tube"
)

// Linearity is the two-tone distortion of the tubes' static curve, with the load
// held, the cathodes driven from a matched source, and the supply at the
// voltage that it gives at the mean current. What hum, the tank's slope, phase
// shifts and the exciter add is not in it.

// BiasRow is the amplifier at one bias, brought to the same output.
type BiasRow struct {
	Bias                float64       // cathode above ground [V]
	IdleCurrent         float64       // all tubes [A]
	IdleDissipationEach float64       // [W]
	DrivePower          float64       // all tubes [W]
	Products            tube.Products // at full drive
	// Worst3 is the highest third-order product at full drive and at 3, 6 and
	// 10 dB less [dB below one tone]: at full drive alone, the curvature near
	// cut-off and the compression at the crest may cancel by chance.
	Worst3 float64
}

// biasSteps is the number of biases looked at.
const biasSteps = 9

// leastIdle and greatestIdle bound the idle current looked at, as shares of
// the plate current at full output.
const (
	leastIdle    = 0.03
	greatestIdle = 0.5
)

// AtBias brings the amplifier to the same output and swing with another bias
// [V]. The error says that it cannot be done.
func (r *Result) AtBias(bias float64) (BiasRow, error) {
	n, v := float64(r.N), r.PlateVoltage.Value
	p, err := tube.ForOutput(r.Model, v, bias, r.Point.Output, r.Point.MinimumPlateVoltage)
	if err != nil {
		return BiasRow{}, err
	}
	i, err := tube.IdleOn(r.Model, bias, n, v, r.Feed)
	if err != nil {
		return BiasRow{}, err
	}
	row := BiasRow{Bias: bias, IdleCurrent: n * i.PlateCurrent(), IdleDissipationEach: i.PlateDissipation, DrivePower: n * p.DrivePower}
	crest, _, err := tube.EnvelopeOn(r.Model, p, p.InputResistance, tube.TwoToneEnvelope(12), n, v, r.Feed)
	if err != nil {
		return row, err
	}
	if row.Products, err = tube.TwoTone(r.Model, crest, p.InputResistance); err != nil {
		return row, err
	}
	row.Worst3, err = tube.WorstThird(r.Model, crest, p.InputResistance, lessDrive...)
	return row, err
}

// BiasRows looks at biases from hardly any idle current to half the plate
// current, in equal ratios of the idle current, lowest idle current first.
// Biases that cannot reach the output are left out; a negative bias, which
// would need a positive grid, too.
func (r *Result) BiasRows() []BiasRow {
	var rows []BiasRow
	ratio := math.Pow(greatestIdle/leastIdle, 1.0/(biasSteps-1))
	for k, share := 0, leastIdle; k < biasSteps; k, share = k+1, share*ratio {
		current := share * r.Point.PlateCurrent()
		v, err := r.Feed(float64(r.N) * current)
		if err != nil {
			continue
		}
		bias := math.Max(0, tube.BiasForIdle(r.Model, v, current))
		row, err := r.AtBias(bias)
		if err != nil {
			continue
		}
		rows = append(rows, row)
		if bias == 0 {
			break
		}
	}
	return rows
}

// LeastIdle finds the least idle current whose third-order product stays at or
// below wanted [dB below one tone, negative] at every drive looked at; ok is false where none of the
// biases gets there.
func LeastIdle(rows []BiasRow, wanted float64) (row BiasRow, ok bool) {
	for _, x := range rows {
		if x.Worst3 <= wanted {
			return x, true
		}
	}
	return BiasRow{}, false
}

// Cleanest is the row whose worst third-order product is lowest.
func Cleanest(rows []BiasRow) BiasRow {
	best := rows[0]
	for _, x := range rows[1:] {
		if x.Worst3 < best.Worst3 {
			best = x
		}
	}
	return best
}

// DriveRow is the amplifier with the drive turned up or down.
type DriveRow struct {
	Level       float64 // drive power against the nominal one [dB]
	Output      float64 // of all plates at the crest of the envelope [W]
	Compression float64 // gain against that at the lowest level [dB], negative when less
	Products    tube.Products
}

// driveLevels are looked at [dB].
var driveLevels = []float64{-10, -6, -3, -1, 0, 1, 2}

// DriveRows looks at drive levels from a tenth of the power to 2 dB too much,
// the plate load held.
func (r *Result) DriveRows() []DriveRow {
	var rows []DriveRow
	lowest := 0.0
	for _, level := range driveLevels {
		drive := r.Point.DrivePower * math.Pow(10, level/10)
		var p tube.Point
		_, err := tube.Agree(r.PlateVoltage.Value, func(v float64) (_ float64, err error) {
			if p, err = tube.ForDriveWithLoad(r.Model, v, r.BiasVoltage.Value, drive, r.Point.PlateLoad); err != nil {
				return 0, err
			}
			return r.Feed(float64(r.N) * p.PlateCurrent())
		})
		if err != nil {
			continue
		}
		crest, _, err := tube.EnvelopeOn(r.Model, p, r.Point.InputResistance, tube.TwoToneEnvelope(12), float64(r.N), p.PlateVoltage,
			r.Feed)
		if err != nil {
			continue
		}
		x, err := tube.TwoTone(r.Model, crest, r.Point.InputResistance)
		if err != nil {
			continue
		}
		gain := 10 * math.Log10(p.Output/drive)
		if len(rows) == 0 {
			lowest = gain
		}
		rows = append(rows, DriveRow{level, float64(r.N) * p.Output, gain - lowest, x})
	}
	return rows
}

// PublishedRow is a published two-tone figure beside the computed ones.
type PublishedRow struct {
	Column    string
	Published float64 // third-order product [dB]
	Mark      tube.Mark
	Held      float64 // computed with the cathode voltage held [dB]
	Matched   float64 // computed with a matched source [dB]
}

// PublishedDistortion sets the published third-order products of the type
// beside the computed ones, for the columns that give a load.
func (r *Result) PublishedDistortion() []PublishedRow {
	var rows []PublishedRow
	for _, c := range r.Type.ColumnsEach() {
		if !c.Intermod3.Known || !c.PlateLoad.Known {
			continue
		}
		p, err := tube.ForPlateCurrentWithLoad(r.Model, c.PlateVoltage.Value, c.Bias.Value, c.PlateCurrent.Value, c.PlateLoad.Value)
		if err != nil {
			continue
		}
		held, err := tube.TwoTone(r.Model, p, 0)
		if err != nil {
			continue
		}
		matched, err := tube.TwoTone(r.Model, p, p.InputResistance)
		if err != nil {
			continue
		}
		rows = append(rows, PublishedRow{c.Name, c.Intermod3.Value, c.Intermod3.Mark, held.Order3, matched.Order3})
	}
	return rows
}
