package restoration

import (
	"fmt"
	"math"
	"sort"
	"sync"

	"anodebook/compute/physics/tuning"
	"anodebook/compute/stage/supply"
	"anodebook/compute/stage/tank"
)

// Measured is one reading.
type Measured struct {
	ID       string  // of the computed quantity
	Value    float64 // SI
	Computed float64 // SI
	Error    float64 // greatest error of the instrument over the reading [1], > 0
}

// Deviation is measured over computed less one [1]; 0 where nothing was
// computed.
func (m Measured) Deviation() float64 {
	if m.Computed == 0 {
		return 0
	}
	return m.Value/m.Computed - 1
}

// Input is the sound amplifier as it was computed.
type Input struct {
	Setup      tuning.Setup // on the band that the output was computed for
	Plan       supply.Plan
	Multiplier float64 // string of the voltmeter across the bank [Ω]; 0: none
	Idle, Full float64 // plate currents, all tubes [A]
	OneOpen    float64 // until the terminals are down to 60 V with one bleeder open [s]; 0: they never are
}

// never is a time that nobody waits for [s].
const never = 1e6

// Weakest returns the band with the least efficient tank, for which the output
// at the antenna connector is computed.
func Weakest(bands []tank.BandResult) *tank.BandResult {
	worst := &bands[0]
	for i := range bands {
		if bands[i].Tank.Efficiency < worst.Tank.Efficiency {
			worst = &bands[i]
		}
	}
	return worst
}

func (in *Input) amplifier() amplifier {
	a := amplifier{
		setup: in.Setup, tune: in.Setup.Tank.TuneCapacitance, load: in.Setup.Tank.LoadCapacitance, plan: in.Plan,
		multiplier: in.Multiplier,
		mains:      1, bleeders: 1, plateMeter: 1, gridMeter: 1, voltMeter: 1, idle: in.Idle, full: in.Full, openSeconds: in.OneOpen,
	}
	if a.openSeconds <= 0 || a.openSeconds > never {
		a.openSeconds = never
	}
	return a
}

// Candidate is a cause with the size that explains the readings best.
type Candidate struct {
	*Cause
	X         float64   // fitted size, in the cause's own measure
	Size      string    // in words
	Misfit    float64   // root mean square of what is left over, in errors of the instruments [1]
	Worst     float64   // greatest of what is left over, in errors of its instrument [1]
	Predicted []float64 // what each of the readings in the fit would be, SI
	Alike     bool      // fits as well as the first, so far as the instruments tell
	all       prediction
}

// Result is what the readings say.
type Result struct {
	Fitted     []Measured  // the readings that the fit rests on
	NoFault    float64     // misfit of the sound amplifier, in errors of the instruments [1]
	Farthest   float64     // greatest deviation from the sound amplifier, in errors of its instrument [1]
	Candidates []Candidate // that explain something, best first
	Next       string      // quantity that tells those alike apart best; "" if there is none
}

// Agree says that every reading agrees with the sound amplifier within its
// error: there is no fault to look for.
func (r *Result) Agree() bool { return r.Farthest <= 1 }

// Explained says that the best cause leaves every reading within its error,
// or nearly so.
func (r *Result) Explained() bool { return len(r.Candidates) > 0 && r.Candidates[0].Worst <= 1.5 }

// Alike lists the causes that cannot be told from the best by these readings,
// the best first.
func (r *Result) Alike() []Candidate {
	var out []Candidate
	for _, c := range r.Candidates {
		if c.Alike {
			out = append(out, c)
		}
	}
	return out
}

const (
	helps  = 0.75 // a cause must bring the misfit below this share of that without fault
	alike  = 0.5  // misfits that differ by less cannot be told apart [errors of the instruments]
	coarse = 6    // steps over the range of sizes
	uneven = 12   // as many where the misfit may have more than one valley
	fine   = 10   // golden sections after that
)

// Rank fits each cause to the readings. Readings of quantities that are not
// Known are left out. The error is that of a model of the sound amplifier
// which finds no state.
func Rank(in Input, readings []Measured) (Result, error) {
	var r Result
	for _, m := range readings {
		if Known(m.ID) && m.Computed != 0 && m.Value != 0 {
			r.Fitted = append(r.Fitted, m)
		}
	}
	if len(r.Fitted) == 0 {
		return r, nil
	}
	sound := in.amplifier()
	if err := sound.settle(); err != nil {
		return r, err
	}
	base, err := sound.predict()
	if err != nil {
		return r, err
	}
	r.NoFault, r.Farthest = misfit(r.Fitted, base, base)
	if r.Agree() {
		return r, nil
	}
	fits := make([]Candidate, len(causes))
	var all sync.WaitGroup
	for i := range causes { // each writes to its own place
		all.Go(func() { fits[i] = causes[i].fit(&sound, base, r.Fitted) })
	}
	all.Wait()
	for _, k := range fits {
		if k.Misfit < helps*r.NoFault {
			r.Candidates = append(r.Candidates, k)
		}
	}
	sort.SliceStable(r.Candidates, func(i, j int) bool { return r.Candidates[i].Misfit < r.Candidates[j].Misfit })
	for i := range r.Candidates {
		k := &r.Candidates[i]
		k.Alike = k.Misfit-r.Candidates[0].Misfit < alike
	}
	r.Next = next(r.Alike(), base, r.Fitted)
	return r, nil
}

// misfit is what is left over between readings and a prediction, which counts
// relative to that for the sound amplifier, so that the sound amplifier reads
// exactly what the stages computed.
func misfit(readings []Measured, p, base prediction) (rms, worst float64) {
	sum := 0.0
	for _, m := range readings {
		d := (m.Value - expected(m, p, base)) / (m.Error * math.Abs(m.Value))
		sum += d * d
		worst = math.Max(worst, math.Abs(d))
	}
	return math.Sqrt(sum / float64(len(readings))), worst
}

func expected(m Measured, p, base prediction) float64 {
	i := indexOf(m.ID)
	if base[i] == 0 {
		return m.Computed
	}
	return m.Computed * p[i] / base[i]
}

// place is the size at the share t of the range [0, 1].
func (c *Cause) place(t float64) float64 {
	if c.byRatio {
		return c.low * math.Pow(c.high/c.low, t)
	}
	return c.low + (c.high-c.low)*t
}

// put returns what the amplifier reads with the fault at size x; false where
// it finds no state.
func (c *Cause) put(sound *amplifier, x float64) (prediction, bool) {
	a := *sound
	c.alter(&a, x)
	p, err := a.predict()
	return p, err == nil
}

// fit finds the size with the least misfit: a scan, then golden sections about
// the best of it. The misfit is endless where the cause does not apply, or the
// model finds no state with it.
func (c *Cause) fit(sound *amplifier, base prediction, readings []Measured) Candidate {
	best := Candidate{Cause: c, Misfit: math.Inf(1)}
	if c.applies != nil && !c.applies(sound) {
		return best
	}
	at := 0.5 // share of the range at the best
	try := func(t float64) float64 {
		x := c.place(t)
		p, ok := c.put(sound, x)
		if !ok {
			return math.Inf(1)
		}
		rms, worst := misfit(readings, p, base)
		if rms < best.Misfit {
			best.Misfit, best.Worst, best.X, best.all, at = rms, worst, x, p, t
		}
		return rms
	}
	if c.low == c.high {
		try(0.5)
	} else {
		steps := coarse
		if c.uneven {
			steps = uneven
		}
		top, least := 0, math.Inf(1)
		for k := range steps + 1 {
			if v := try(float64(k) / float64(steps)); v < least {
				top, least = k, v
			}
		}
		a, b := float64(max(top-1, 0))/float64(steps), float64(min(top+1, steps))/float64(steps)
		const golden = 0.6180339887498949
		x, y := b-golden*(b-a), a+golden*(b-a)
		fx, fy := try(x), try(y)
		for range fine {
			if fx <= fy {
				b, y, fy = y, x, fx
				x = b - golden*(b-a)
				fx = try(x)
			} else {
				a, x, fx = x, y, fy
				y = a + golden*(b-a)
				fy = try(y)
			}
		}
	}
	if math.IsInf(best.Misfit, 1) {
		return best
	}
	best.Size = c.size(sound, best.X)
	if at > 0.995 || at < 0.005 && c.low > 0 && c.low < c.high { // a low end of 0 is the end of the thing itself
		best.Size += ", the most that was tried"
	}
	for _, m := range readings {
		best.Predicted = append(best.Predicted, expected(m, best.all, base))
	}
	return best
}

// tells is the least spread of the fitted predictions that is worth another
// measurement [1].
const tells = 0.04

// next is the quantity, not read yet, by which causes that fit alike differ
// most.
func next(alike []Candidate, base prediction, readings []Measured) string {
	read := map[string]bool{}
	for _, m := range readings {
		read[m.ID] = true
	}
	id, most := "", tells
	for i, o := range observables {
		if read[o] || base[i] == 0 || len(alike) < 2 {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, c := range alike {
			v := c.all[i] / base[i]
			low, high = math.Min(low, v), math.Max(high, v)
		}
		if spread := math.Min(high-low, 0.5); spread > 1.2*most || id == "" && spread > most {
			id, most = o, spread
		}
	}
	return id
}

// Causes lists the IDs of the faults that are tried. The tests of the order of
// stages plant them one by one.
func Causes() []string {
	var ids []string
	for i := range causes {
		ids = append(ids, causes[i].ID)
	}
	return ids
}

// Predict returns, for each quantity that is Known and not nothing in the sound
// amplifier, what it reads with a fault in place over what it reads in the
// sound amplifier [1]. The size of the fault is the share t of the range of
// plausible sizes [0, 1]. The error is for an unknown cause, one that does not
// apply, or a model that finds no state. The tests of the order of stages plant
// faults with it in whole designs and see that Rank finds them.
func Predict(in Input, cause string, t float64) (ratios map[string]float64, size string, err error) {
	sound := in.amplifier()
	if err := sound.settle(); err != nil {
		return nil, "", err
	}
	base, err := sound.predict()
	if err != nil {
		return nil, "", err
	}
	for i := range causes {
		c := &causes[i]
		if c.ID != cause {
			continue
		}
		if c.applies != nil && !c.applies(&sound) {
			return nil, "", fmt.Errorf("restoration: %s does not apply", cause)
		}
		a := sound
		c.alter(&a, c.place(t))
		p, err := a.predict()
		if err != nil {
			return nil, "", err
		}
		ratios = map[string]float64{}
		for k, id := range observables {
			if base[k] != 0 {
				ratios[id] = p[k] / base[k]
			}
		}
		return ratios, c.size(&sound, c.place(t)), nil
	}
	return nil, "", fmt.Errorf("restoration: no cause %q", cause)
}
