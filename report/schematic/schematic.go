// Package schematic draws the circuit diagram of a grounded-grid linear
// amplifier as three sheets of inline SVG: the radio-frequency deck, the
// high-voltage supply with its metering, and control with protection. It
// assumes that the parts are already chosen: it computes nothing and knows
// neither the spec nor the stages.
//
// The layout is made from the data. Symbols follow the forms of IEC 60617
// (rectangular resistor, half-circle inductor, frame symbol for the chassis).
// Contacts are drawn at rest: mains off, receive, covers on, no air.
package schematic

// Part is one component as it is printed beside its symbol.
type Part struct {
	Designator string // such as "C1"; printed as a link to "#part-C1"
	Value      string // such as "250 pF 7.5 kV"; wrapped to two short lines, may be empty
}

// Amplifier is the whole circuit. Pointers and slices that are nil stand for
// parts that are not there; they are not drawn.
type Amplifier struct {
	Name string // printed in the title of each sheet
	// Rows says under which designator the parts list has a part: a drawn
	// "C7a" may stand in the row of "C7". A part that is not in it is printed
	// without a link. Nil: every part has a row of its own.
	Rows map[string]string

	Tubes   Tubes
	Drive   Part // drive connector
	Cathode Cathode
	Bias    Bias
	// Attenuator is the pi before the input network, from the exciter: across,
	// in series, across; nil: none.
	Attenuator *[3]Part
	Input      *InputNetwork // nil: the drive goes straight to the coupling capacitor
	PlateFeed  PlateFeed
	Tank       Tank
	Switching  *Switching // nil: no transmit–receive relays
	Supply     Supply
	Metering   Metering
	Control    Control
}

// Tubes are the paralleled tubes, from one to four.
type Tubes struct {
	Type           string       // such as "3-500Z"
	Designators    []string     // one each, such as "V1", "V2"
	DirectlyHeated bool         // true: the filament is the cathode
	Suppressors    []Suppressor // none, or one for each plate
}

// Suppressor is the parallel resistor and coil in one plate lead.
type Suppressor struct{ Resistor, Coil Part }

// Cathode is the drive coupling, the heating and the direct-current return.
type Cathode struct {
	Coupling    Part    // capacitor between the drive and the cathodes
	PinTie      *Part   // capacitor between the filament pins; directly heated tubes only
	Choke       Part    // bifilar filament choke, or the single cathode choke of indirectly heated tubes
	Bypass      [2]Part // from each cold filament or heater lead to the chassis
	ReturnPass  *Part   // from the cold end of the cathode choke to the chassis; indirectly heated tubes only
	Transformer Part    // filament or heater transformer
}

// BiasKind names the device that holds the cathodes above the return.
type BiasKind string

// The bias devices that can be drawn.
const (
	BiasNone        BiasKind = "none"
	BiasZener       BiasKind = "zener"
	BiasDiodeString BiasKind = "diode string"
	BiasTransistor  BiasKind = "transistor"
)

// Bias is the device in the cathode return, and the resistor that cuts the
// tubes off in receive.
type Bias struct {
	Kind         BiasKind
	Device       Part  // the zener diode, the string, or the transistor
	Reference    *Part // zener diode from collector to base; transistor only
	BaseResistor *Part // resistor from base to emitter; transistor only
	CutOff       *Part // resistor shorted by Switching.CutOffContact in transmit
}

// InputNetwork is one pi for each band between two decks of a switch.
type InputNetwork struct {
	Switch *Part // both decks; nil is allowed with a single band
	Bands  []InputBand
}

// InputBand is the pi of one band.
type InputBand struct {
	Band          string // such as "80m"
	In, Coil, Out Part   // In or Out without a designator is not there
}

// PlateFeed is the path of the plate voltage to the plates, and the blocking
// capacitor away from them.
type PlateFeed struct {
	Fuse         *Part // high-voltage fuse
	Glitch       *Part // resistor that limits the current of an arc
	Choke        Part
	SeriesChoke  *Part // between Choke and Bypass
	Bypass       *Part // at the cold end of Choke, or of SeriesChoke
	SecondChoke  *Part // behind Bypass
	SecondBypass *Part // at the cold end of SecondChoke; needs it
	Blocking     Part
}

// Tank is the output network. Exactly one of Taps and Roller describes how
// its inductance changes from band to band; neither means a fixed coil.
type Tank struct {
	Tune         Part
	TunePadding  []Padding
	HighBandCoil *Part // separate coil ahead of Coil
	Coil         Part
	Taps         *Taps
	Roller       bool // the coil is a roller inductor
	Load         Part
	LoadPadding  []Padding
	OutputCoil   *Part // the L of a pi-L
	SafetyChoke  *Part // from the output to the chassis
	Antenna      Part  // connector
}

// Padding is a fixed capacitor that a switch section adds.
type Padding struct {
	Switch, Capacitor Part
}

// Taps is the band switch on the tank coil. The last position leaves the
// whole coil in circuit.
type Taps struct {
	Switch Part
	Bands  []string // positions from the fewest turns to the most, two to ten
	// High is how many of the first positions tap Tank.HighBandCoil.
	High    int
	HighEnd bool // the last of these leaves the whole of that coil in circuit
}

// Switching is the transmit–receive change-over and its control circuit.
type Switching struct {
	InputContact  Part // change-over contact at the drive connector
	OutputContact Part // change-over contact at the antenna
	CutOffContact *Part
	Relays        []Relay // the coils, one to three, in the order in which they close
	Sequencer     *Part   // sees to that order; nil: all coils hang on the key line
	Supply        Part    // control supply
	Key           Part    // jack of the key line from the exciter
}

// Relay is a relay coil with the diode across it.
type Relay struct {
	Coil    Part
	Snubber *Part
	Zener   *Part // in series with Snubber; needs it
}

// RectifierKind names the rectifier circuit.
type RectifierKind string

// The rectifier circuits that can be drawn.
const (
	Bridge    RectifierKind = "bridge"
	CentreTap RectifierKind = "centre-tap"
	Doubler   RectifierKind = "doubler"
)

// Supply is the high-voltage supply from the plate transformer to the filter.
type Supply struct {
	Transformer Part
	Rectifier   RectifierKind
	Diodes      []Part // the arms: four for the bridge, two otherwise
	Choke       *Part  // between rectifier and filter; none with capacitor input
	Capacitors  []Part // in series from positive to negative; an even number for the doubler
	Equalizers  []Part // none, or one across each capacitor
	Bleeder     *Part  // across the whole filter
}

// Control is the mains side of the amplifier with all that switches and guards
// it: from the plug to the primaries, and the chain that the key line runs
// through.
type Control struct {
	Plug       Part
	Fuse       *Part // in the live conductor
	SecondFuse *Part // in the second conductor, where both are live
	Switch     Part  // two-pole mains switch
	Blower     *Blower
	Air        *Part  // switch closed by the air: heaters and chain of the contactor
	WarmUp     *Part  // timer that runs while the heaters are on
	Interlock  *Part  // cover switch of two poles: in the primary, and in the chain of Contactor
	Contactor  Part   // two-pole contactor of the plate transformer's primary
	Start      Part   // button that pulls Contactor in, which then holds itself
	Thermal    []Part // further contacts in the chain of Contactor that open it
	StepStart  *StepStart
	GridTrip   *Part // opens the key line
	PlateTrip  *Part // opens the key line and the chain of Contactor
}

// Blower is the motor and what keeps it on.
type Blower struct {
	Motor    Part
	AfterRun *Part // timer that keeps the motor on after the mains switch opens
}

// StepStart is the surge resistor, the contactor that shorts it, and the timer
// that gives up if that does not happen.
type StepStart struct {
	Resistor, Contactor Part
	Timeout             *Part
}

// Metering is the voltmeter and the meters in the negative lead.
type Metering struct {
	Multiplier   []Part // resistors in series with the voltmeter, none when there is no voltmeter
	Voltmeter    *Part
	Foot         *Part // resistor from the foot of the multiplier to the chassis
	MeterShunt   *Part // resistor across the movement of the voltmeter
	PlateShunt   Part
	PlateMeter   Part
	PlateClamps  *Part // anti-parallel diodes across PlateShunt
	GridShunt    Part
	GridMeter    Part
	GridClamps   *Part   // anti-parallel diodes across GridShunt
	RailResistor Part    // from the negative rail to the chassis
	RailClamps   [2]Part // anti-parallel diodes from the negative rail to the chassis
}

// Sheet is one drawing. SVG is complete and fit for placing inline in a page:
// no size of its own, all strokes and text in currentColor. Parts are the
// designators that stand on it; the contacts of a part whose own symbol stands
// on another sheet are not among them.
type Sheet struct {
	Name, Title, SVG string
	Width, Height    float64  // in units of which the lettering is LetterSize high
	Parts            []string // sorted
}

// LetterSize is the size of all lettering in units of the drawing.
const LetterSize = textSize
