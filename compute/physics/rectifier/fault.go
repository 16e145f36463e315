package rectifier

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Fault is a charged filter bank that discharges into a short, such as a tube
// that flashes over: capacitance, resistance and the loop's inductance in
// series. The rectifier adds nothing in the first millisecond, in which it is
// over: its source resistance is many times that of this loop.
type Fault struct {
	Voltage     float64 // of the bank when the short begins [V], > 0
	Capacitance float64 // of the bank [F], > 0
	Bank        float64 // equivalent series resistance of the bank [Ω], >= 0
	Glitch      float64 // glitch resistor [Ω], >= 0
	Inductance  float64 // of the loop [H], > 0
	Arc         float64 // voltage that the arc keeps, taken as constant [V], 0 to below Voltage
}

// FaultRun is what Fault.Run returns.
type FaultRun struct {
	Peak         float64 // largest current [A]
	PeakTime     float64 // its instant [s]
	End          float64 // when the current ends: its first zero, or when 1e-6 of the peak is left [s]
	Action       float64 // ∫ i² dt [A²s]
	GlitchEnergy float64 // heat in the glitch resistor [J]
	BankEnergy   float64 // heat in the bank itself [J]
	ArcEnergy    float64 // heat in the arc [J]
	Left         float64 // voltage left on the bank; negative if the loop rings once [V]

	fault Fault
	p, q  complex128 // roots of the loop [1/s]
}

// Validate reports the first quantity that is out of its range.
func (f Fault) Validate() error {
	if !(f.Voltage > 0) || !(f.Capacitance > 0) || !(f.Inductance > 0) || !(f.Bank >= 0) || !(f.Glitch >= 0) || !(f.Arc >= 0) ||
		f.Arc >= f.Voltage ||
		math.IsInf(f.Voltage+f.Capacitance+f.Inductance+f.Bank+f.Glitch, 0) {
		return fmt.Errorf("rectifier: a fault needs positive voltage, capacitance and inductance, resistances that are not negative "+
			"and an arc below the voltage, not %+v", f)
	}
	return nil
}

// resistance returns that of the loop [Ω].
func (f Fault) resistance() float64 { return f.Bank + f.Glitch }

// Run solves the discharge in closed form (any circuit text: the series RLC
// circuit), overdamped or ringing; the arc goes out at the first zero of the
// current. It returns the error of Validate.
func (f Fault) Run() (FaultRun, error) {
	if err := f.Validate(); err != nil {
		return FaultRun{}, err
	}
	r, l, c := f.resistance(), f.Inductance, f.Capacitance
	a := r / (2 * l)
	root := cmplx.Sqrt(complex(a*a-1/(l*c), 0))
	run := FaultRun{fault: f, p: complex(-a, 0) + root, q: complex(-a, 0) - root}
	if real(root) > 0 { // without cancellation
		run.p = complex(1/(l*c), 0) / run.q
	}
	drive := f.Voltage - f.Arc
	switch {
	case imag(root) != 0:
		w := imag(root)
		run.PeakTime = math.Atan2(w, a) / w
		run.End = math.Pi / w
	case real(root) > 1e-9*a:
		p, q := real(run.p), real(run.q)
		run.PeakTime = math.Log(q/p) / (p - q)
		run.End = run.PeakTime + 14/-p
	default:
		run.PeakTime = 1 / a
		run.End = 20 / a
	}
	run.Peak = run.Current(run.PeakTime)
	run.Left = run.Voltage(run.End)
	// What the capacitor has lost is in the resistances and the arc, which
	// takes its voltage times the charge that went through.
	charge := c * (f.Voltage - run.Left)
	heat := c/2*(f.Voltage*f.Voltage-run.Left*run.Left) - f.Arc*charge
	run.ArcEnergy = f.Arc * charge
	if r > 0 {
		run.Action = heat / r
	} else { // half a period of a lossless ring: ½·Î²·T/2
		run.Action = drive * drive * c / l * run.End / 2
	}
	run.GlitchEnergy, run.BankEnergy = run.Action*f.Glitch, run.Action*f.Bank
	return run, nil
}

// Current returns the current [A] at a time after the short began [s], 0
// before it and after the current's end.
func (r FaultRun) Current(t float64) float64 {
	if t <= 0 || r.End > 0 && t > r.End*(1+1e-12) {
		return 0
	}
	l := r.fault.Inductance
	drive := (r.fault.Voltage - r.fault.Arc) / l
	if cmplx.Abs(r.p-r.q) < 1e-7*cmplx.Abs(r.p+r.q) {
		return drive * t * math.Exp(real(r.p+r.q)/2*t)
	}
	return drive * real((cmplx.Exp(r.p*complex(t, 0))-cmplx.Exp(r.q*complex(t, 0)))/(r.p-r.q))
}

// Voltage returns the bank's voltage [V] at a time after the short began [s].
func (r FaultRun) Voltage(t float64) float64 {
	f := r.fault
	if t <= 0 {
		return f.Voltage
	}
	if r.End > 0 {
		t = math.Min(t, r.End)
	}
	drive := f.Voltage - f.Arc
	if cmplx.Abs(r.p-r.q) < 1e-7*cmplx.Abs(r.p+r.q) {
		a := -real(r.p+r.q) / 2
		return f.Arc + drive*(1+a*t)*math.Exp(-a*t)
	}
	// v - arc = drive·(p·exp(q·t) - q·exp(p·t))/(p - q)
	return f.Arc + drive*real((r.p*cmplx.Exp(r.q*complex(t, 0))-r.q*cmplx.Exp(r.p*complex(t, 0)))/(r.p-r.q))
}
