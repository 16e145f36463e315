package network

import (
	"math"
	"math/cmplx"
)

// Reflection is the reflection coefficient of impedance z [Ω] on a line of
// impedance z0 [Ω].
func Reflection(z complex128, z0 float64) complex128 {
	if cmplx.IsInf(z) {
		return 1
	}
	return (z - complex(z0, 0)) / (z + complex(z0, 0))
}

// SWR of impedance z [Ω] on a line of impedance z0 [Ω]: ≥ 1, infinite for a
// load that takes no power.
func SWR(z complex128, z0 float64) float64 {
	rho := cmplx.Abs(Reflection(z, z0))
	if rho >= 1 {
		return math.Inf(1)
	}
	return (1 + rho) / (1 - rho)
}

// ReflectionOfSWR is the magnitude of the reflection coefficient for an SWR
// ≥ 1: ρ = (s − 1)/(s + 1).
func ReflectionOfSWR(swr float64) float64 { return (swr - 1) / (swr + 1) }

// ReturnLoss of an SWR > 1: −20·log ρ [dB].
func ReturnLoss(swr float64) float64 { return -20 * math.Log10(ReflectionOfSWR(swr)) }

// ReflectedPower is the share of the forward power that comes back at an SWR
// ≥ 1: ρ², 0 to 1.
func ReflectedPower(swr float64) float64 { return math.Pow(ReflectionOfSWR(swr), 2) }

// MismatchLoss of an SWR ≥ 1: −10·log(1 − ρ²) [dB].
func MismatchLoss(swr float64) float64 { return -10 * math.Log10(1-ReflectedPower(swr)) }

// PeakVoltage is the peak voltage [V] of power p [W] in resistance r [Ω]:
// √(2·P·R).
func PeakVoltage(p, r float64) float64 { return math.Sqrt(2 * p * r) }

// ResonantProduct is the product of inductance and capacitance [H·F] that
// resonates at frequency [Hz]: 1/ω².
func ResonantProduct(frequency float64) float64 {
	omega := 2 * math.Pi * frequency
	return 1 / (omega * omega)
}
