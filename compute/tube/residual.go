package tube

// Residual is one published figure beside what the model gives for it.
type Residual struct {
	Column    string  `toml:"column"`    // name of the published column or idle point
	Quantity  string  `toml:"quantity"`  // "output", "grid current", "driving impedance", "idle current" …
	Published float64 `toml:"published"` // SI
	Computed  float64 `toml:"computed"`  // SI
	Error     float64 `toml:"error"`     // Computed/Published − 1 [1]
	Mark      Mark    `toml:"mark"`
	Pinned    bool    `toml:"pinned"` // used to set the operating point, hence met by construction
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
