package supply

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var (
	atMains = ledger.MustFormula("V_s = V_r * V_m / V_p", source.CircuitLaws,
		"V_s [V] secondary without load at the mains voltage, rms", "V_r [V] secondary without load at its rated primary voltage, rms",
		"V_m [V] mains voltage", "V_p [V] rated primary voltage")
	turnsRatio = ledger.MustFormula("n = V_s / V_m", source.CircuitLaws, "n [] secondary turns over primary turns",
		"V_s [V] secondary without load, rms", "V_m [V] mains voltage, rms")
	bothWindings = ledger.MustFormula("R_w = R_2 + R_1 * pow(n, 2)", source.CircuitLaws, "R_w [Ω] both windings, seen at the secondary",
		"R_2 [Ω] secondary", "R_1 [Ω] primary", "n [] turns ratio")
	fromPrimary = ledger.MustFormula("R_w = 2 * R_1 * pow(n, 2)", source.CommonPractice,
		"R_w [Ω] both windings, seen at the secondary; the secondary is taken to lose as much as the primary", "R_1 [Ω] primary",
		"n [] turns ratio")
	fromSecond = ledger.MustFormula("R_w = 2 * R_2", source.CommonPractice,
		"R_w [Ω] both windings, seen at the secondary; the primary is taken to lose as much as the secondary", "R_2 [Ω] secondary")
	fromRegul = ledger.MustFormula("R_w = ρ / (1 + ρ) * V_s / I_r", source.CircuitLaws,
		"R_w [Ω] both windings, seen at the secondary", "ρ [%] regulation: drop over loaded voltage",
		"V_s [V] secondary without load, rms", "I_r [A] rated winding current, rms")
	ratedCurrent = ledger.MustFormula("I_r = S / V_s", source.CircuitLaws, "I_r [A] rated winding current, rms", "S [VA] rated power",
		"V_s [V] secondary without load, rms")
	ratedHalf = ledger.MustFormula("I_r = S / (2 * V_s)", source.CircuitLaws, "I_r [A] rated current of each half, rms",
		"S [VA] rated power", "V_s [V] each half without load, rms")
	totalSource = ledger.MustFormula("R_s = R_w + R_m * pow(n, 2)", source.CircuitLaws,
		"R_s [Ω] source resistance, all of it, at the secondary", "R_w [Ω] both windings", "R_m [Ω] mains circuit", "n [] turns ratio")

	bankSeries = ledger.MustFormula("C = C_1 / N", source.CircuitLaws, "C [F] filter bank", "C_1 [F] one capacitor",
		"N [] capacitors in series")
	halfBank = ledger.MustFormula("C_h = 2 * C", source.CircuitLaws, "C_h [F] each half of the doubler",
		"C [F] filter bank at its output")
	bleederSeries = ledger.MustFormula("R_b = R_1 * N", source.CircuitLaws, "R_b [Ω] bleeders across the bank", "R_1 [Ω] one bleeder",
		"N [] bleeders in series")
	crest = ledger.MustFormula("V_0 = sqrt(2) * V_s", source.CircuitLaws, "V_0 [V] filter voltage without load",
		"V_s [V] secondary without load, rms")
	crestDoubled = ledger.MustFormula("V_0 = 2 * sqrt(2) * V_s", source.CircuitLaws,
		"V_0 [V] filter voltage of the doubler without load", "V_s [V] secondary without load, rms")
	esrSeries = ledger.MustFormula("R_c = R_1 * N", source.CircuitLaws, "R_c [Ω] series resistance of the filter bank",
		"R_1 [Ω] that of one capacitor", "N [] capacitors in series")
	pathKnee = ledger.MustFormula("V_d = V_1 * N", source.CircuitLaws,
		"V_d [V] forward drop of all diodes in one path of the current, small current", "V_1 [V] that of one chip",
		"N [] chips in the path")
	pathSlope = ledger.MustFormula("R_d = R_1 * N", source.CircuitLaws, "R_d [Ω] what each ampere adds to that drop",
		"R_1 [Ω] for one chip", "N [] chips in the path")
	dropAt = ledger.MustFormula("V_f = V_d + R_d * I_pk", source.CircuitLaws,
		"V_f [V] forward drop of all diodes in one path at the peak of the current", "V_d [V] at small current",
		"R_d [Ω] for each ampere", "I_pk [A] peak current")
	onHighMains = ledger.MustFormula("V_h = V_0 * (1 + t)", source.CircuitLaws,
		"V_h [V] filter voltage without load on the highest mains", "V_0 [V] the same on the nominal mains",
		"t [%] spread of the mains")

	loadCurrent = ledger.MustFormula("I = I_p + V / R_b", source.CircuitLaws, "I [A] direct current out of the bank",
		"I_p [A] plate current, all tubes", "V [V] filter voltage", "R_b [Ω] bleeders")
	rippleByHand = ledger.MustFormula("V_pp = I / (2 * f * C)", source.RippleRule, "V_pp [V] ripple, peak to peak",
		"I [A] direct current out of the bank", "f [Hz] mains frequency", "C [F] filter bank")
	rippleShare = ledger.MustFormula("r = V_pp / V", source.CircuitLaws, "r [%] ripple, peak to peak, of the filter voltage",
		"V_pp [V] ripple, peak to peak", "V [V] filter voltage")
	byCosine = ledger.MustFormula("V = V_0 * cos(φ)", source.Schade, "V [V] filter voltage if the capacitance were endless",
		"V_0 [V] filter voltage without load", "φ [°] half the conduction angle")
	plateVoltage = ledger.MustFormula("V_b = V - I_p * R_g", source.CircuitLaws, "V_b [V] plate voltage, plate to ground",
		"V [V] filter voltage", "I_p [A] plate current, all tubes", "R_g [Ω] glitch resistor")
	sag = ledger.MustFormula("s = (V_i - V_f) / V_f", source.CircuitLaws, "s [%] sag from idle to full output",
		"V_i [V] filter voltage at idle", "V_f [V] filter voltage at full output")
	windingRule = ledger.MustFormula("I_s = 1.61 * I", source.TransformerGuide,
		"I_s [A] winding current of a bridge with capacitor input, rms", "I [A] direct current out of the bank")
	windingRuleCT = ledger.MustFormula("I_s = 1.00 * I", source.TransformerGuide,
		"I_s [A] winding current of a centre-tap with capacitor input, rms, each half", "I [A] direct current out of the bank")
	apparent = ledger.MustFormula("S = V_s * I_s", source.CircuitLaws, "S [VA] apparent power of the secondary",
		"V_s [V] secondary without load, rms", "I_s [A] winding current, rms")
	apparentCT = ledger.MustFormula("S = 2 * V_s * I_s", source.CircuitLaws, "S [VA] apparent power of both halves",
		"V_s [V] each half without load, rms", "I_s [A] current of each half, rms")
	diodeMean = ledger.MustFormula("I_d = I / 2", source.CircuitLaws, "I_d [A] mean current of one leg",
		"I [A] direct current out of the bank")
	diodeMeanDbl = ledger.MustFormula("I_d = 1.0 * I", source.CircuitLaws, "I_d [A] mean current of one leg of the doubler",
		"I [A] direct current out of the bank")
	reverseSingle = ledger.MustFormula("V_r = V_h", source.CircuitLaws, "V_r [V] peak reverse voltage of one leg",
		"V_h [V] filter voltage without load, highest mains")
	reverseDouble = ledger.MustFormula("V_r = 2 * V_h", source.CircuitLaws, "V_r [V] peak reverse voltage of one leg",
		"V_h [V] filter voltage without load, highest mains")
	reverseEach = ledger.MustFormula("V_1 = 1.2 * V_r / N", source.CommonPractice,
		"V_1 [V] peak reverse voltage of the worst diode, a fifth above its share", "V_r [V] peak reverse voltage of one leg",
		"N [] diodes in series")

	shareLong = ledger.MustFormula("V_1 = V_h * 1.05 / (1.05 + 0.95 * (N - 1))", source.CircuitLaws,
		"V_1 [V] worst capacitor in the long run: its resistor 5 % high, all others 5 % low",
		"V_h [V] filter voltage without load, highest mains", "N [] capacitors in series")
	shareEven = ledger.MustFormula("V_1 = V_h / N", source.CircuitLaws, "V_1 [V] even share of one part",
		"V_h [V] filter voltage without load, highest mains", "N [] parts in series")
	shareQuick = ledger.MustFormula("V_1 = V_h * (1 + t) / (1 + t + (N - 1) * (1 - t))", source.CircuitLaws,
		"V_1 [V] worst capacitor just after switching on, before the resistors have shared",
		"V_h [V] filter voltage without load, highest mains", "t [%] tolerance of the capacitance", "N [] capacitors in series")
	energy = ledger.MustFormula("E = C * pow(V_0, 2) / 2", source.CircuitLaws, "E [J] stored energy", "C [F] filter bank",
		"V_0 [V] filter voltage without load")
	resistorP = ledger.MustFormula("P = pow(V_1, 2) / R_1", source.CircuitLaws, "P [W] heat in one resistor",
		"V_1 [V] voltage across it", "R_1 [Ω] its resistance")
	bankHeat = ledger.MustFormula("P_b = pow(V_0, 2) / R_b", source.CircuitLaws, "P_b [W] heat of all bleeders without load",
		"V_0 [V] filter voltage without load", "R_b [Ω] bleeders")

	impedance = ledger.MustFormula("Z_k = u_k * V_s / I_r", source.CircuitLaws,
		"Z_k [Ω] impedance with the primary shorted, seen at the secondary", "u_k [%] short-circuit voltage",
		"V_s [V] secondary without load, rms", "I_r [A] rated winding current, rms")
	leakageOf = ledger.MustFormula("L_s = sqrt(pow(Z_k, 2) - pow(R_w, 2)) / (2 * π * f)", source.CircuitLaws,
		"L_s [H] leakage inductance at the secondary", "Z_k [Ω] short-circuit impedance", "R_w [Ω] both windings",
		"f [Hz] mains frequency")
	critical = ledger.MustFormula("L_c = R / (6 * π * f)", source.CriticalInductance, "L_c [H] critical inductance",
		"R [Ω] load at the filter", "f [Hz] mains frequency")
	loadAt = ledger.MustFormula("R = V / (I_p + V / R_b)", source.CircuitLaws, "R [Ω] load at the filter", "V [V] filter voltage",
		"I_p [A] plate current, all tubes", "R_b [Ω] bleeders")
	meanOfSine = ledger.MustFormula("V_m = 2 * sqrt(2) / π * V_s", source.CircuitLaws, "V_m [V] mean of the rectified sine",
		"V_s [V] secondary without load, rms; each half for a centre tap")
	chokeOutput = ledger.MustFormula("V = V_m - I * (R_s + R_c)", source.CriticalInductance,
		"V [V] filter voltage above the critical load", "V_m [V] mean of the rectified sine", "I [A] direct current out of the bank",
		"R_s [Ω] source resistance", "R_c [Ω] choke")
	chokeRipple = ledger.MustFormula("V_pp = V / (3 * pow(2 * π * f, 2) * L * C)", source.CriticalInductance,
		"V_pp [V] ripple, peak to peak, second harmonic only", "V [V] filter voltage", "f [Hz] mains frequency", "L [H] choke",
		"C [F] filter bank")
	chokeHeat = ledger.MustFormula("P = pow(I, 2) * R_c", source.CircuitLaws, "P [W] heat in the choke's winding",
		"I [A] its current, rms", "R_c [Ω] its resistance")
	ringing = ledger.MustFormula("f_0 = 1 / (2 * π * sqrt(L * C))", source.CircuitLaws, "f_0 [Hz] resonance of choke and bank",
		"L [H] choke", "C [F] filter bank")
	squareWave = ledger.MustFormula("I_s = 1.0 * I", source.CircuitLaws,
		"I_s [A] winding current of a bridge with an endless choke: a square wave, rms", "I [A] direct current out of the bank")
	squareHalf = ledger.MustFormula("I_s = I / sqrt(2)", source.CircuitLaws,
		"I_s [A] current of each half with an endless choke: on for half the time, rms", "I [A] direct current out of the bank")

	humSide = ledger.MustFormula("h = 20 * log10(S * V_pp / (4 * V))", source.HumSidebands,
		"h [dB] either hum sideband, twice the mains frequency beside the signal, relative to it",
		"S [] change of the output's amplitude with the plate voltage, relative to relative", "V_pp [V] ripple, peak to peak",
		"V [V] filter voltage")
	humAtMost = ledger.MustFormula("h = 20 * log10(V_pp / (4 * V))", source.HumSidebands,
		"h [dB] either hum sideband if the output followed the plate voltage in full", "V_pp [V] ripple, peak to peak",
		"V [V] filter voltage")

	equaliser = ledger.MustFormula("R_e = (N * V_1 - V_r) / ((N - 1) * ΔI)", source.CircuitLaws,
		"R_e [Ω] greatest equaliser across each diode", "N [] diodes in series", "V_1 [V] rated reverse voltage of one",
		"V_r [V] peak reverse voltage of the leg", "ΔI [A] difference of their reverse currents, hot")
	headroom = ledger.MustFormula("k = N * V_1 / V_r", source.CircuitLaws, "k [] ratings of a leg over its peak reverse voltage",
		"N [] diodes in series", "V_1 [V] rated reverse voltage of one", "V_r [V] peak reverse voltage of the leg")
	coreRise = ledger.MustFormula("ΔT = ΔT_r * pow(I / I_r, 2)", source.CommonPractice, "ΔT [K] core over case",
		"ΔT_r [K] the same at the rated ripple current", "I [A] ripple current, rms", "I_r [A] rated ripple current, rms")
	coreHeat = ledger.MustFormula("T = T_c + ΔT", source.CommonPractice, "T [°C] core of the capacitor",
		"T_c [°C] air about the capacitors", "ΔT [K] core over case")
	lifeRule = ledger.MustFormula("k = pow(2, (T_r - T) / ΔT_2)", source.CommonPractice,
		"k [] life over rated life: twice for every ten degrees less", "T_r [°C] rated temperature", "T [°C] core of the capacitor",
		"ΔT_2 [K] step that doubles the life")

	loopOhms = ledger.MustFormula("R = R_g + N * R_1", source.CircuitLaws, "R [Ω] loop of the flash-over", "R_g [Ω] glitch resistor",
		"N [] filter capacitors in series", "R_1 [Ω] equivalent series resistance of one")
	loopDecay = ledger.MustFormula("τ = R * C", source.CircuitLaws, "τ [s] time constant of the discharge into a flash-over",
		"R [Ω] loop", "C [F] filter bank")
	followOn = ledger.MustFormula("I_k = V_s / sqrt(pow(R_s + R_g, 2) + pow(2 * π * f * L_s, 2))", source.CircuitLaws,
		"I_k [A] secondary current while the short lasts, rms", "V_s [V] secondary without load, rms", "R_s [Ω] source resistance",
		"R_g [Ω] glitch resistor", "f [Hz] mains frequency", "L_s [H] leakage inductance")
	followDC = ledger.MustFormula("I_k = V_m / (R_s + R_c + R_g)", source.CircuitLaws,
		"I_k [A] direct current while the short lasts, reached slowly through the choke", "V_m [V] mean of the rectified sine",
		"R_s [Ω] source resistance", "R_c [Ω] choke", "R_g [Ω] glitch resistor")

	surgeDirect = ledger.MustFormula("I_max = sqrt(2) * V_s / R_s", source.CircuitLaws,
		"I_max [A] secondary current if switched on at the crest, bank empty", "V_s [V] secondary without load, rms",
		"R_s [Ω] source resistance")
	surgeChoke = ledger.MustFormula("I_max = V_m * sqrt(C / L)", source.SeriesCircuit,
		"I_max [A] current at switch-on, bank empty, at most: choke and bank ring, nothing damping them",
		"V_m [V] mean of the rectified sine", "C [F] filter bank", "L [H] choke")
	closingChoke = ledger.MustFormula("I_c = abs(V_m - x * V_0) * sqrt(C / L) + V_m / (6 * π * f * L)", source.SeriesCircuit,
		"I_c [A] current when the contactor closes, at most: the ring of choke and bank, and the ripple on it",
		"V_m [V] mean of the rectified sine", "V_0 [V] filter voltage without load", "x [%] how far the bank has charged by then",
		"C [F] filter bank", "L [H] choke", "f [Hz] mains frequency")
	reflected = ledger.MustFormula("R_r = R_4 * pow(n, 2)", source.CircuitLaws, "R_r [Ω] step-start resistor seen at the secondary",
		"R_4 [Ω] step-start resistor in the primary", "n [] turns ratio")
	surgeStep = ledger.MustFormula("I_max = sqrt(2) * V_s / (R_s + R_r)", source.CircuitLaws,
		"I_max [A] secondary current if switched on at the crest through the step-start resistor",
		"V_s [V] secondary without load, rms", "R_s [Ω] source resistance", "R_r [Ω] step-start resistor seen at the secondary")
	closing = ledger.MustFormula("I_c = sqrt(2) * V_s * (1 - x) / R_s", source.CircuitLaws,
		"I_c [A] secondary current when the contactor closes at the crest", "V_s [V] secondary without load, rms",
		"x [%] how far the bank has charged by then", "R_s [Ω] source resistance")
	onHighSurge = ledger.MustFormula("I_h = I_max * (1 + t)", source.CircuitLaws, "I_h [A] surge on the highest mains",
		"I_max [A] surge on the nominal mains", "t [%] spread of the mains")
	shortStep = ledger.MustFormula("I_k = V_m * (1 + t) / (R_4 + R_s / pow(n, 2))", source.CircuitLaws,
		"I_k [A] mains current into a shorted supply through the step-start resistor, rms", "V_m [V] mains voltage",
		"t [%] its spread", "R_4 [Ω] step-start resistor", "R_s [Ω] source resistance, at the secondary", "n [] turns ratio")
	shortShut = ledger.MustFormula("I_k = V_m * (1 + t) / (R_s / pow(n, 2))", source.CircuitLaws,
		"I_k [A] mains current into a shorted supply past the step-start resistor, rms", "V_m [V] mains voltage", "t [%] its spread",
		"R_s [Ω] source resistance, at the secondary", "n [] turns ratio")
	shortHeat = ledger.MustFormula("P_k = pow(I_k, 2) * R_4", source.CircuitLaws, "P_k [W] heat in the step-start resistor",
		"I_k [A] mains current into a shorted supply, rms", "R_4 [Ω] step-start resistor")
	shortLasts = ledger.MustFormula("t_k = E_r / P_k", source.WirewoundOverload, "t_k [s] how long the step-start resistor lasts",
		"E_r [J] energy that it takes in one pulse", "P_k [W] its heat in a short")
	shortEnergy = ledger.MustFormula("E_k = P_k * t_7", source.CircuitLaws,
		"E_k [J] energy in the step-start resistor when the timeout opens the mains", "P_k [W] its heat in a short", "t_7 [s] timeout")
	fuseAction = ledger.MustFormula("W = pow(10 * I_n, 2) * t_10", source.TimeLagFuse,
		"W [A²s] least melting integral of a time-lag fuse", "I_n [A] rated current", "t_10 [s] shortest time at ten times that")
	fusedInrush = ledger.MustFormula("W_1 = W_s * pow(n, 2)", source.CircuitLaws,
		"W_1 [A²s] primary current squared, over the time of the switch-on", "W_s [A²s] the same at the secondary", "n [] turns ratio")
	releaseAt = ledger.MustFormula("I_b = sqrt(2) * k * I_n", source.MagneticRelease,
		"I_b [A] crest at which the breaker may open at once", "k [] least multiple of its rating, rms",
		"I_n [A] rating of the breaker")
	toPrimary = ledger.MustFormula("I_1 = I_s * n", source.CircuitLaws, "I_1 [A] primary current", "I_s [A] secondary current",
		"n [] turns ratio")
	toPrimaryCT = ledger.MustFormula("I_1 = I_12 * n", source.CircuitLaws, "I_1 [A] primary current",
		"I_12 [A] both halves together, seen at one, rms", "n [] turns ratio of each half")
	shortTime = ledger.MustFormula("E_r = 5 * P * t_5", source.WirewoundOverload,
		"E_r [J] energy that a wirewound resistor takes in one pulse", "P [W] rated power",
		"t_5 [s] how long five times rated power is allowed")
	inPhase = ledger.MustFormula("I_f = P_f / V_m", source.CircuitLaws,
		"I_f [A] mains current of the filament supply, a sine in phase with the voltage", "P_f [W] filament supply",
		"V_m [V] mains voltage")
	lostVolts = ledger.MustFormula("V_d = I * R_m", source.CircuitLaws, "V_d [V] lost in the wiring", "I [A] mains current, rms",
		"R_m [Ω] resistance of the mains circuit, both ways")
	lostWatts = ledger.MustFormula("P_d = I * I * R_m", source.CircuitLaws, "P_d [W] heat in the wiring", "I [A] mains current, rms",
		"R_m [Ω] resistance of the mains circuit, both ways")
	withFilament = ledger.MustFormula("I = sqrt(pow(I_1, 2) + pow(I_f, 2) + 2 * I_f * P_1 / V_m)", source.CircuitLaws,
		"I [A] mains current, rms; the filament current adds to the fundamental of the pulses only", "I_1 [A] plate transformer, rms",
		"I_f [A] filament supply, rms", "P_1 [W] power into the plate transformer", "V_m [V] mains voltage")
	factor = ledger.MustFormula("λ = P_1 / (V_m * I_1)", source.CircuitLaws, "λ [] power factor",
		"P_1 [W] power into the plate transformer", "V_m [V] mains voltage", "I_1 [A] its current, rms")
	otherMains = ledger.MustFormula("I_2 = I * V_m / V_2", source.CircuitLaws,
		"I_2 [A] mains current of the same supply on the other voltage", "I [A] mains current", "V_m [V] mains voltage",
		"V_2 [V] the other mains voltage")
	continuous = ledger.MustFormula("I_c = 1.25 * I", source.ContinuousLoad,
		"I_c [A] rating of conductors and breaker for a load of three hours and more", "I [A] mains current at full output")
)
