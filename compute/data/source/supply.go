package source

import "anodebook/compute/ledger"

// High-voltage supply, bias, metering, safety at the mains.
var (
	Schade = ledger.Source{Key: "schade-1943",
		Title: "Analysis of Rectifier Operation, O. H. Schade, Proc. IRE 31 (July 1943) 341; the same circuits solved in time instead " +
			"of read from the charts", Known: ledger.FromMemory}
	CriticalInductance = ledger.Source{Key: "critical-inductance",
		Title: "Choke-input filters: mean of the rectified sine, its second harmonic of two thirds of it, and the critical inductance " +
			"that follows; Terman, Radio Engineers' Handbook (1943), recomputed", Known: ledger.Recomputed}
	HumSidebands = ledger.Source{Key: "hum-sidebands",
		Title: "Amplitude modulation by the ripple: a depth m gives two sidebands of m/2, any text", Known: ledger.Derived}
	SeriesCircuit = ledger.Source{Key: "series-rlc",
		Title: "Discharge of a capacitor through resistance and inductance, closed form of any circuit text", Known: ledger.Derived}
	RippleRule = ledger.Source{Key: "capacitor-input-ripple",
		Title: "Capacitor-input ripple estimate, any rectifier text; errs high", Known: ledger.Recomputed}
	StoredCharge = ledger.Source{Key: "iec-60204-1",
		Title: "IEC 60204-1, Safety of machinery, cl. 6.2.4 (residual voltages: 60 V within 5 s, or a durable warning)",
		Known: ledger.Published}
	CapacitorSurge = ledger.Source{Key: "iec-60384-4",
		Title: "IEC 60384-4, electrolytic capacitors (surge voltage 1.10 times rated above 315 V, 1.15 times up to it, for 30 s)",
		Known: ledger.FromMemory}
	WirewoundOverload = ledger.Source{Key: "wirewound-overload",
		Title: "Wirewound power resistors, short-time overload of five times rated power for 5 s in makers' data sheets",
		Known: ledger.FromMemory}
	TimeLagFuse = ledger.Source{Key: "iec-60127-2", Title: "IEC 60127-2, time-lag cartridge fuses: at ten times rated current " +
		"no sooner than 20 ms", Known: ledger.FromMemory}
	MagneticRelease = ledger.Source{Key: "magnetic-release", Title: "Breakers with a magnetic release open at once above a " +
		"multiple of their rating", Known: ledger.FromMemory}
	ContinuousLoad = ledger.Source{Key: "nec-continuous",
		Title: "NEC 210.19(A)(1) and 210.20(A), conductors and breakers at 125 % of a continuous load", Known: ledger.Published}
	PreferredValues = ledger.Source{Key: "iec-60063", Title: "IEC 60063, preferred values for resistors and capacitors",
		Known: ledger.Published}
	TransformerGuide = ledger.Source{Key: "transformer-guide",
		Title: "A transformer maker's design guide for rectifier use (bridge with capacitor input: winding current 1.6 to 1.8 times " +
			"the direct current)", Known: ledger.Published}
)
