package filament

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var (
	allCurrent = ledger.MustFormula("I = n * I_f", source.CircuitLaws,
		"I [A] current of all tubes", "n [] tubes in parallel", "I_f [A] current of one tube")
	cathodeCurrent = ledger.MustFormula("I_k = I_p + I_g", source.CircuitLaws,
		"I_k [A] direct cathode current", "I_p [A] direct plate current", "I_g [A] direct grid current")
	heaterPower = ledger.MustFormula("P = V_f * I", source.CircuitLaws,
		"P [W] heating power", "V_f [V] rated voltage", "I [A] current of all tubes")
	inductanceWanted = ledger.MustFormula("L_w = k * R_in / (2 * π * f * (1 - u))", source.CommonPractice,
		"L_w [H] inductance to aim at", "k [] reactance over input resistance", "R_in [Ω] input resistance, all cathodes",
		"f [Hz] lowest band", "u [%] uncertainty of the computed inductance")
	rodInductance = ledger.MustFormula("L = µ_0 * µ_rod * N * N * π * D * D / (4 * l) * pow(l / w, 1 / 3)", source.RodCoverage,
		"L [H] inductance, all wires in parallel", "µ_rod [] effective permeability of the rod", "N [] turns",
		"D [m] diameter of the rod",
		"l [m] length of the rod", "w [m] length of the winding")
	rodPermeability = ledger.MustFormula("µ_rod = µ / (1 + N_d * (µ - 1))", source.RodDemagnetisation,
		"µ_rod [] effective permeability", "µ [] initial permeability of the material", "N_d [] demagnetising factor of the rod")
	ringInductance = ledger.MustFormula("L = µ_0 * µ * N * N * n * h * ln(D_o / D_i) / (2 * π)", source.CircuitLaws,
		"L [H] inductance, all wires in parallel", "µ [] initial permeability of the material", "N [] turns",
		"n [] rings on one another",
		"h [m] height of one ring", "D_o [m] outer diameter of the ring", "D_i [m] inner diameter of the ring")
	ringArea = ledger.MustFormula("A = n * h * (D_o - D_i) / 2", source.CircuitLaws,
		"A [m²] section of the core", "n [] rings on one another", "h [m] height of one ring", "D_o [m] outer diameter of the ring",
		"D_i [m] inner diameter of the ring")
	rodArea = ledger.MustFormula("A = π * D * D / 4", source.CircuitLaws,
		"A [m²] section of the core", "D [m] diameter of the rod")
	reactance = ledger.MustFormula("X_L = 2 * π * f * L", source.CircuitLaws,
		"X_L [Ω] reactance", "f [Hz] frequency", "L [H] inductance")
	reactanceShare = ledger.MustFormula("k = X_L / R_in", source.CircuitLaws,
		"k [] reactance over input resistance", "X_L [Ω] reactance of the choke", "R_in [Ω] input resistance, all cathodes")
	wireResistance = ledger.MustFormula("R = m * 4 * ρ * l / (π * d * d)", source.CopperStandard,
		"R [Ω] resistance of the wires in series", "m [] wires that the current passes one after the other",
		"ρ [Ω·m] resistivity of copper, warm", "l [m] length of each wire", "d [m] diameter of the wire")
	chokeDrop = ledger.MustFormula("V_L = I * R", source.CircuitLaws,
		"V_L [V] drop", "I [A] current", "R [Ω] resistance")
	chokeHeat = ledger.MustFormula("P = I * I * R", source.CircuitLaws,
		"P [W] heat", "I [A] current", "R [Ω] resistance")
	secondaryWanted = ledger.MustFormula("V_s = V_f + I * (R_L + R_w)", source.CircuitLaws,
		"V_s [V] secondary voltage under load, rms", "V_f [V] rated voltage at the pins", "I [A] current of all tubes",
		"R_L [Ω] resistance of the choke, there and back", "R_w [Ω] resistance of leads and sockets, both ways")
	pinVoltage = ledger.MustFormula("V_pin = V_s - I * (R_L + R_w)", source.CircuitLaws,
		"V_pin [V] voltage at the pins, rms", "V_s [V] secondary voltage under load, rms", "I [A] current of all tubes",
		"R_L [Ω] resistance of the choke, there and back", "R_w [Ω] resistance of leads and sockets, both ways")
	pinLow = ledger.MustFormula("V_lo = V_pin * (1 - t)", source.CircuitLaws,
		"V_lo [V] voltage at the pins, low mains", "V_pin [V] voltage at the pins", "t [%] mains tolerance")
	pinHigh = ledger.MustFormula("V_hi = V_pin * (1 + t)", source.CircuitLaws,
		"V_hi [V] voltage at the pins, high mains", "V_pin [V] voltage at the pins", "t [%] mains tolerance")
	inrush = ledger.MustFormula("I_0 = a * I", source.CircuitLaws,
		"I_0 [A] greatest current at switch-on", "a [] allowed inrush over rated current", "I [A] current of all tubes")
	coreFlux = ledger.MustFormula("B = L * I_k / (N * A)", source.CircuitLaws,
		"B [T] flux density in the core", "L [H] inductance", "I_k [A] direct cathode current, all tubes", "N [] turns",
		"A [m²] section of the core")
	bypassWanted = ledger.MustFormula("C = k / (2 * π * f * R_in)", source.CommonPractice,
		"C [F] capacitance wanted", "k [] input resistance over reactance", "f [Hz] lowest band",
		"R_in [Ω] input resistance, all cathodes")
)
