package tank

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

// The design as a chain of formulas that a reader can redo. It follows the
// circuit from the plates to the coil and from the load back to it, and is the
// same closed form as network.DesignTank, which the tests hold it against.
var (
	plateCapacitance = ledger.MustFormula("C_p = n * C_out + C_s", source.CircuitLaws,
		"C_p [F] capacitance at the plates", "n [] tubes", "C_out [F] output capacitance of one tube",
		"C_s [F] stray capacitance at the plates")
	leastQ = ledger.MustFormula("Q_min = 2 * π * f * R_p * (C_p + C_min)", source.CircuitLaws,
		"Q_min [] loaded Q with the tune capacitor at its minimum", "f [Hz] frequency", "R_p [Ω] plate load",
		"C_p [F] capacitance at the plates", "C_min [F] least tune capacitance")
	loadedQ = ledger.MustFormula("Q = max(Q_0, Q_min)", source.CircuitLaws,
		"Q [] loaded Q", "Q_0 [] loaded Q wanted", "Q_min [] loaded Q with the tune capacitor at its minimum")
	tuneCapacitance = ledger.MustFormula("C_1 = Q / (2 * π * f * R_p) - C_p", source.CircuitLaws,
		"C_1 [F] tune capacitance", "Q [] loaded Q", "f [Hz] frequency", "R_p [Ω] plate load", "C_p [F] capacitance at the plates")
	plateSusceptance = ledger.MustFormula("B_p = 1 / (2 * π * f * L_c) - 2 * π * f * C_p", source.CircuitLaws,
		"B_p [S] susceptance that the network must show behind tubes and choke", "f [Hz] frequency", "L_c [H] plate choke",
		"C_p [F] capacitance at the plates")
	blockedResistance = ledger.MustFormula("R_b = R_p / (1 + pow(R_p * B_p, 2))", source.CircuitLaws,
		"R_b [Ω] the same as a series resistance", "R_p [Ω] plate load", "B_p [S] susceptance behind tubes and choke")
	blockedReactance = ledger.MustFormula("X_b = 1 / (2 * π * f * C_b) - R_p * B_p * R_b", source.CircuitLaws,
		"X_b [Ω] series reactance behind the blocking capacitor", "f [Hz] frequency", "C_b [F] blocking capacitor",
		"R_p [Ω] plate load", "B_p [S] susceptance behind tubes and choke", "R_b [Ω] series resistance")
	tunedSusceptance = ledger.MustFormula("B_3 = -X_b / (R_b * R_b + X_b * X_b) - 2 * π * f * C_1", source.CircuitLaws,
		"B_3 [S] susceptance that the coil must show behind the tune capacitor", "X_b [Ω] series reactance",
		"R_b [Ω] series resistance", "f [Hz] frequency", "C_1 [F] tune capacitance")
	tunedConductance = ledger.MustFormula("G_3 = R_b / (R_b * R_b + X_b * X_b) - 2 * π * f * C_1 / Q_t", source.CircuitLaws,
		"G_3 [S] conductance that the coil must show, the tune capacitor's loss taken off", "R_b [Ω] series resistance",
		"X_b [Ω] series reactance",
		"f [Hz] frequency", "C_1 [F] tune capacitance", "Q_t [] Q of the tune capacitor")
	coilResistance = ledger.MustFormula("R_3 = G_3 / (G_3 * G_3 + B_3 * B_3)", source.CircuitLaws,
		"R_3 [Ω] series resistance from the coil on", "G_3 [S] conductance from the coil on", "B_3 [S] susceptance from the coil on")
	coilReactance = ledger.MustFormula("X_3 = -B_3 / (G_3 * G_3 + B_3 * B_3)", source.CircuitLaws,
		"X_3 [Ω] series reactance from the coil on", "B_3 [S] susceptance from the coil on", "G_3 [S] conductance from the coil on")
	reducedResistance = ledger.MustFormula("a = R_3 - X_3 / Q_c", source.CircuitLaws,
		"a [Ω] resistance without the loss of the coil's share of X_3", "R_3 [Ω] series resistance", "X_3 [Ω] series reactance",
		"Q_c [] unloaded Q of the coil")
	// The load capacitor's Q enters its equation a·(1 + d²)·x² − b·x − (R_d − a) = 0.
	loadQuadratic = ledger.MustFormula("A = a * (1 + 1 / (Q_l * Q_l))", source.CircuitLaws,
		"A [Ω] quadratic coefficient", "a [Ω] reduced resistance", "Q_l [] Q of the load capacitor")
	loadLinear = ledger.MustFormula("b = R_d * (1 / Q_l + 1 / Q_c) - 2 * a / Q_l", source.CircuitLaws,
		"b [Ω] linear coefficient", "R_d [Ω] parallel resistance at the load capacitor", "Q_l [] Q of the load capacitor",
		"Q_c [] unloaded Q of the coil", "a [Ω] reduced resistance")
	loadQ = ledger.MustFormula("x = (b + sqrt(b * b + 4 * A * (R_d - a))) / (2 * A)", source.CircuitLaws,
		"x [] Q on the load side", "b [Ω] linear coefficient", "A [Ω] quadratic coefficient",
		"R_d [Ω] parallel resistance at the load capacitor", "a [Ω] reduced resistance")
	loadReactance = ledger.MustFormula("X_m = R_d * x / (pow(1 + x / Q_l, 2) + x * x)", source.CircuitLaws,
		"X_m [Ω] series reactance on the load side", "R_d [Ω] parallel resistance at the load capacitor", "x [] Q on the load side",
		"Q_l [] Q of the load capacitor")
	inductance = ledger.MustFormula("L = (X_3 + X_m) / (2 * π * f)", source.CircuitLaws,
		"L [H] tank coil", "X_3 [Ω] series reactance", "X_m [Ω] series reactance on the load side", "f [Hz] frequency")
	loadCapacitance = ledger.MustFormula("C_2 = x / (2 * π * f * R_d)", source.CircuitLaws,
		"C_2 [F] load capacitance", "x [] Q on the load side", "f [Hz] frequency", "R_d [Ω] parallel resistance at the load capacitor")

	// Of a pi-L: the output coil raises the load to the intermediate resistance.
	intermediate = ledger.MustFormula("R_m = min(R_0, sqrt(R_p * R))", source.CommonPractice,
		"R_m [Ω] intermediate resistance", "R_0 [Ω] the usual one", "R_p [Ω] plate load", "R [Ω] load")
	// The output coil's reactance solves a·X² − b·X − R·(R_m − R) = 0.
	outputLoss = ledger.MustFormula("a = 1 + 1 / (Q_2 * Q_2)", source.CircuitLaws,
		"a [] quadratic coefficient", "Q_2 [] unloaded Q of the output coil")
	outputLinear = ledger.MustFormula("b = (R_m - 2 * R) / Q_2", source.CircuitLaws,
		"b [Ω] linear coefficient", "R_m [Ω] intermediate resistance", "R [Ω] load", "Q_2 [] unloaded Q of the output coil")
	outputReactance = ledger.MustFormula("X_2 = (b + sqrt(pow(b, 2) + 4 * a * R * (R_m - R))) / (2 * a)", source.CircuitLaws,
		"X_2 [Ω] reactance of the output coil", "b [Ω] linear coefficient", "a [] quadratic coefficient", "R [Ω] load",
		"R_m [Ω] intermediate resistance")
	outputInductance = ledger.MustFormula("L_2 = X_2 / (2 * π * f)", source.CircuitLaws,
		"L_2 [H] output coil", "X_2 [Ω] its reactance", "f [Hz] frequency")
	outputSusceptance = ledger.MustFormula("B_2 = X_2 / (pow(R + X_2 / Q_2, 2) + X_2 * X_2)", source.CircuitLaws,
		"B_2 [S] susceptance of output coil and load, inductive", "X_2 [Ω] reactance of the output coil", "R [Ω] load",
		"Q_2 [] unloaded Q of the output coil")
	middleResistanceLossy = ledger.MustFormula("R_d = 1 / (1 / R_m + B_2 / Q_l)", source.CircuitLaws,
		"R_d [Ω] parallel resistance at the load capacitor, with its loss for the output coil's share",
		"R_m [Ω] intermediate resistance", "B_2 [S] susceptance of output coil and load", "Q_l [] Q of the load capacitor")
	loadCapacitancePiL = ledger.MustFormula("C_2 = (x / R_d + B_2) / (2 * π * f)", source.CircuitLaws,
		"C_2 [F] load capacitance", "x [] Q on the load side", "R_d [Ω] parallel resistance at the load capacitor",
		"B_2 [S] susceptance of output coil and load", "f [Hz] frequency")

	// By hand: the lossless network without choke and blocking capacitor.
	handTune = ledger.MustFormula("X_C1 = R_p / Q", source.PiFormulas,
		"X_C1 [Ω] reactance of all capacitance at the plates", "R_p [Ω] plate load", "Q [] loaded Q")
	handLoad = ledger.MustFormula("X_C2 = R * sqrt(R_p / R / (Q * Q + 1 - R_p / R))", source.PiFormulas,
		"X_C2 [Ω] reactance of the load capacitor", "R [Ω] load", "R_p [Ω] plate load", "Q [] loaded Q")
	handCoil = ledger.MustFormula("X_L = (Q * R_p + R_p * R / X_C2) / (Q * Q + 1)", source.PiFormulas,
		"X_L [Ω] reactance of the coil", "Q [] loaded Q", "R_p [Ω] plate load", "R [Ω] load",
		"X_C2 [Ω] reactance of the load capacitor")
	handOutputCoil = ledger.MustFormula("X_L2 = R * sqrt(R_m / R - 1)", source.PiLFormulas,
		"X_L2 [Ω] reactance of the output coil", "R [Ω] load", "R_m [Ω] intermediate resistance")
	handLoadPiL = ledger.MustFormula("X_C2 = 1 / (1 / X_Cp + sqrt(R_m / R - 1) / R_m)", source.PiLFormulas,
		"X_C2 [Ω] reactance of the load capacitor, shares of pi and L together", "X_Cp [Ω] share of the pi",
		"R_m [Ω] intermediate resistance", "R [Ω] load")
	handInductance = ledger.MustFormula("L = X_L / (2 * π * f)", source.CircuitLaws,
		"L [H] coil", "X_L [Ω] reactance", "f [Hz] frequency")
	handCapacitance = ledger.MustFormula("C = 1 / (2 * π * f * X_C)", source.CircuitLaws,
		"C [F] capacitance", "f [Hz] frequency", "X_C [Ω] reactance")
	handEfficiency = ledger.MustFormula("η = 1 - Q / Q_c", source.LoadedQEfficiency,
		"η [%] efficiency, roughly", "Q [] loaded Q", "Q_c [] unloaded Q of the coil")
	handPlateVoltage = ledger.MustFormula("V_p = sqrt(2 * P * R_p)", source.CircuitLaws,
		"V_p [V] peak RF voltage at the plates", "P [W] power at the plates", "R_p [Ω] plate load")
	handCoilCurrent = ledger.MustFormula("I_L = sqrt(P / R_p) * sqrt(1 + Q * Q)", source.CircuitLaws,
		"I_L [A] current in the coil, rms", "P [W] power at the plates", "R_p [Ω] plate load", "Q [] loaded Q")
	handBandwidth = ledger.MustFormula("B = f / Q * (s - 1) / sqrt(s)", source.CircuitLaws,
		"B [Hz] bandwidth of a single tuned circuit of the same Q", "f [Hz] frequency", "Q [] loaded Q", "s [] SWR at the edges")

	// What follows.
	outputPower = ledger.MustFormula("P_o = η * P", source.CircuitLaws,
		"P_o [W] power at the connector", "η [%] efficiency", "P [W] power at the plates")
	coilHeat = ledger.MustFormula("P_c = I * I * 2 * π * f * L / Q_c", source.CircuitLaws,
		"P_c [W] heat in the coil", "I [A] current, rms", "f [Hz] frequency", "L [H] coil", "Q_c [] unloaded Q")
	capacitorHeat = ledger.MustFormula("P_C = S / sqrt(1 + Q_k * Q_k)", source.CircuitLaws,
		"P_C [W] heat in the capacitor", "S [VA] its reactive power", "Q_k [] its Q")
	reactivePower = ledger.MustFormula("S = V / sqrt(2) * I", source.CircuitLaws,
		"S [VA] reactive power", "V [V] peak voltage", "I [A] current, rms")
	serviceHeat = ledger.MustFormula("P_s = P_k * P_a / P", source.CircuitLaws,
		"P_s [W] mean heat in the service wanted", "P_k [W] heat with the key down", "P_a [W] mean output of the plates in the service",
		"P [W] their output with the key down")
	lawCapacitance = ledger.MustFormula("d = (C - C_min) / (C_max - C_min)", source.CapacitorLaws,
		"d [%] dial setting", "C [F] capacitance at the capacitor itself", "C_min [F] its minimum", "C_max [F] its maximum")
	lawWavelength = ledger.MustFormula("d = (sqrt(C) - sqrt(C_min)) / (sqrt(C_max) - sqrt(C_min))", source.CapacitorLaws,
		"d [%] dial setting", "C [F] capacitance at the capacitor itself", "C_min [F] its minimum", "C_max [F] its maximum")
	lawFrequency = ledger.MustFormula("d = (1 - sqrt(C_min / C)) / (1 - sqrt(C_min / C_max))", source.CapacitorLaws,
		"d [%] dial setting", "C_min [F] its minimum", "C [F] capacitance at the capacitor itself", "C_max [F] its maximum")
	sectionsInUse = ledger.MustFormula("C_k = C * k / m", source.CircuitLaws,
		"C_k [F] of the sections in use", "C [F] of all sections", "k [] sections in use", "m [] sections")
	remainder = ledger.MustFormula("C = C_1 - C_f", source.CircuitLaws,
		"C [F] left for the variable capacitor", "C_1 [F] capacitance needed", "C_f [F] padder")

	switchShare = ledger.MustFormula("u = N_1 / N", source.CommonPractice,
		"u [%] share of the voltage before the contact nearest the plates", "N_1 [turns] turns of the highest band",
		"N [turns] turns in use")
	switchShareSeries = ledger.MustFormula("u = L_h / L * N_1 / N_h", source.CommonPractice,
		"u [%] share of the voltage before the contact nearest the plates", "L_h [H] high-band coil", "L [H] both coils",
		"N_1 [turns] turns of the highest band", "N_h [turns] turns of the high-band coil")
	switchVoltage = ledger.MustFormula("V_s = V_L * (1 - u)", source.CircuitLaws,
		"V_s [V] between the contact nearest the plates and the wiper, peak", "V_L [V] across the turns in use, peak",
		"u [%] share of the voltage before that contact")
	unusedVoltage = ledger.MustFormula("V_u = V_L * M / L_1", source.CircuitLaws,
		"V_u [V] across the turns beyond the tap, open, peak", "V_L [V] across the turns in use, peak",
		"M [H] mutual inductance of the two parts", "L_1 [H] turns in use")
	shortedCurrent = ledger.MustFormula("I_u = I * M / L_u", source.CircuitLaws,
		"I_u [A] current in the shorted turns, rms", "I [A] current in the turns in use, rms",
		"M [H] mutual inductance of the two parts", "L_u [H] turns beyond the tap")
	wheelerCoil = ledger.MustFormula("L = 31.33 * µ_0 * pow(N * D, 2) / (18 * D + 40 * l)", source.Wheeler,
		"L [H] inductance", "N [turns] turns", "D [m] mean diameter", "l [m] length")
	onMain = ledger.MustFormula("L_m = L - L_h", source.CircuitLaws,
		"L_m [H] left for the tank coil", "L [H] inductance wanted", "L_h [H] high-band coil")
	coilLength = ledger.MustFormula("l = N * p", source.CircuitLaws,
		"l [m] length of the winding", "N [turns] turns", "p [m] distance from turn to turn")
	coilWire = ledger.MustFormula("s = N * sqrt(pow(π * D, 2) + p * p)", source.CircuitLaws,
		"s [m] length of the conductor", "N [turns] turns", "D [m] mean diameter", "p [m] distance from turn to turn")
	coilResonance = ledger.MustFormula("f_s = 1 / (2 * π * sqrt(L * C_m))", source.CircuitLaws,
		"f_s [Hz] self-resonance of the turns in use", "L [H] their inductance", "C_m [F] Medhurst's capacitance")
	ringFlux = ledger.MustFormula("B = V / (2 * π * f * N * A)", source.CircuitLaws,
		"B [T] peak flux density", "V [V] peak voltage", "f [Hz] frequency", "N [turns] turns", "A [m²] section of the stack")
	filterNeeded = ledger.MustFormula("a = h + m", source.CircuitLaws,
		"a [dB] what a low-pass filter would have to add", "h [dB] harmonic", "m [dB] attenuation required")
)
