package source

import "anodebook/compute/ledger"

// Sources of the matching networks, tank and input.
var (
	// PiFormulas: XC1 = R1/Q, XL and XC2 with Q = R1/XC1.
	PiFormulas = ledger.Source{Key: "arrl-handbook-pi", Title: "ARRL Handbook, pi-network formulas with Q = R1/XC1 as printed up to the early 1990s; read in a published comparison of the definitions of Q", Known: ledger.Published}
	// PiLFormulas: a pi to the intermediate resistance and an L from there.
	PiLFormulas = ledger.Source{Key: "radio-handbook-pi-l", Title: "Radio Handbook and ARRL Handbook, pi-L networks over an intermediate resistance; construction from memory, tables recomputed", Known: ledger.Recomputed}
	// LadderAnalysis: ABCD chains, exact for linear elements.
	LadderAnalysis = ledger.Source{Key: "circuit-laws", Title: "Definitions and circuit laws (Ohm, Kirchhoff, energy)", Known: ledger.Derived}
	// LoadedQEfficiency: η = 1 − Q_L/Q_U.
	LoadedQEfficiency = ledger.Source{Key: "tank-efficiency", Title: "Efficiency of a tank from loaded and unloaded Q, as in the handbooks of radio engineering (Terman 1943); from memory", Known: ledger.FromMemory}
	// PlateSpacing: flashover of variable capacitors over the air gap.
	PlateSpacing = ledger.Source{Key: "plate-spacing-1947", Title: "Chart of plate spacing and peak voltage of variable capacitors, printed with 1947 handbook data", Known: ledger.Published}
)
