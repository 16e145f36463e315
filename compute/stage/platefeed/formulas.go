package platefeed

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var (
	chokeWanted = ledger.MustFormula("L = min(k * R_p / (2 * π * f), L_max)", source.CommonPractice,
		"L [H] inductance wanted", "k [] choke reactance over plate load", "R_p [Ω] plate load, all tubes",
		"f [Hz] lowest band", "L_max [H] largest choke chosen by rule")
	inSeries = ledger.MustFormula("L = L_1 + L_2", source.CircuitLaws,
		"L [H] both chokes in series", "L_1 [H] first choke, at the plates", "L_2 [H] second choke, at the cold end")
	reactance = ledger.MustFormula("X_L = 2 * π * f * L", source.CircuitLaws,
		"X_L [Ω] reactance", "f [Hz] frequency", "L [H] inductance")
	chokeCurrent = ledger.MustFormula("I_ch = V_p1 / (sqrt(2) * X_L)", source.CircuitLaws,
		"I_ch [A] RF current, rms", "V_p1 [V] RF voltage at the plates, peak", "X_L [Ω] reactance of the choke")
	chokeShare = ledger.MustFormula("s = I_ch / I_L", source.ChokeCurrentRule,
		"s [%] share", "I_ch [A] RF current in the plate choke, rms", "I_L [A] RF current in the tank coil, rms")
	resistance = ledger.MustFormula("R = 4 * ρ * l / (π * d * d)", source.CopperStandard,
		"R [Ω] resistance", "ρ [Ω·m] resistivity of copper, warm", "l [m] length of the wire", "d [m] diameter of the wire")
	heat = ledger.MustFormula("P = I * I * R", source.CircuitLaws,
		"P [W] heat", "I [A] current, rms or direct", "R [Ω] resistance")
	selfResonance = ledger.MustFormula("f_0 = 1 / (2 * π * sqrt(L * C_s))", source.ChokeSelfCapacitance,
		"f_0 [Hz] parallel self-resonance", "L [H] inductance", "C_s [F] self-capacitance after Medhurst")
	capacitorReactance = ledger.MustFormula("X_C = 1 / (2 * π * f * C)", source.CircuitLaws,
		"X_C [Ω] reactance", "f [Hz] frequency", "C [F] capacitance")
	coldEndVoltage = ledger.MustFormula("V_c = sqrt(2) * I_ch * X_C", source.CircuitLaws,
		"V_c [V] RF voltage left on the supply side, peak", "I_ch [A] RF current, rms", "X_C [Ω] reactance of the bypass capacitor")
	blockingWanted = ledger.MustFormula("C = k / (2 * π * f * R_p)", source.CommonPractice,
		"C [F] capacitance wanted", "k [] plate load over reactance", "f [Hz] lowest band", "R_p [Ω] plate load, all tubes")
	blockingVoltage = ledger.MustFormula("V_C = V_0 + V_rf", source.CircuitLaws,
		"V_C [V] highest voltage across the capacitor", "V_0 [V] highest direct voltage",
		"V_rf [V] RF voltage across it, peak, at the worst SWR")
	eachCurrent = ledger.MustFormula("I_1 = I / n", source.CircuitLaws,
		"I_1 [A] current of one piece, rms", "I [A] current of all pieces, rms", "n [] pieces in parallel")
	reactivePower = ledger.MustFormula("S = I * I * X_C", source.CircuitLaws,
		"S [VA] reactive power", "I [A] RF current, rms", "X_C [Ω] reactance")
	blockingPhasor = ledger.MustFormula("I_b = V_p / sqrt(2) * sqrt(pow(1 / R_p, 2) + pow(1 / (2 * π * f * L) - 2 * π * f * C_p, 2))",
		source.CircuitLaws,
		"I_b [A] RF current, rms", "V_p [V] RF voltage at the plates, peak", "R_p [Ω] plate load, all tubes",
		"f [Hz] where the current is greatest",
		"L [H] plate choke", "C_p [F] capacitance at the plates, tubes and strays")
	bankEnergy = ledger.MustFormula("W = C * (1 + t) * V_0 * V_0 / 2", source.CircuitLaws,
		"W [J] energy of the filter bank", "C [F] filter capacitance", "t [%] upper tolerance of the capacitors",
		"V_0 [V] highest direct voltage")
	faultAction = ledger.MustFormula("A = A_0 * (1 + t)", source.CircuitLaws,
		"A [A²s] current squared times time", "A_0 [A²s] with the capacitors as marked", "t [%] upper tolerance of the capacitors")
	passes = ledger.MustFormula("A_p = max(A, k_c * A_m)", source.CommonPractice,
		"A_p [A²s] current squared times time let through", "A [A²s] that of the bank", "k_c [] clearing over melting",
		"A_m [A²s] that melts the fuse")
	passesLong = ledger.MustFormula("A_p = A + I_f * I_f * t_o", source.CircuitLaws,
		"A_p [A²s] current squared times time let through", "A [A²s] that of the bank",
		"I_f [A] current that follows from the transformer", "t_o [s] until it is off")
	meltingTime = ledger.MustFormula("t_m = max(A_m - A_0, 0 * A_m) / (I_f * I_f)", source.CircuitLaws,
		"t_m [s] time after the bank is empty", "A_m [A²s] current squared times time that melts the fuse",
		"A_0 [A²s] that of the bank", "I_f [A] current that follows from the transformer")
	meltingAlone = ledger.MustFormula("t_a = A_m / (I_f * I_f)", source.CircuitLaws,
		"t_a [s] time from an empty bank", "A_m [A²s] current squared times time that melts the fuse",
		"I_f [A] current that follows from the transformer")
	connectorOhms = ledger.MustFormula("R_m = V_L / I_f", source.CircuitLaws,
		"R_m [Ω] greatest resistance of the choke", "V_L [V] voltage allowed at the connector", "I_f [A] current into a short, peak")
	connectorVolts = ledger.MustFormula("V_c = V_0 * R_s / (R_s + R_l)", source.CircuitLaws,
		"V_c [V] voltage at the connector", "V_0 [V] highest direct voltage", "R_s [Ω] resistance of the safety choke",
		"R_l [Ω] resistance of the rest of the loop")
	firstVolts = ledger.MustFormula("V_1 = V_0 * L_s / (L_s + L)", source.CircuitLaws,
		"V_1 [V] voltage at the connector in the first instant", "V_0 [V] highest direct voltage", "L_s [H] safety choke",
		"L [H] plate choke")
	chokeRise = ledger.MustFormula("τ = (L_s + L) / (R_s + R_l)", source.CircuitLaws,
		"τ [s] time constant with which the current rises", "L_s [H] safety choke", "L [H] plate choke",
		"R_s [Ω] resistance of the safety choke", "R_l [Ω] resistance of the rest of the loop")
	leastWire = ledger.MustFormula("d = d_1 * sqrt(sqrt(A_p / A_1))", source.AdiabaticCopper,
		"d [m] diameter of the copper", "d_1 [m] a diameter", "A_p [A²s] current squared times time let through",
		"A_1 [A²s] what copper of the diameter d_1 bears")
	safetyLeast = ledger.MustFormula("L = x * R_0 / (2 * π * f)", source.CommonPractice,
		"L [H] least inductance", "x [] reactance over the load, rule", "R_0 [Ω] load resistance",
		"f [Hz] lower edge of the lowest band")
	fuseWanted = ledger.MustFormula("I_F = k * I_p", source.CommonPractice,
		"I_F [A] least fuse rating", "k [] fuse over plate current", "I_p [A] plate current at full output, all tubes")
	fuseMultiple = ledger.MustFormula("m = I_f / I_F", source.CircuitLaws,
		"m [] fault current over fuse rating", "I_f [A] fault current", "I_F [A] fuse rating")
	safetyCurrent = ledger.MustFormula("I_s = sqrt(P * R_0 * s) / X_s", source.CircuitLaws,
		"I_s [A] RF current in the safety choke, rms", "P [W] output", "R_0 [Ω] load resistance", "s [] SWR",
		"X_s [Ω] reactance of the safety choke")
)
