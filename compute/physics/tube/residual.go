package tube

// Residual is one published figure beside what the model gives for it.
type Residual struct {
	Column    string  `toml:"column"`    // name of the published column or idle point
	Quantity  string  `toml:"quantity"`  // "output", "grid current", "driving impedance", "idle current" …
	Published float64 `toml:"published"` // SI
	Computed  float64 `toml:"computed"`  // SI
	Error     float64 `toml:"error"`     // Computed/Published − 1 [1]
	Mark      Mark    `toml:"mark"`
	Grade     string  `toml:"grade"`  // as Figure.Grade
	Pinned    bool    `toml:"pinned"` // used to set the operating point, hence met by construction
}

// Quantities are the figures that the models are judged by.
var Quantities = []string{"output", "driving impedance", "grid current", "idle current"}

// Limit is the relative error that no firm figure of the quantity should pass
// [1]; false for quantities that the models are not judged by.
func Limit(quantity string) (float64, bool) {
	switch quantity {
	case "output":
		return 0.075, true
	case "driving impedance":
		return 0.06, true
	case "grid current", "idle current":
		return 0.17, true
	}
	return 0, false
}

// Aim is the relative error that no well known figure (graded R, M1 or M1-M2, or
// the builder's own) should pass [1]; false as Limit.
func Aim(quantity string) (float64, bool) {
	switch quantity {
	case "output", "driving impedance":
		return 0.05, true
	case "grid current", "idle current":
		return 0.12, true
	}
	return 0, false
}

// ResidualUnit is the unit in which a residual's figures are: A, Ω or W.
func ResidualUnit(name string) string {
	switch name {
	case "grid current", "idle current", "two-tone plate current", "plate current":
		return "A"
	case "driving impedance", "plate load":
		return "Ω"
	}
	return "W"
}

// Parameter says how well the published columns fix one parameter of a fitted
// model.
type Parameter struct {
	Name        string  `toml:"name"`        // K, µ, x, D or s
	Deviation   float64 `toml:"deviation"`   // standard deviation that the columns leave: of x itself, of the others relative [1]; of K at 100 V
	Share       float64 `toml:"share"`       // of what is known that the columns contribute, 0…1 [1]; the rest is the rule or the published µ
	Partner     string  `toml:"partner"`     // the parameter it trades against most
	Correlation float64 `toml:"correlation"` // with the partner, −1…1 [1]
}

// Words says what the columns fix.
func (p Parameter) Words() string {
	switch {
	case p.Share >= 0.75:
		return "fixed by the columns"
	case p.Share >= 0.25:
		return "fixed in part"
	}
	if p.Name == "µ" {
		return "not fixed by the columns: near the published amplification factor"
	}
	return "not fixed by the columns: near its usual value"
}
