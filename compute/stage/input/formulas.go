package input

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

// The design of the pi as formulas that a reader can redo, the same closed form
// as network.DesignInputPi, which the tests hold it against. The first set is
// for cathodes of 50 Ω or more, the second for less.
var (
	cathodeCapacitance = ledger.MustFormula("C_k = n * C_in + C_s", source.CircuitLaws,
		"C_k [F] capacitance at the cathodes", "n [] tubes", "C_in [F] input capacitance of one tube", "C_s [F] stray capacitance")

	highShuntOut = ledger.MustFormula("C_b = max(0 * C_k, Q / (2 * π * f * R_k) - C_k)", source.CircuitLaws,
		"C_b [F] capacitor on the cathode side, none where the cathodes themselves have more", "Q [] loaded Q", "f [Hz] frequency",
		"R_k [Ω] cathode resistance", "C_k [F] capacitance at the cathodes")
	highQ = ledger.MustFormula("Q_k = 2 * π * f * R_k * (C_b + C_k)", source.CircuitLaws,
		"Q_k [] loaded Q that results", "f [Hz] frequency", "R_k [Ω] cathode resistance", "C_b [F] capacitor on the cathode side",
		"C_k [F] capacitance at the cathodes")
	highSeries = ledger.MustFormula("R_2 = R_k / (1 + Q_k * Q_k)", source.CircuitLaws,
		"R_2 [Ω] cathode side as a series resistance", "R_k [Ω] cathode resistance", "Q_k [] loaded Q")
	// The coil's reactance solves a quadratic equation, a·X² − b·X + R_2·(R_k − R) = 0.
	highLoss = ledger.MustFormula("a = 1 + 1 / (Q_c * Q_c)", source.CircuitLaws,
		"a [] quadratic coefficient", "Q_c [] unloaded Q of the coil")
	highLinear = ledger.MustFormula("b = 2 * R_2 * Q_k + (R - 2 * R_2) / Q_c", source.CircuitLaws,
		"b [Ω] linear coefficient", "R_2 [Ω] cathode side as a series resistance", "Q_k [] loaded Q",
		"R [Ω] what the exciter wants to see", "Q_c [] unloaded Q of the coil")
	highReactance = ledger.MustFormula("X_L = (b + sqrt(pow(b, 2) - 4 * a * R_2 * (R_k - R))) / (2 * a)", source.CircuitLaws,
		"X_L [Ω] reactance of the coil", "b [Ω] linear coefficient", "a [] quadratic coefficient",
		"R_2 [Ω] cathode side as a series resistance", "R_k [Ω] cathode resistance", "R [Ω] what the exciter wants to see")
	highShuntIn = ledger.MustFormula("C_a = (X_L - Q_k * R_2) / (pow(R_2 + X_L / Q_c, 2) + pow(X_L - Q_k * R_2, 2)) / (2 * π * f)",
		source.CircuitLaws,
		"C_a [F] capacitor on the exciter's side", "X_L [Ω] reactance of the coil", "Q_k [] loaded Q",
		"R_2 [Ω] cathode side as a series resistance", "Q_c [] unloaded Q of the coil", "f [Hz] frequency")

	lowShuntIn = ledger.MustFormula("C_a = Q / (2 * π * f * R)", source.CircuitLaws,
		"C_a [F] capacitor on the exciter's side", "Q [] loaded Q", "f [Hz] frequency", "R [Ω] what the exciter wants to see")
	lowSeries = ledger.MustFormula("a = R / (1 + Q * Q) * (1 - Q / Q_c)", source.CircuitLaws,
		"a [Ω] exciter's side as a series resistance, less the loss of the coil's share", "R [Ω] what the exciter wants to see",
		"Q [] loaded Q", "Q_c [] unloaded Q of the coil")
	lowSideQ = ledger.MustFormula("x = (R_k / Q_c + sqrt(pow(R_k / Q_c, 2) + 4 * a * (R_k - a))) / (2 * a)", source.CircuitLaws,
		"x [] Q on the cathode side", "R_k [Ω] cathode resistance", "Q_c [] unloaded Q of the coil", "a [Ω] reduced series resistance")
	lowReactance = ledger.MustFormula("X_L = R * Q / (1 + Q * Q) + R_k * x / (1 + x * x)", source.CircuitLaws,
		"X_L [Ω] reactance of the coil", "R [Ω] what the exciter wants to see", "Q [] loaded Q", "R_k [Ω] cathode resistance",
		"x [] Q on the cathode side")
	lowShuntOut = ledger.MustFormula("C_b = x / (2 * π * f * R_k) - C_k", source.CircuitLaws,
		"C_b [F] capacitor on the cathode side", "x [] Q on the cathode side", "f [Hz] frequency", "R_k [Ω] cathode resistance",
		"C_k [F] capacitance at the cathodes")

	coilInductance = ledger.MustFormula("L = X_L / (2 * π * f)", source.CircuitLaws,
		"L [H] coil", "X_L [Ω] its reactance", "f [Hz] frequency")

	// By hand: the lossless pi from the higher to the lower resistance.
	handHigh = ledger.MustFormula("X_1 = R_1 / Q", source.PiFormulas,
		"X_1 [Ω] reactance of the capacitor across the higher resistance", "R_1 [Ω] the higher resistance", "Q [] loaded Q")
	handLow = ledger.MustFormula("X_2 = R_2 * sqrt(R_1 / R_2 / (Q * Q + 1 - R_1 / R_2))", source.PiFormulas,
		"X_2 [Ω] reactance of the capacitor across the lower resistance", "R_2 [Ω] the lower resistance",
		"R_1 [Ω] the higher resistance", "Q [] loaded Q")
	handCoil = ledger.MustFormula("X_L = (Q * R_1 + R_1 * R_2 / X_2) / (Q * Q + 1)", source.PiFormulas,
		"X_L [Ω] reactance of the coil", "Q [] loaded Q", "R_1 [Ω] the higher resistance", "R_2 [Ω] the lower resistance",
		"X_2 [Ω] reactance across the lower resistance")

	// What follows.
	unattenuated = ledger.MustFormula("P_0 = P_d / η", source.CircuitLaws,
		"P_0 [W] power into the network", "P_d [W] drive into the cathodes", "η [%] share that the network passes")
	exciterPower = ledger.MustFormula("P_e = P_0 * pow(10, A / 10)", source.CircuitLaws,
		"P_e [W] power that the exciter must give", "P_0 [W] power into the network", "A [dB] attenuator")
	padRatio = ledger.MustFormula("k = pow(10, A / 20)", source.CircuitLaws,
		"k [] voltage ratio of the attenuator", "A [dB] attenuator")
	padShunt = ledger.MustFormula("R_1 = R * (k + 1) / (k - 1)", source.CircuitLaws,
		"R_1 [Ω] resistors across both ends of the pi", "R [Ω] what the exciter wants to see", "k [] voltage ratio")
	padSeries = ledger.MustFormula("R_2 = R * (k * k - 1) / (2 * k)", source.CircuitLaws,
		"R_2 [Ω] resistor in series", "R [Ω] what the exciter wants to see", "k [] voltage ratio")
	padInputHeat = ledger.MustFormula("P_1 = P_a * R / R_1", source.CircuitLaws,
		"P_1 [W] heat in the resistor on the exciter's side", "P_a [W] power of the exciter", "R [Ω] what the exciter sees",
		"R_1 [Ω] the resistor")
	padSeriesHeat = ledger.MustFormula("P_2 = P_a * pow(1 - 1 / k, 2) * R / R_2", source.CircuitLaws,
		"P_2 [W] heat in the series resistor", "P_a [W] power of the exciter", "k [] voltage ratio", "R [Ω] what the exciter sees",
		"R_2 [Ω] the resistor")
	padOutputHeat = ledger.MustFormula("P_3 = P_a * R / (R_1 * k * k)", source.CircuitLaws,
		"P_3 [W] heat in the resistor on the network's side", "P_a [W] power of the exciter", "R [Ω] what the exciter sees",
		"R_1 [Ω] the resistor", "k [] voltage ratio")
	surplus = ledger.MustFormula("A = 10 * log10(P_a / P_e)", source.CircuitLaws,
		"A [dB] what the exciter can give beyond the need", "P_a [W] power of the exciter", "P_e [W] power needed")
	couplingLeast = ledger.MustFormula("C = 20 / (2 * π * f * R_k)", source.CommonPractice,
		"C [F] coupling capacitor whose reactance is a twentieth of the cathode resistance", "f [Hz] lowest frequency",
		"R_k [Ω] cathode resistance")
	couplingCurrent = ledger.MustFormula("I = sqrt(P_d / R_k)", source.CircuitLaws,
		"I [A] drive current into the cathodes, rms", "P_d [W] drive power", "R_k [Ω] cathode resistance")
	couplingVoltage = ledger.MustFormula("V = sqrt(2 * P_d * R_k) + V_b", source.CircuitLaws,
		"V [V] peak of drive and bias together, what a capacitor sees whose other side is grounded", "P_d [W] drive power",
		"R_k [Ω] cathode resistance", "V_b [V] bias")
)
