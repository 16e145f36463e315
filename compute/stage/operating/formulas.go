package operating

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

// The formulas of the stage. Radio-frequency voltages and currents are peak
// values; currents and powers are those of all tubes together unless "each".
var (
	plateOutput = ledger.MustFormula("P_out = P_ant / η_tank", source.CircuitLaws,
		"P_out [W] power that the plates must deliver", "P_ant [W] peak envelope power at the antenna connector",
		"η_tank [] efficiency of the tank on its worst band")
	plateSwing = ledger.MustFormula("V_p1 = V_b - V_min", source.Terman,
		"V_p1 [V] plate voltage swing, peak", "V_b [V] plate voltage", "V_min [V] lowest plate voltage in the cycle, to ground")
	total = ledger.MustFormula("I = n * I_each", source.CircuitLaws,
		"I [A] current of all tubes", "n [] number of tubes", "I_each [A] current of one tube")
	plateLoad = ledger.MustFormula("R_p = V_p1 / I_p1", source.Terman,
		"R_p [Ω] plate load, all tubes in parallel", "V_p1 [V] plate voltage swing, peak",
		"I_p1 [A] fundamental plate current, peak, all tubes")
	outputCheck = ledger.MustFormula("P_out = V_p1 * I_p1 / 2", source.Terman,
		"P_out [W] power delivered by the plates", "V_p1 [V] plate voltage swing, peak",
		"I_p1 [A] fundamental plate current, peak, all tubes")
	drivePower = ledger.MustFormula("P_d = V_d * (I_p1 + I_g1) / 2", source.FedThrough,
		"P_d [W] drive power at the cathodes", "V_d [V] drive voltage, cathode to ground, peak",
		"I_p1 [A] fundamental plate current, peak, all tubes", "I_g1 [A] fundamental grid current, peak, all tubes")
	inputResistance = ledger.MustFormula("R_in = V_d / (I_p1 + I_g1)", source.FedThrough,
		"R_in [Ω] input resistance, all cathodes in parallel", "V_d [V] drive voltage, cathode to ground, peak",
		"I_p1 [A] fundamental plate current, peak, all tubes", "I_g1 [A] fundamental grid current, peak, all tubes")
	fedThrough = ledger.MustFormula("P_ft = V_d * I_p1 / 2", source.FedThrough,
		"P_ft [W] part of the drive that appears in the output", "V_d [V] drive voltage, cathode to ground, peak",
		"I_p1 [A] fundamental plate current, peak, all tubes")
	cathodeSum = ledger.MustFormula("I_k = I_p + I_g", source.CircuitLaws,
		"I_k [A] cathode current, all tubes", "I_p [A] plate current, all tubes", "I_g [A] grid current, all tubes")
	plateInput = ledger.MustFormula("P_in = V_b * I_p", source.CircuitLaws,
		"P_in [W] direct-current input", "V_b [V] plate voltage", "I_p [A] plate current, all tubes")
	efficiency = ledger.MustFormula("η = P_out / P_in", source.CircuitLaws,
		"η [%] plate efficiency, fed-through drive included", "P_out [W] power delivered by the plates",
		"P_in [W] direct-current input")
	biasHeat = ledger.MustFormula("P_k = V_k * I_k", source.CircuitLaws,
		"P_k [W] heat in the bias device", "V_k [V] cathode bias", "I_k [A] cathode current, all tubes")
	dissipationByBalance = ledger.MustFormula("P_pe = (P_in + P_d - P_out - P_g - P_k) / n", source.CircuitLaws,
		"P_pe [W] plate dissipation of each tube", "P_in [W] direct-current input", "P_d [W] drive power at the cathodes",
		"P_out [W] power delivered by the plates", "P_g [W] grid dissipation, all tubes", "P_k [W] heat in the bias device",
		"n [] number of tubes")
	loadFactor = ledger.MustFormula("k = V_b / (R_p * I_p)", source.LoadRule,
		"k [] load factor: about 1.5 to 1.7 in class AB, 1.57 to 2 in class B", "V_b [V] plate voltage",
		"R_p [Ω] plate load, all tubes in parallel", "I_p [A] plate current, all tubes")
	powerGain = ledger.MustFormula("G = 10 * log10(P_out / P_d)", source.CircuitLaws,
		"G [dB] power gain of the tubes", "P_out [W] power delivered by the plates", "P_d [W] drive power at the cathodes")
	idleDissipation = ledger.MustFormula("P_ie = (V_i - V_k) * I_i / n", source.CircuitLaws,
		"P_ie [W] plate dissipation of each tube while idling", "V_i [V] plate voltage, tubes idling", "V_k [V] cathode bias",
		"I_i [A] idle plate current, all tubes", "n [] number of tubes")
	idleShareOf = ledger.MustFormula("z = I_i / I_p", source.CircuitLaws,
		"z [%] idle current over the plate current at full output", "I_i [A] idle plate current, all tubes",
		"I_p [A] plate current at full output, all tubes")
	antennaPower = ledger.MustFormula("P_ant = P_out * η_tank", source.CircuitLaws,
		"P_ant [W] peak envelope power at the antenna connector", "P_out [W] power delivered by the plates",
		"η_tank [] efficiency of the tank on its worst band")
	peakGrid = ledger.MustFormula("V_gp = V_d - V_k", source.Terman,
		"V_gp [V] highest grid-to-cathode voltage", "V_d [V] drive voltage, cathode to ground, peak", "V_k [V] cathode bias")
)
