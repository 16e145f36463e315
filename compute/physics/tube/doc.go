// Package tube gives the static characteristic, the operating point and the
// published figures of transmitting triodes driven at the cathode with the
// grid at ground; grounded-grid tetrodes, triode connected, count as triodes.
//
// It assumes that the tank shorts every harmonic (the plate swing is one
// cosine), that the cathode drive is one cosine too, that transit time and
// lead inductance do not matter (HF), and that the cathode never saturates.
// Everything is per tube and in SI units; voltages and currents of radio
// frequency are peak values unless rms is said.
//
// Signs: the grid is the reference (ground). The bias is the DC voltage of the
// cathode above ground, so a positive bias makes the grid negative. At the
// angle θ of the drive
//
//	v_gk(θ) = V_d·cosθ − V_bias
//	v_p(θ)  = V_b − V_p1·cosθ          plate to ground
//	v_pk(θ) = v_p(θ) + v_gk(θ)         plate to cathode
package tube
