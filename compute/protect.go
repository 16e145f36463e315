package compute

import (
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/compute/stage/bringup"
	"anodebook/compute/stage/clearance"
	"anodebook/compute/stage/metering"
)

// protect runs the stages that only gather what the others found: clearances
// and the bring-up.
func (d *Design) protect(k *desk.Desk, bands []string) (err error) {
	radio := k.Get("tank." + bands[0] + ".tune_voltage_peak_swr")
	for _, b := range bands[1:] {
		if q := k.Get("tank." + b + ".tune_voltage_peak_swr"); q.Value > radio.Value {
			radio = q
		}
	}
	get := func(id string) *ledger.Quantity { return k.Get(id) }
	d.Clearance, err = clearance.Solve(k, clearance.Input{
		Highest: get("supply.highest_voltage"), HighMains: get("supply.high_mains_voltage"), RadioPeak: radio,
		Reverse: get("supply.diode_reverse_voltage"),
		Antenna: get("switching.antenna_voltage_peak"), MainsVoltage: get("supply.mains_voltage"),
		MainsTolerance: get("supply.mains_tolerance"),
		CathodeOpen:    get("bias.open_voltage"), CathodeDrive: d.Operating.DriveVoltage, Rail: get("metering.rail_voltage_unclamped"),
		Altitude: get("cooling.altitude"),
	})
	if err != nil {
		return err
	}
	p := &d.Spec.Protection
	d.Interlocks = metering.Protect(k, metering.Guard{
		GridTrip: d.Trips.GridTrip, PlateTrip: d.Trips.PlateTrip, ForcedAir: d.Cooling.Needed, AfterRun: d.Cooling.AfterRun,
		WarmUp: d.Type.Heater.WarmUp.Value, StepTime: d.Supply.StepTime, StepThreshold: d.Supply.StepThreshold,
		StepTimeout: d.Supply.StepTimeout,
		MainsFuse:   !p.MainsFuse.Fitted.Denied(), Covers: !p.Interlock.Fitted.Denied(),
		TransmitDelay: d.Switching.TransmitDelay, Glitch: get("plate_feed.glitch_resistance").Value > 0,
		Fuse: !p.HVFuse.Fitted.Denied(), SafetyChoke: !d.Spec.PlateFeed.Safety.Fitted.Denied(),
		Clamps:       !d.Spec.Metering.Clamps.Fitted.Denied(),
		FaultCurrent: d.PlateFeed.FaultCurrent,
	})
	idle, _ := d.Type.WorstError("idle current")
	grid, _ := d.Type.WorstError("grid current")
	maybe := func(id string) *ledger.Quantity { // of a part that may not be fitted
		q, _ := k.Lookup(id)
		return q
	}
	lower := func(id string, stop *ledger.Quantity) *ledger.Quantity { // a trip set too high is set right before it is proved
		q := maybe(id)
		if q != nil && stop.Value < q.Value {
			return stop
		}
		return q
	}
	tolerance := d.Supply.Plan.Tolerance
	d.BringUp, err = bringup.Solve(k, bringup.Input{
		IdleLowMains: d.idleOn(1 - tolerance), IdleHighMains: d.idleOn(1 + tolerance),
		GridTuneUp: maybe("protection.grid_tune_up"), PlateTuneUp: maybe("protection.plate_tune_up"),
		Bleeders: maybe("supply.bleeder_resistance"), HalfOneOpen: maybe("supply.half_time_one_bleeder_open"),
		VoltageScale:  get("metering.voltage_scale"),
		CapacitorEach: get("supply.capacitor_each"), CapacitorCount: get("supply.capacitor_count"),
		CapacitorRating: d.Supply.Plan.CapacitorRating,
		GridTrip:        lower("protection.grid_trip", d.Trips.GridStop), PlateTrip: lower("protection.plate_trip", d.Trips.PlateStop),
		Multiplier: get("metering.multiplier_resistance"),
		PlateShunt: get("metering.plate_shunt"), GridShunt: get("metering.grid_shunt"), Rail: get("metering.rail_resistor"),
		NoLoad: get("supply.no_load_voltage"), Highest: get("supply.highest_voltage"), Idle: get("supply.idle_voltage"),
		MainsTolerance: get("supply.mains_tolerance"), MeterError: get("metering.voltmeter_error"),
		CapacitorTolerance: get("supply.capacitor_tolerance"),
		Capacitance:        get("supply.filter_capacitance"), TimeConstant: get("supply.discharge_time_constant"),
		TimeWorst: get("supply.time_to_60v_worst"), Low: get("supply.low_voltage"),
		IdleCurrent: d.Operating.IdleCurrent, PlateCurrent: d.Operating.PlateCurrent, GridCurrent: d.Operating.GridCurrent,
		GridScale: get("metering.grid_scale"), MovementError: get("metering.movement_error"),
		HeaterVoltage: get("filament.rated_voltage"), HeaterAllowed: get("filament.allowed_deviation"), ModelIdleError: idle,
		ModelCurrentError: grid,
	})
	return err
}

// idleOn is the idle current of all tubes [A] on a mains voltage over the
// nominal one [1]; where the supply then gives none, that on the nominal mains.
func (d *Design) idleOn(mains float64) float64 {
	o, p := &d.Operating, d.Supply.Plan
	at, err := tube.IdleOn(o.Model, o.BiasVoltage.Value, float64(o.N), mains*o.Idle.PlateVoltage,
		func(current float64) (float64, error) {
			r, err := p.State(current, mains)
			return r.Voltage - current*p.Glitch, err
		})
	if err != nil {
		return o.IdleCurrent.Value
	}
	return float64(o.N) * at.PlateCurrent()
}
