package rules

import (
	"fmt"
	"math"
	"slices"

	"anodebook/spec/quantity"
)

// Mains is what branch circuits, cords and fuses come in under a set of rules.
// It is advice for planning: the local electrical code and a licensed
// electrician decide.
type Mains struct {
	Title string `toml:"title"` // whose practice it is, in words
	// Ordinary is the rating of the circuit that a room has anyway [A].
	Ordinary float64 `toml:"ordinary"`
	// Circuits are the branch circuits that exist, by rising rating.
	Circuits         []Circuit `toml:"circuit"`
	CircuitsCitation string    `toml:"circuits_citation"`
	// Fuses are the ratings [A] of mains fuses that this program advises;
	// OtherFuses are sold too.
	Fuses         []float64 `toml:"fuses"`
	OtherFuses    []float64 `toml:"other_fuses"`
	FusesCitation string    `toml:"fuses_citation"`
	FusesKnown    string    `toml:"fuses_known"`
	// Cords are the ratings [A] of mains cords with plug and inlet.
	Cords         []float64 `toml:"cords"`
	CordsCitation string    `toml:"cords_citation"`
	CordsKnown    string    `toml:"cords_known"`
	// Continuous is what a circuit must be rated for over the current of a
	// load that lasts for hours.
	Continuous         float64 `toml:"continuous"`
	ContinuousCitation string  `toml:"continuous_citation"`
	ContinuousKnown    string  `toml:"continuous_known"`
	// Instantaneous is the least multiple of its rating, rms, at which a
	// breaker may open at once.
	Instantaneous         float64 `toml:"instantaneous"`
	InstantaneousCitation string  `toml:"instantaneous_citation"`
	InstantaneousKnown    string  `toml:"instantaneous_known"`
}

// Circuit is a branch circuit.
type Circuit struct {
	Breaker   float64 `toml:"breaker"`    // rating [A]
	Gauge     int     `toml:"gauge"`      // smallest copper conductor [AWG]; 0: not in this set
	Section   float64 `toml:"section"`    // copper conductor [mm²]; 0: not in this set
	LeastCord float64 `toml:"least_cord"` // rating of the lightest cord that the breaker still protects against a short [A]
	Plug      float64 `toml:"plug"`       // least rating of cord, plug and inlet that belong on the circuit [A]
	Known     string  `toml:"known"`      // "read", "transcribed (n)", "memory" or "practice"
}

// Ratings are the ratings of the branch circuits [A], rising.
func (m Mains) Ratings() []float64 {
	out := make([]float64, len(m.Circuits))
	for k, c := range m.Circuits {
		out[k] = c.Breaker
	}
	return out
}

// Exists says that a branch circuit of the rating [A] exists.
func (m Mains) Exists(breaker float64) bool {
	return slices.ContainsFunc(m.Ratings(), func(r float64) bool { return near(r, breaker) })
}

// Sold says that mains fuses of the rating [A] are sold.
func (m Mains) Sold(fuse float64) bool {
	return slices.ContainsFunc(slices.Concat(m.Fuses, m.OtherFuses), func(f float64) bool { return near(f, fuse) })
}

// Behind returns the branch circuit of a rating [A], or the next larger one;
// ok is false above the largest.
func (m Mains) Behind(breaker float64) (c Circuit, ok bool) {
	for _, c := range m.Circuits {
		if breaker <= c.Breaker*(1+1e-9) {
			return c, true
		}
	}
	return Circuit{}, false
}

// BranchCircuit returns the smallest branch circuit for a load current [A
// rms]; continuous loads count by the set's factor.
func (m Mains) BranchCircuit(current float64, continuous bool) (Circuit, error) {
	need := current
	if continuous {
		need *= m.Continuous
	}
	if current >= 0 {
		if c, ok := m.Behind(need); ok {
			return c, nil
		}
	}
	return Circuit{}, fmt.Errorf("rules: no branch circuit up to %s A carries %s A",
		quantity.Short(m.Circuits[len(m.Circuits)-1].Breaker, 6), quantity.Short(need, 6))
}

// Most returns the largest of the rising sizes not above limit; ok is false
// below the smallest.
func Most(sizes []float64, limit float64) (size float64, ok bool) {
	for _, s := range sizes {
		if s <= limit*(1+1e-9) {
			size, ok = s, true
		}
	}
	return size, ok
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*b }

// ContinuousRating returns the continuous load that a breaker [A] allows [A]
// in US practice: 80 % of it.
func ContinuousRating(breaker float64) float64 { return breaker / ContinuousLoadFactor }
