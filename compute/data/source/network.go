package source

import "anodebook/compute/ledger"

// Sources of the matching networks, tank and input.
var (
	// PiFormulas: XC1 = R1/Q, XL and XC2 with Q = R1/XC1.
	PiFormulas = ledger.Source{Key: "arrl-handbook-pi",
		Title: "ARRL Handbook, pi-network formulas with Q = R1/XC1 as printed up to the early 1990s; read in a published comparison " +
			"of the definitions of Q", Known: ledger.Published}
	// PiLFormulas: a pi to the intermediate resistance and an L from there.
	PiLFormulas = ledger.Source{Key: "radio-handbook-pi-l",
		Title: "Radio Handbook and ARRL Handbook, pi-L networks over an intermediate resistance; construction from memory, tables " +
			"recomputed", Known: ledger.Recomputed}
	// LadderAnalysis: ABCD chains, exact for linear elements.
	LadderAnalysis = ledger.Source{Key: "circuit-laws", Title: "Definitions and circuit laws (Ohm, Kirchhoff, energy)",
		Known: ledger.Derived}
	// LoadedQEfficiency: η = 1 − Q_L/Q_U.
	LoadedQEfficiency = ledger.Source{Key: "tank-efficiency",
		Title: "Efficiency of a tank from loaded and unloaded Q, as in the handbooks of radio engineering (Terman 1943); from memory",
		Known: ledger.FromMemory}
	// PlateSpacing: flashover of variable capacitors over the air gap.
	PlateSpacing = ledger.Source{Key: "plate-spacing-1947",
		Title: "Chart of plate spacing and peak voltage of variable capacitors, printed with 1947 handbook data",
		Known: ledger.Published}
	// Wheeler: L = r²N²/(9r + 10l) in inches.
	Wheeler = ledger.Source{Key: "wheeler-1928",
		Title: "H. A. Wheeler, Simple inductance formulas for radio coils, Proc. IRE 16 (Oct 1928) 1398; the ARRL Handbook prints it " +
			"as d²n²/(18d + 40l)", Known: ledger.Published}
	// CurrentSheet: Lorenz and Nagaoka with Rosa's corrections.
	CurrentSheet = ledger.Source{Key: "nbs-circular-74",
		Title: "Lorenz 1879 and Nagaoka 1909 with Rosa's corrections for round wire, Bureau of Standards Circular 74 (1918); " +
			"recomputed from the elliptic integrals", Known: ledger.Recomputed}
	// Medhurst: proximity effect of single-layer coils.
	Medhurst = ledger.Source{Key: "medhurst-1947",
		Title: "R. G. Medhurst, H.F. resistance and self-capacitance of single-layer solenoids, Wireless Engineer 24 (Feb and Mar " +
			"1947) 35 and 80, tables of Φ and H", Known: ledger.FromMemory}
	// CapacitorLaws: the shapes of variable capacitors' plates.
	CapacitorLaws = ledger.Source{Key: "capacitor-laws",
		Title: "Straight-line capacitance, wavelength and frequency plates of variable capacitors, as in the handbooks of radio " +
			"engineering (Terman 1943); from memory", Known: ledger.FromMemory}
	// FluxGuide: flux density in iron powder.
	FluxGuide = ledger.Source{Key: "iron-powder-flux",
		Title: "A core maker's catalogue: flux density advised for iron powder, 15 mT at 1 MHz to 3 mT at 28 MHz, and rise = " +
			"(mW/cm²)^0.833; from memory", Known: ledger.FromMemory}
)
