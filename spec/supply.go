package spec

// Supply is the high-voltage supply.
type Supply struct {
	PlateVoltage Quantity    `key:"plate_voltage" required:"" unit:"V" min:"400 V" max:"8 kV" because:"glass and ceramic tubes of this class run at 700 to 6000 V" doc:"plate voltage at full output (loaded), plate to ground"`
	Rectifier    Choice      `key:"rectifier" oneof:"bridge centre-tap doubler choke-input choke-input-centre-tap" default:"bridge" why:"common practice: one winding, four diode strings" doc:"rectifier circuit; with choke input a bridge feeds the choke, or the two halves of a centre-tapped winding do"`
	Transformer  Transformer `key:"transformer"`
	Choke        Choke       `key:"choke"`
	Capacitors   FilterBank  `key:"capacitors"`
	Bleeders     Bleeders    `key:"bleeders"`
	Diodes       Diodes      `key:"diodes"`
	StepStart    StepStart   `key:"step_start"`
	Mains        Mains       `key:"mains"`
}

// Transformer is the plate transformer.
type Transformer struct {
	Voltage             Quantity `key:"voltage" unit:"V" min:"100 V" max:"8 kV" because:"plate transformers of this class" doc:"secondary voltage without load, rms; each half for a centre tap"`
	PrimaryVoltage      Quantity `key:"primary_voltage" unit:"V" min:"90 V" max:"500 V" because:"mains voltages" doc:"primary voltage at which the secondary voltage holds"`
	PrimaryResistance   Quantity `key:"primary_resistance" unit:"ohm" min:"1 mohm" max:"50 ohm" because:"measured with an ohmmeter" doc:"resistance of the primary"`
	SecondaryResistance Quantity `key:"secondary_resistance" unit:"ohm" min:"0.1 ohm" max:"2 kohm" because:"measured with an ohmmeter" doc:"resistance of the secondary; each half for a centre tap"`
	Regulation          Quantity `key:"regulation" unit:"%" min:"0.5 %" max:"25 %" because:"drop of the secondary from no load to the rated resistive load" doc:"regulation into a resistive load at rated power, where no resistances are known"`
	Power               Quantity `key:"power" unit:"VA" min:"50 VA" max:"20 kVA" because:"plate transformers of this class" doc:"rated power, continuous"`
	Leakage             Quantity `key:"leakage_inductance" unit:"H" min:"10 uH" max:"5 H" because:"leakage of plate transformers, seen at the secondary" doc:"leakage inductance, measured at the secondary with the primary shorted; each half for a centre tap"`
	ShortCircuit        Quantity `key:"short_circuit_voltage" unit:"%" min:"0.5 %" max:"30 %" because:"share of the rated primary voltage that drives the rated current into a shorted secondary" doc:"short-circuit voltage at rated power, where the leakage inductance is not known"`
}

// Choke is the input choke of the filter.
type Choke struct {
	Inductance       Quantity `key:"inductance" unit:"H" min:"50 mH" max:"200 H" because:"filter chokes" doc:"inductance; of a swinging choke at a tenth of its rated current"`
	LoadedInductance Quantity `key:"loaded_inductance" unit:"H" min:"50 mH" max:"200 H" because:"filter chokes" doc:"inductance of a swinging choke at its rated current"`
	Resistance       Quantity `key:"resistance" unit:"ohm" min:"0.1 ohm" max:"2 kohm" because:"measured with an ohmmeter" doc:"resistance of the winding"`
	Current          Quantity `key:"current" unit:"A" min:"20 mA" max:"10 A" because:"filter chokes" doc:"rated direct current"`
	Voltage          Quantity `key:"voltage" unit:"V" min:"500 V" max:"30 kV" because:"insulation of filter chokes" doc:"insulation of the winding to its core, peak"`
}

// FilterBank is the filter capacitor.
type FilterBank struct {
	Capacitance Quantity `key:"capacitance" unit:"F" min:"1 uF" max:"5 mF" because:"electrolytics or oil capacitors" doc:"capacitance of one capacitor"`
	Count       Count    `key:"count" min:"1" max:"24" because:"capacitors in series" doc:"capacitors in series (doubler: in each half)"`
	Voltage     Quantity `key:"voltage" unit:"V" min:"100 V" max:"10 kV" because:"electrolytics up to 500 V, oil capacitors to some kilovolts" doc:"rated direct voltage of one capacitor"`
	Tolerance   Quantity `key:"tolerance" unit:"%" min:"0 %" max:"50 %" because:"electrolytics" default:"20 %" why:"the usual tolerance of electrolytics" doc:"tolerance of the capacitance"`
	Ripple      Quantity `key:"ripple_current" unit:"A" min:"10 mA" max:"50 A" because:"data sheet of the capacitor" doc:"rated ripple current, rms"`
	Resistance  Quantity `key:"series_resistance" unit:"ohm" min:"1 mohm" max:"50 ohm" because:"equivalent series resistance of filter capacitors" doc:"equivalent series resistance of one capacitor"`
	Wiring      Quantity `key:"wiring_inductance" unit:"H" min:"50 nH" max:"1 mH" because:"loops of wire" default:"2 uH" why:"common practice: about 1 µH for each metre of wire" doc:"inductance of the loop from the bank through glitch resistor, tubes and chassis"`
	Life        Quantity `key:"life" unit:"s" min:"500 h" max:"100000 h" because:"rated life of filter capacitors" default:"2000 h" why:"from memory: the usual electrolytic" doc:"rated life at the rated temperature and ripple current"`
	Temperature Quantity `key:"temperature" unit:"°C" min:"55 °C" max:"130 °C" because:"rated temperature of filter capacitors" default:"85 °C" why:"from memory: the usual electrolytic" doc:"temperature at which the rated life holds"`
}

// Bleeders are the resistors across the filter capacitors.
type Bleeders struct {
	Fitted     Flag     `key:"fitted" doc:"false: there are no bleeders"`
	Resistance Quantity `key:"resistance" unit:"ohm" min:"1 kohm" max:"10 Mohm" because:"bleeders across one capacitor each, or across the whole bank" doc:"resistance of one bleeder"`
	Count      Count    `key:"count" min:"1" max:"24" because:"one across each capacitor, or strings across the bank" doc:"bleeders in series (one across each capacitor); a single one lies across the bank"`
	Power      Quantity `key:"power" unit:"W" min:"0.25 W" max:"500 W" because:"power resistors" doc:"rated power of one bleeder"`
	Voltage    Quantity `key:"voltage" unit:"V" min:"100 V" max:"10 kV" because:"limiting voltage of the resistor" doc:"limiting voltage of one bleeder"`
}

// Diodes are the rectifier diodes of one leg.
type Diodes struct {
	Voltage Quantity `key:"voltage" unit:"V" min:"50 V" max:"30 kV" because:"repetitive peak reverse voltage" default:"1000 V" why:"the common rectifier diode" doc:"repetitive peak reverse voltage of one diode"`
	Count   Count    `key:"count" min:"1" max:"40" because:"diodes in series in one leg" doc:"diodes in series in one leg"`
	Current Quantity `key:"current" unit:"A" min:"0.1 A" max:"100 A" because:"average forward current" default:"3 A" why:"the common 3 A diode" doc:"average forward current of one diode"`
	Surge   Quantity `key:"surge_current" unit:"A" min:"5 A" max:"2 kA" because:"non-repetitive, one half cycle" default:"200 A" why:"data sheet figure of the common 3 A diode, from memory" doc:"surge current for one half cycle"`
}

// StepStart limits the current at switch-on.
type StepStart struct {
	Fitted     Flag     `key:"fitted" doc:"false: there is no step start, the contactor closes on the full mains"`
	Resistance Quantity `key:"resistance" unit:"ohm" min:"0.5 ohm" max:"500 ohm" because:"in the primary" doc:"resistor in the primary"`
	Time       Quantity `key:"time" unit:"s" min:"50 ms" max:"20 s" because:"until the contactor shorts it" doc:"time until the resistor is shorted"`
	Power      Quantity `key:"power" unit:"W" min:"1 W" max:"1 kW" because:"power resistors" doc:"rated power of the resistor"`
	Timeout    Quantity `key:"timeout" unit:"s" min:"0.2 s" max:"60 s" because:"longer than the step start, shorter than the resistor lasts" doc:"time after which the step start gives up and opens the mains, where the contactor waits for voltage"`
}

// Mains is the wall outlet.
type Mains struct {
	Voltage    Quantity `key:"voltage" unit:"V" min:"90 V" max:"500 V" because:"single-phase mains" default:"240 V" why:"common practice: an amplifier of this size belongs on a 240 V circuit" doc:"mains voltage"`
	Frequency  Quantity `key:"frequency" unit:"Hz" min:"45 Hz" max:"65 Hz" because:"50 or 60 Hz" default:"60 Hz" why:"with the rule set; set 50 Hz where the mains is 50 Hz" doc:"mains frequency"`
	Tolerance  Quantity `key:"tolerance" unit:"%" min:"0 %" max:"20 %" because:"supply voltage spread" default:"5 %" why:"common practice for a domestic supply" doc:"spread of the mains voltage"`
	Resistance Quantity `key:"resistance" unit:"ohm" min:"0 ohm" max:"5 ohm" because:"wiring from the panel to the amplifier" default:"0.15 ohm" why:"common practice for a short branch circuit, both ways" doc:"resistance of the mains circuit"`
	Circuit    Quantity `key:"circuit" unit:"A" min:"5 A" max:"100 A" because:"rating of the branch circuit" doc:"rating of the branch circuit's breaker"`
	Cord       Quantity `key:"cord" unit:"A" min:"2 A" max:"125 A" because:"mains cords, plugs and inlets" doc:"rated current of cord, plug and inlet, the least of the three"`
}

// Metering is the instruments.
type Metering struct {
	PlateScale      Quantity `key:"plate_scale" unit:"A" min:"50 mA" max:"5 A" because:"plate currents of this class" doc:"full scale of the plate-current meter"`
	GridScale       Quantity `key:"grid_scale" unit:"A" min:"10 mA" max:"3 A" because:"grid currents of this class" doc:"full scale of the grid-current meter"`
	VoltageScale    Quantity `key:"voltage_scale" unit:"V" min:"500 V" max:"10 kV" because:"plate voltages of this class" doc:"full scale of the high-voltage meter"`
	Movement        Quantity `key:"movement" unit:"A" min:"20 uA" max:"10 mA" because:"panel meters" default:"1 mA" why:"common practice: a 1 mA panel meter" doc:"full-scale current of the meter movement"`
	Resistance      Quantity `key:"movement_resistance" unit:"ohm" min:"1 ohm" max:"10 kohm" because:"panel meters" default:"100 ohm" why:"common practice for a 1 mA movement" doc:"resistance of the meter movement"`
	MultiplierValue Quantity `key:"multiplier_resistor" unit:"ohm" min:"10 kohm" max:"100 Mohm" because:"the high-voltage meter is fed through a string" default:"1 Mohm" why:"common practice: a string of 1 MΩ resistors" doc:"value of one resistor of the high-voltage string"`
	MultiplierLimit Quantity `key:"multiplier_voltage" unit:"V" min:"100 V" max:"20 kV" because:"limiting voltage of a resistor" default:"500 V" why:"from memory: limiting voltage of a 2 W film resistor, IEC 60115 practice" doc:"limiting voltage of one resistor of the string"`
	MultiplierPower Quantity `key:"multiplier_power" unit:"W" min:"0.1 W" max:"50 W" because:"film resistors" default:"2 W" why:"common practice" doc:"rated power of one resistor of the string"`
	MultiplierCount Count    `key:"multiplier_count" min:"1" max:"100" because:"resistors in series" doc:"resistors of the string, in series"`
	Clamps          Clamps   `key:"clamps"`
}

// Clamps are the diodes across the shunts of the meters.
type Clamps struct {
	Fitted  Flag     `key:"fitted" doc:"false: there are no clamp diodes across the shunts"`
	Current Quantity `key:"current" unit:"A" min:"0.1 A" max:"100 A" because:"rectifier diodes" doc:"average forward current of one clamp diode"`
	Surge   Quantity `key:"surge_current" unit:"A" min:"5 A" max:"5 kA" because:"non-repetitive, one half cycle" doc:"surge current of one clamp diode for one half cycle"`
}

// Protection is what trips, blows or interrupts.
type Protection struct {
	GridTrip  GridTrip  `key:"grid_trip" plain:"current" doc:"grid current that trips the amplifier, all tubes, or a table of it"`
	PlateTrip PlateTrip `key:"plate_trip" plain:"current" doc:"plate current that trips the amplifier, all tubes, or a table of it"`
	HVFuse    HVFuse    `key:"hv_fuse" plain:"current" doc:"rated current of the high-voltage fuse, or a table of it"`
	MainsFuse MainsFuse `key:"mains_fuse" plain:"current" doc:"rated current of the mains fuses, or a table of them"`
	Interlock Interlock `key:"interlock"`
}

// GridTrip opens the key line on too much grid current.
type GridTrip struct {
	Fitted  Flag     `key:"fitted" doc:"false: there is no grid-current trip"`
	Current Quantity `key:"current" unit:"A" min:"5 mA" max:"30 A" because:"grid currents of this class" doc:"grid current that trips the amplifier, all tubes"`
}

// PlateTrip opens the primary on too much plate current.
type PlateTrip struct {
	Fitted  Flag     `key:"fitted" doc:"false: there is no plate-current trip"`
	Current Quantity `key:"current" unit:"A" min:"50 mA" max:"30 A" because:"plate currents of this class" doc:"plate current that trips the amplifier, all tubes"`
}

// HVFuse is the fuse in the plate lead.
type HVFuse struct {
	Fitted  Flag     `key:"fitted" doc:"false: there is no high-voltage fuse"`
	Current Quantity `key:"current" unit:"A" min:"0.1 A" max:"10 A" because:"fuses in the plate lead" doc:"rated current of the high-voltage fuse"`
	Voltage Quantity `key:"voltage" unit:"V" min:"100 V" max:"30 kV" because:"high-voltage fuses" doc:"rated direct voltage of the high-voltage fuse"`
	Melting Quantity `key:"melting_integral" unit:"A²s" min:"0.01 A²s" max:"1000 A²s" because:"data sheet of the fuse" doc:"I²t at which the high-voltage fuse melts"`
}

// MainsFuse is the fuse in each hot mains lead.
type MainsFuse struct {
	Fitted  Flag     `key:"fitted" doc:"false: there are no mains fuses in the amplifier"`
	Current Quantity `key:"current" unit:"A" min:"0.5 A" max:"125 A" because:"mains fuses" doc:"rated current of the mains fuses"`
}

// Interlock is the switch that opens the mains when a cover comes off.
type Interlock struct {
	Fitted Flag `key:"fitted" doc:"false: there is no interlock switch at the covers"`
}

// Cooling is the air.
type Cooling struct {
	Blower   Blower   `key:"blower"`
	Airflow  Quantity `key:"airflow" unit:"m3/s" min:"1 CFM" max:"1000 CFM" because:"blowers of amplifiers" doc:"air that the blower gives at the pressure below, by its data sheet"`
	Pressure Quantity `key:"pressure" unit:"Pa" min:"0 Pa" max:"2 kPa" because:"blowers of amplifiers" doc:"back pressure at which the blower gives that air, by its data sheet at sea level"`
	Altitude Quantity `key:"altitude" unit:"m" min:"-430 m" max:"5500 m" because:"where people live" default:"300 m" why:"most stations stand low" doc:"height of the station above sea level"`
	Inlet    Quantity `key:"inlet" unit:"°C" min:"-20 °C" max:"60 °C" because:"air in a room" default:"30 °C" why:"a warm room" doc:"temperature of the air at the inlet"`
	AfterRun Quantity `key:"after_run" unit:"s" min:"10 s" max:"1 h" because:"minutes" default:"3 min" why:"common practice: three minutes after voice, longer after data or tuning" doc:"how long the blower runs on after switch-off"`
	Rise     Quantity `key:"rise" unit:"K" min:"5 K" max:"120 K" because:"air through a tube" default:"50 K" why:"common practice" doc:"rise of the air's temperature where the type has no published airflow"`
}

// Blower is the fan that the cooling keys describe: airflow and pressure are one
// point of its curve, what stands here are its ends.
type Blower struct {
	Fitted      Flag     `key:"fitted" doc:"false: there is no blower"`
	FreeAirflow Quantity `key:"free_airflow" unit:"m3/s" min:"1 CFM" max:"2000 CFM" because:"blowers of amplifiers" doc:"air that the blower moves with nothing in its way, by its data sheet"`
	ShutOff     Quantity `key:"shut_off_pressure" unit:"Pa" min:"1 Pa" max:"5 kPa" because:"blowers of amplifiers" doc:"pressure that the blower makes with its outlet closed, by its data sheet"`
}

// Station is what is beyond the antenna connector.
type Station struct {
	Gain          Quantity `key:"antenna_gain" unit:"dBi" min:"-10 dBi" max:"20 dBi" because:"HF antennas" default:"2.2 dBi" why:"a half-wave dipole, rounded up" doc:"antenna gain over isotropic in the main direction"`
	FeedLoss      Quantity `key:"feed_loss" unit:"dB" min:"0 dB" max:"20 dB" because:"feed lines" default:"0 dB" why:"the cautious choice: no power is lost on the way" doc:"loss of the feed line"`
	TransmitShare Quantity `key:"transmit_share" unit:"%" min:"1 %" max:"100 %" because:"share of the averaging time" default:"50 %" why:"common practice: half the averaging time in a contact, where no over can outlast it" doc:"share of the averaging time, 6 or 30 minutes by the rule, in which the station transmits"`
	LongestOver   Quantity `key:"longest_over" unit:"s" min:"10 s" max:"24 h" because:"one transmission without a break" default:"10 min" why:"common practice: a long over ends where the station must identify itself" doc:"longest transmission without a break; where it fills the averaging time, all of that time counts as transmitted"`
	Distance      Quantity `key:"distance" unit:"m" min:"0.1 m" max:"1 km" because:"from the antenna" doc:"distance of the nearest place where people can be, from the antenna"`
}

// Margins are the builder's own required factors, rating over stress.
type Margins struct {
	Voltage Ratio `key:"voltage" min:"1" max:"5" because:"rating over stress" default:"1.25" why:"common practice" doc:"rated voltage over the highest voltage"`
	Current Ratio `key:"current" min:"1" max:"5" because:"rating over stress" default:"1.25" why:"common practice" doc:"rated current over the highest current"`
	Power   Ratio `key:"power" min:"1" max:"10" because:"rating over stress" default:"2" why:"common practice: resistors run at half their rating last" doc:"rated power over the highest power"`
	Air     Ratio `key:"air" min:"1" max:"5" because:"rating over stress" default:"1.2" why:"common practice: dust and a tired blower" doc:"blower's air over the air needed"`
}

// Note is text of the builder's own in a section of the report.
type Note struct {
	Text Text `key:"text" doc:"plain Markdown, placed in the section that the table is named after"`
}
