// Package spec reads a builder's description of an amplifier: one TOML file
// whose quantities are strings with units. It knows no physics: it knows what
// may be written, in which units, within which bounds, and what is assumed
// where nothing is written.
//
// The struct tags are the one description of the format:
//
//	key      the TOML key
//	unit     a unit of the quantity's kind (any unit of that kind is accepted)
//	min,max  the bounds of what is plausible; because says why
//	default  what is assumed when the key is absent; why gives the reason
//	oneof    the words that may be written
//	doc      what the key means, for schema, help and error messages
//	required must be written
package spec

// Spec is a whole spec file.
type Spec struct {
	File        string       // name as the user gave it
	Assumptions []Assumption // defaults that were filled in, in the order of the tables

	Schema     Count               `key:"schema" min:"1" max:"1" default:"1" why:"the only version of the format so far" doc:"version of the spec format"`
	Notebook   Notebook            `key:"notebook"`
	Target     Target              `key:"target"`
	Tubes      Tubes               `key:"tubes"`
	Bias       Bias                `key:"bias"`
	Input      Input               `key:"input"`
	Filament   Filament            `key:"filament"`
	PlateFeed  PlateFeed           `key:"plate_feed"`
	Suppressor Suppressor          `key:"suppressor"`
	Tank       Tank                `key:"tank"`
	Switching  Switching           `key:"switching"`
	Supply     Supply              `key:"supply"`
	Metering   Metering            `key:"metering"`
	Protection Protection          `key:"protection"`
	Cooling    Cooling             `key:"cooling"`
	Station    Station             `key:"station"`
	Clearance  Clearance           `key:"clearance"`
	Margins    Margins             `key:"margins"`
	Prices     map[string]Ratio    `key:"prices" min:"0" max:"100000" doc:"price of one piece by designator, in the builder's own currency"`
	Reading    map[string]Reading  `key:"reading" doc:"measured values to hold against the computed ones"`
	Survey     map[string]Survey   `key:"survey" doc:"what was found of each group of parts, the work on it and its cost"`
	Measured   map[string]Measured `key:"measured" doc:"networks measured with an analyser, laid over the computed ones"`
	Study      map[string]Study    `key:"study" doc:"sweeps, tolerance runs and worst cases for anodebook study"`
	Note       map[string]Note     `key:"note" oneof:"safety tubes bias input filament plate_feed suppressor tank switching supply metering cooling exposure clearance tune_up bring_up measured readings survey" doc:"the builder's own words, placed in the section named"`
	Photo      map[string]Photo    `key:"photo" doc:"photographs, each at the end of a section"`
}

// Assumption is a default that stands because the spec says nothing.
type Assumption struct{ Key, Value, Reason string }

// Notebook is the title page.
type Notebook struct {
	Title    Text   `key:"title" doc:"title of the notebook"`
	Builder  Text   `key:"builder" doc:"who builds or writes"`
	Place    Text   `key:"place" doc:"where"`
	Date     Text   `key:"date" doc:"date to print on the title page, in the builder's own words"`
	Story    Text   `key:"story" doc:"how it came about; plain Markdown, printed first"`
	Currency Text   `key:"currency" doc:"word or letters that stand behind prices and costs, such as EUR"`
	Purpose  Choice `key:"purpose" oneof:"plan restoration review" default:"plan" why:"a new build is the usual case" doc:"what the notebook is for"`
	Lengths  Choice `key:"lengths" oneof:"metric inch" default:"metric" why:"SI is the common ground; inch gives AWG and inches" doc:"units of lengths and wire"`
	Rules    Choice `key:"rules" oneof:"@rules" default:"us" why:"the published rules with the most figures; the licence decides" doc:"rule set for bands, power, harmonics and exposure"`
}

// Target is what the amplifier must do.
type Target struct {
	Output         Quantity `key:"output" required:"target.plate_current target.drive" unit:"W" min:"20 W" max:"5 kW" because:"two tubes of this class give some tens of watts to a few kilowatts" doc:"peak envelope power at the antenna connector; or else write target.plate_current or target.drive"`
	PlateCurrent   Quantity `key:"plate_current" unit:"A" min:"20 mA" max:"5 A" because:"two tubes of this class draw some tens of milliamperes to a few amperes" doc:"instead of output: plate current at full drive, all tubes; output and drive follow"`
	Drive          Quantity `key:"drive" unit:"W" min:"0.5 W" max:"500 W" because:"the cathodes of two tubes of this class take some watts to a few hundred" doc:"instead of output: drive power at the cathodes; output and plate current follow"`
	Distortion     Quantity `key:"distortion" unit:"dB" min:"-60 dB" max:"-10 dB" because:"third-order products of such amplifiers lie between -25 and -45 dB below one tone" doc:"third-order product wanted with two tones, below one tone, such as -33 dB"`
	Bands          Words    `key:"bands" required:"" oneof:"160m 80m 60m 40m 30m 20m 17m 15m 12m 10m" doc:"bands to cover"`
	DriveAvailable Quantity `key:"drive_available" unit:"W" min:"1 W" max:"1 kW" because:"exciters give a few watts to a few hundred" default:"100 W" why:"common practice: the usual transceiver gives 100 W" doc:"power that the exciter can give"`
	SWR            Ratio    `key:"swr" min:"1" max:"10" because:"an SWR is at least 1; above 10 no relay or tank is built for it" default:"2" why:"common practice: an antenna without a tuner is seldom worse where it is used" doc:"greatest SWR at the antenna connector that every part must stand"`
	Duty           Choice   `key:"duty" oneof:"voice cw data" default:"voice" why:"the most common use; data is the hardest" doc:"kind of transmission that sets the average heat"`
}

// Tubes names the tubes.
type Tubes struct {
	Type       Choice   `key:"type" required:"" oneof:"@tubes" doc:"trade designation of the tube"`
	Count      Count    `key:"count" min:"1" max:"4" because:"the notebook is made for two, and honest from one to four in parallel" default:"2" why:"two tubes in parallel are what the notebook is for" doc:"tubes in parallel"`
	PlateFloor Quantity `key:"plate_floor" unit:"V" min:"50 V" max:"3 kV" because:"below some tens of volts the grid takes the current" doc:"lowest plate voltage in the cycle, plate to ground, at full output"`
	Mismatch   Quantity `key:"mismatch" unit:"%" min:"0 %" max:"60 %" because:"beyond that one tube is worn out" default:"10 %" why:"common practice: tubes from one batch differ by about as much" doc:"difference of the two tubes' perveance, for the current share"`
	Perveance  Ratio    `key:"perveance" min:"0.3" max:"1.3" because:"worn-out tubes have half of it left, strong ones a tenth more" doc:"perveance of the tubes at hand over that of the type: 0.9 passes 10 % less current at the same voltages"`

	Custom CustomTube `key:"custom"`
}

// Bias is the cathode bias.
type Bias struct {
	Voltage     Quantity `key:"voltage" unit:"V" min:"0 V" max:"150 V" because:"positive volts on the cathode, grid at ground" doc:"cathode bias, positive on the cathode; 0 V for zero-bias tubes"`
	IdleCurrent Quantity `key:"idle_current" unit:"A" min:"1 mA" max:"2 A" because:"for all tubes together" doc:"idle plate current wanted, all tubes; the bias voltage follows"`
	Device      Choice   `key:"device" oneof:"none zener diodes transistor" doc:"what makes the bias voltage"`
	Power       Quantity `key:"power" unit:"W" min:"0.1 W" max:"1 kW" because:"rating of a power zener or transistor on its heat sink" doc:"power that the bias device may dissipate"`
	Cutoff      Quantity `key:"cutoff_resistor" unit:"ohm" min:"100 ohm" max:"1 Mohm" because:"it only has to bias the tubes off" default:"10 kohm" why:"common practice: a few kilohms to 50 kΩ bias the tubes off on receive" doc:"cathode resistor that biases the tubes off on receive"`
}

// Input is the matching between the exciter and the cathodes.
type Input struct {
	LoadedQ        Ratio                `key:"loaded_q" min:"0.5" max:"6" because:"the cathode circuit wants a Q of 1 to 3" default:"2" why:"common practice: enough flywheel for the half-cycle of grid current, still broad" doc:"loaded Q of the input pi, seen from the cathodes"`
	CoilQ          Ratio                `key:"coil_q" min:"10" max:"600" because:"slug-tuned coils reach 50 to 150" default:"80" why:"common practice for slug-tuned coils" doc:"unloaded Q of the input coils"`
	Stray          Quantity             `key:"stray_capacitance" unit:"F" min:"0 pF" max:"200 pF" because:"wiring and sockets" default:"10 pF" why:"common practice: sockets, choke and wiring at the cathodes" doc:"stray capacitance at the cathodes"`
	Tolerance      Quantity             `key:"capacitor_tolerance" unit:"%" min:"0.1 %" max:"20 %" because:"silver mica comes as 1, 2 or 5 %" default:"5 %" why:"the common grade of silver mica" doc:"tolerance of the input capacitors"`
	Series         Choice               `key:"series" oneof:"E6 E12 E24" default:"E24" why:"5 % silver mica comes in E24 values" doc:"series of preferred values for the input capacitors"`
	Voltage        Quantity             `key:"capacitor_voltage" unit:"V" min:"50 V" max:"10 kV" because:"rating of a silver mica capacitor" doc:"voltage rating of the input capacitors"`
	CableLength    Quantity             `key:"cable_length" unit:"m" min:"0 m" max:"5 m" because:"the networks stand inside the cabinet" doc:"cable between the input networks and the sockets"`
	CableImpedance Quantity             `key:"cable_impedance" unit:"ohm" min:"20 ohm" max:"150 ohm" because:"coaxial cable" doc:"impedance of that cable"`
	CableVelocity  Ratio                `key:"cable_velocity" min:"0.5" max:"0.95" because:"solid to air-spaced dielectric" doc:"velocity of the wave on that cable over that of light"`
	Attenuator     Quantity             `key:"attenuator" unit:"dB" min:"0 dB" max:"20 dB" because:"more would waste a whole exciter" doc:"attenuator between exciter and input"`
	Band           map[string]InputBand `key:"band" oneof:"@bands"`
}

// InputBand holds the builder's own parts of one band's input network.
type InputBand struct {
	ShuntIn    Quantity `key:"shunt_in" unit:"F" min:"1 pF" max:"20 nF" because:"values of input networks from 160 to 10 m" doc:"capacitor on the 50 Ω side"`
	ShuntOut   Quantity `key:"shunt_out" unit:"F" min:"1 pF" max:"20 nF" because:"values of input networks from 160 to 10 m" doc:"capacitor on the cathode side"`
	Inductance Range    `key:"coil" unit:"H" min:"10 nH" max:"100 uH" because:"values of input networks from 160 to 10 m" doc:"range of the slug-tuned coil"`
}

// Filament is heater supply and filament choke.
type Filament struct {
	TransformerVoltage Quantity      `key:"transformer_voltage" unit:"V" min:"1 V" max:"50 V" because:"filaments of this class take 5 to 26 V" doc:"secondary voltage under load"`
	TransformerCurrent Quantity      `key:"transformer_current" unit:"A" min:"0.1 A" max:"200 A" because:"filaments of this class take 1 to 60 A together" doc:"current rating of the filament transformer"`
	LeadResistance     Quantity      `key:"lead_resistance" unit:"ohm" min:"0 ohm" max:"0.1 ohm" because:"leads of a filament circuit are milliohms" default:"3 mohm" why:"common practice: sockets and a short pair of heavy leads" doc:"resistance of leads and sockets, both ways"`
	Choke              FilamentChoke `key:"choke"`
}

// FilamentChoke is the choke between transformer and cathodes, or the one that
// returns the cathode current of indirectly heated tubes.
type FilamentChoke struct {
	Core         Choice   `key:"core" oneof:"rod toroid" default:"rod" why:"common practice: the usual filament choke is wound on a rod" doc:"shape of the ferrite core"`
	Winding      Choice   `key:"winding" oneof:"single bifilar trifilar" doc:"wires in hand: bifilar for filaments, single for a cathode return, trifilar for heaters and cathode together or a cathode wire beside the filament pair"`
	Inductance   Quantity `key:"inductance" unit:"H" min:"1 uH" max:"1 mH" because:"filament chokes lie between 5 and 100 µH" doc:"measured inductance, all wires in parallel"`
	RodDiameter  Quantity `key:"rod_diameter" unit:"m" min:"5 mm" max:"50 mm" because:"ferrite rods" default:"0.5 in" why:"common practice: the usual rod" doc:"diameter of the ferrite rod"`
	RodLength    Quantity `key:"rod_length" unit:"m" min:"30 mm" max:"400 mm" because:"ferrite rods" default:"7.5 in" why:"common practice: the usual rod" doc:"length of the ferrite rod"`
	Permeability Ratio    `key:"permeability" min:"1" max:"5000" because:"ferrites for HF chokes have 60 to 1000" default:"125" why:"the common core material for HF" doc:"initial permeability of the core material"`
	Outer        Quantity `key:"outer_diameter" unit:"m" min:"20 mm" max:"150 mm" because:"ferrite rings" default:"2.4 in" why:"common practice: the usual large ring" doc:"outer diameter of the ferrite ring"`
	Inner        Quantity `key:"inner_diameter" unit:"m" min:"8 mm" max:"120 mm" because:"ferrite rings" default:"1.4 in" why:"common practice: the usual large ring" doc:"inner diameter of the ferrite ring"`
	Height       Quantity `key:"height" unit:"m" min:"3 mm" max:"60 mm" because:"ferrite rings" default:"0.5 in" why:"common practice: the usual large ring" doc:"height of one ferrite ring"`
	Cores        Count    `key:"cores" min:"1" max:"6" because:"rings on one another" default:"1" why:"one is enough where it holds the winding" doc:"ferrite rings on one another"`
	Turns        Ratio    `key:"turns" min:"3" max:"100" because:"what a rod or ring can hold" doc:"turns of each wire"`
	Wire         Quantity `key:"wire_diameter" unit:"m" min:"0.5 mm" max:"8 mm" because:"winding wire of a filament choke" doc:"diameter of the bare wire"`
}

// PlateFeed is the way of the high voltage to the plates.
type PlateFeed struct {
	Choke    PlateChoke      `key:"choke"`
	Second   SecondChoke     `key:"second_choke"`
	Bypass   BypassCapacitor `key:"bypass"`
	Blocking FixedCapacitor  `key:"blocking"`
	Glitch   GlitchResistor  `key:"glitch_resistor"`
	Safety   SafetyChoke     `key:"safety_choke"`
}

// PlateChoke is the RF choke in the plate lead.
type PlateChoke struct {
	Inductance Quantity `key:"inductance" unit:"H" min:"5 uH" max:"5 mH" because:"HF plate chokes lie between 20 and 500 µH" doc:"inductance of the plate choke; with a second choke, of the first alone"`
	Form       Quantity `key:"form_diameter" unit:"m" min:"5 mm" max:"100 mm" because:"forms for plate chokes" default:"25 mm" why:"common practice: a one-inch form" doc:"diameter of the form"`
	Wire       Quantity `key:"wire_diameter" unit:"m" min:"0.1 mm" max:"3 mm" because:"winding wire of a plate choke" doc:"diameter of the bare wire"`
	Spaced     Quantity `key:"spaced_share" unit:"%" min:"1 %" max:"90 %" because:"of the turns, at the plate end" doc:"graded winding: share of the turns, at the plate end, that are wound apart"`
	Spacing    Ratio    `key:"spaced_pitch" min:"1.2" max:"10" because:"in diameters of the bare wire" doc:"graded winding: pitch of those turns over the diameter of the bare wire"`
	Current    Quantity `key:"current" unit:"A" min:"10 mA" max:"10 A" because:"plate currents of this class" doc:"rated direct current"`
	Voltage    Quantity `key:"voltage" unit:"V" min:"500 V" max:"30 kV" because:"plate voltages of this class" doc:"rated voltage across the winding, peak RF"`
}

// SecondChoke lies in series with the plate choke, at its cold end, away from
// it or at a right angle to it.
type SecondChoke struct {
	Inductance Quantity `key:"inductance" unit:"H" min:"1 uH" max:"5 mH" because:"HF plate chokes lie between 20 and 500 µH" doc:"inductance of a second choke in series at the cold end of the first"`
	Form       Quantity `key:"form_diameter" unit:"m" min:"5 mm" max:"100 mm" because:"forms for plate chokes" doc:"diameter of its form; that of the first unless written"`
	Wire       Quantity `key:"wire_diameter" unit:"m" min:"0.1 mm" max:"3 mm" because:"winding wire of a plate choke" doc:"diameter of its bare wire; that of the first unless written"`
}

// FixedCapacitor is a fixed capacitor, or several alike in parallel.
type FixedCapacitor struct {
	Capacitance Quantity `key:"capacitance" unit:"F" min:"5 pF" max:"1 uF" because:"blocking and bypass capacitors of HF amplifiers" doc:"capacitance of one piece"`
	Count       Count    `key:"count" min:"1" max:"10" because:"pieces in parallel" doc:"pieces in parallel"`
	Voltage     Quantity `key:"voltage" unit:"V" min:"100 V" max:"50 kV" because:"capacitors for plate circuits" doc:"rated voltage"`
	Current     Quantity `key:"current" unit:"A" min:"0.1 A" max:"200 A" because:"RF current ratings" doc:"rated RF current, rms, of one piece"`
}

// BypassCapacitor is the capacitor at the cold end of the plate choke, or
// several alike in parallel.
type BypassCapacitor struct {
	Fitted      Flag     `key:"fitted" doc:"false: there is no bypass capacitor at the cold end of the plate choke"`
	Capacitance Quantity `key:"capacitance" unit:"F" min:"5 pF" max:"1 uF" because:"blocking and bypass capacitors of HF amplifiers" doc:"capacitance of one piece"`
	Count       Count    `key:"count" min:"1" max:"10" because:"pieces in parallel" doc:"pieces in parallel"`
	Voltage     Quantity `key:"voltage" unit:"V" min:"100 V" max:"50 kV" because:"capacitors for plate circuits" doc:"rated voltage"`
	Current     Quantity `key:"current" unit:"A" min:"0.1 A" max:"200 A" because:"RF current ratings" doc:"rated RF current, rms, of one piece"`
}

// GlitchResistor lies in the plate lead and limits the current of an arc.
type GlitchResistor struct {
	Fitted     Flag     `key:"fitted" doc:"false: there is no resistor between bank and plates"`
	Resistance Quantity `key:"resistance" unit:"ohm" min:"0 ohm" max:"1 Mohm" because:"resistors in the plate supply" doc:"resistance"`
	Power      Quantity `key:"power" unit:"W" min:"0.1 W" max:"1 kW" because:"resistors in the plate supply" doc:"rated power"`
	Energy     Quantity `key:"energy" unit:"J" min:"0.1 J" max:"100 kJ" because:"pulse rating of a power resistor" doc:"rated energy of one pulse"`
	Voltage    Quantity `key:"voltage" unit:"V" min:"50 V" max:"100 kV" because:"resistors in the plate supply" doc:"rated voltage end to end, for one pulse"`
}

// SafetyChoke lies from the antenna connector to ground.
type SafetyChoke struct {
	Fitted     Flag     `key:"fitted" doc:"false: there is no choke from the antenna connector to ground"`
	Inductance Quantity `key:"inductance" unit:"H" min:"10 uH" max:"20 mH" because:"it must not load 50 Ω" doc:"choke from the antenna connector to ground"`
	Resistance Quantity `key:"resistance" unit:"ohm" min:"1 mohm" max:"1 kohm" because:"from a few turns of thick wire to a receiving choke" doc:"resistance of its wire, direct current"`
	Wire       Quantity `key:"wire_diameter" unit:"m" min:"0.05 mm" max:"5 mm" because:"winding wire" doc:"diameter of its bare wire"`
}

// Suppressor is the parasitic suppressor in each plate lead.
type Suppressor struct {
	Inductance     Quantity `key:"inductance" unit:"H" min:"5 nH" max:"2 uH" because:"a few turns" doc:"inductance of the suppressor coil"`
	Resistance     Quantity `key:"resistance" unit:"ohm" min:"5 ohm" max:"500 ohm" because:"parasitic suppressors use some tens of ohms" doc:"resistance across the coil"`
	Power          Quantity `key:"power" unit:"W" min:"0.5 W" max:"200 W" because:"non-inductive resistors" doc:"rated power of the resistor"`
	LeadInductance Quantity `key:"lead_inductance" unit:"H" min:"10 nH" max:"2 uH" because:"about 1 nH per millimetre of lead" default:"120 nH" why:"common practice: some 12 cm from plate cap to tune capacitor at about 1 nH per millimetre" doc:"inductance of the plate lead as far as the tune capacitor; or write suppressor.lead_length"`
	LeadLength     Quantity `key:"lead_length" unit:"m" min:"10 mm" max:"1 m" because:"from plate cap to tune capacitor" doc:"instead of lead_inductance: length of the plate lead as far as the tune capacitor"`
	LeadDiameter   Quantity `key:"lead_diameter" unit:"m" min:"0.5 mm" max:"20 mm" because:"a wire, or half the width of a strap" doc:"diameter of the plate lead; of a strap half its width"`
	GridInductance Quantity `key:"grid_inductance" unit:"H" min:"0.2 nH" max:"100 nH" because:"a ring of fingers to a single wire" doc:"inductance from the grid inside the tube to the chassis"`
}

// Switching is the transmit-receive relays.
type Switching struct {
	ContactCurrent Quantity `key:"contact_current" unit:"A" min:"0.5 A" max:"200 A" because:"relay contacts" doc:"RF current rating of the antenna relay"`
	ContactVoltage Quantity `key:"contact_voltage" unit:"V" min:"50 V" max:"30 kV" because:"relay contacts" doc:"withstand voltage across the open contacts, peak"`
	ExciterDelay   Quantity `key:"exciter_delay" unit:"s" min:"0 ms" max:"500 ms" because:"exciters wait 0 to 50 ms, or as long as they are told" doc:"time from the key line to the exciter's first radio frequency"`
	OperateTime    Quantity `key:"operate_time" unit:"s" min:"1 ms" max:"200 ms" because:"relays settle in 2 to 30 ms" default:"15 ms" why:"common practice: an open-frame relay settles within 15 ms; a vacuum relay in 6" doc:"time until the antenna relay has settled"`
	ReleaseTime    Quantity `key:"release_time" unit:"s" min:"1 ms" max:"200 ms" because:"relays release in 2 to 30 ms" default:"10 ms" why:"common practice, with a diode across the coil somewhat longer" doc:"time until the antenna relay has released"`
	CoilVoltage    Quantity `key:"coil_voltage" unit:"V" min:"3 V" max:"240 V" because:"relay coils" default:"24 V" why:"common practice" doc:"coil voltage"`
	CoilCurrent    Quantity `key:"coil_current" unit:"A" min:"5 mA" max:"2 A" because:"relay coils" default:"100 mA" why:"common practice" doc:"coil current"`
}
