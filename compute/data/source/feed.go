package source

import "anodebook/compute/ledger"

// The feeds of the tubes: plate choke, filament choke, suppressors, relays.
var (
	ChokeCurrentRule = ledger.Source{Key: "choke-current-rule",
		Title: "Care and Feeding of Power Grid Tubes, rule for the plate choke: a reactance of 100 times the tank coil's for 1 % of " +
			"its current (as quoted in amateur literature)", Known: ledger.Published}
	ChokeSelfCapacitance = ledger.Source{Key: "medhurst-1947-capacitance",
		Title: "R. G. Medhurst, H.F. resistance and self-capacitance of single-layer solenoids, Wireless Engineer 24 (Feb and Mar " +
			"1947), table of H", Known: ledger.FromMemory}
	HelixVelocity = ledger.Source{Key: "kandoian-sichak-1953",
		Title: "A. G. Kandoian and W. Sichak, Wide-frequency-range tuned helical antennas and circuits, IRE Convention Record (1953): " +
			"velocity on a helix", Known: ledger.FromMemory}
	StraightWire = ledger.Source{Key: "rosa-1908",
		Title: "E. B. Rosa, The self and mutual inductances of linear conductors, Bulletin of the Bureau of Standards 4 (1908) 301: a " +
			"straight round wire, current on its surface", Known: ledger.FromMemory}
	RodDemagnetisation = ledger.Source{Key: "bozorth-chapin-1942",
		Title: "R. M. Bozorth and D. M. Chapin, Demagnetizing factors of rods, J. Appl. Phys. 13 (1942) 320", Known: ledger.FromMemory}
	RodCoverage = ledger.Source{Key: "rod-coverage-rule",
		Title: "Rule of thumb for a winding shorter than its rod: the cube root of rod length over winding length",
		Known: ledger.CommonPractice}
	AdiabaticCopper = ledger.Source{Key: "adiabatic-copper",
		Title: "IEC 60949 and IEC 60364-5-54, adiabatic heating of copper, I²t = (226 A·√s/mm²)²·ln(1 + Δθ/(234.5 + θ))·A²; " +
			"Onderdonk's formula for fusing wire is the same up to the melting point", Known: ledger.FromMemory}
	TuneUpTrials = ledger.Source{Key: "tune-up-trials",
		Title: "Simulated tune-ups of this project: 1800 runs of ten tube types on three bands with spreads of parts, meters, mains " +
			"and antenna; plate current at most 1.10, grid current 1.06 to 1.22 times full output", Known: ledger.Recomputed}
	TouchVoltage = ledger.Source{Key: "iec-62368-1-es2",
		Title: "IEC 62368-1 Table 4, limit of class ES2 for direct voltage, 120 V: may hurt and startle, as under a single fault",
		Known: ledger.FromMemory}
	CopperStandard = ledger.Source{Key: "iec-60028",
		Title: "IEC 60028, resistivity of annealed copper: 1/58 Ω·mm²/m at 20 °C, 0.00393 per kelvin", Known: ledger.Published}
)
