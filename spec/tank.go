package spec

// Tank is the output network.
type Tank struct {
	Network     Choice              `key:"network" oneof:"pi pi-L" default:"pi" why:"the simplest network that matches and filters" doc:"pi, or pi with an output coil"`
	LoadedQ     Ratio               `key:"loaded_q" min:"4" max:"40" because:"below 4 a pi cannot match, above 40 the coil burns" default:"12" why:"common practice: harmonics kept down without undue coil current" doc:"loaded Q, all capacitance at the plates over the load: ω·Rp·C"`
	CoilQ       Ratio               `key:"coil_q" min:"20" max:"1500" because:"air-wound coils reach 200 to 500" default:"300" why:"common practice for a bare air-wound coil in its cabinet; the bare-coil theory gives more" doc:"unloaded Q of the tank coil"`
	OutputCoilQ Ratio               `key:"output_coil_q" min:"20" max:"1500" because:"toroids and small coils reach 100 to 300" default:"200" why:"common practice for an output coil on a toroid or a small form" doc:"unloaded Q of the pi-L output coil"`
	Middle      Quantity            `key:"intermediate_resistance" unit:"ohm" min:"60 ohm" max:"2 kohm" because:"between the 50 Ω load and the plates" default:"300 ohm" why:"common practice in the published pi-L tables" doc:"resistance between pi and L section of a pi-L"`
	Stray       Quantity            `key:"stray_capacitance" unit:"F" min:"0 pF" max:"100 pF" because:"wiring, choke and plate connectors" default:"8 pF" why:"common practice: plate leads, choke and socket surroundings" doc:"stray capacitance at the plates"`
	Tune        VariableCapacitor   `key:"tune"`
	Load        VariableCapacitor   `key:"load"`
	Coil        TankCoil            `key:"coil"`
	HighCoil    HighCoil            `key:"high_coil"`
	OutputCoil  OutputCoil          `key:"output_coil"`
	Switch      BandSwitch          `key:"switch"`
	Band        map[string]TankBand `key:"band" oneof:"@bands"`
}

// VariableCapacitor is a variable capacitor with its padders.
type VariableCapacitor struct {
	Capacitance Range      `key:"range" unit:"F" min:"1 pF" max:"10 nF" because:"variable capacitors of HF tanks" doc:"lowest to highest capacitance, all sections together"`
	Voltage     Quantity   `key:"voltage" unit:"V" min:"100 V" max:"60 kV" because:"variable capacitors of HF tanks" doc:"rated peak voltage"`
	Current     Quantity   `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"variable capacitors of HF tanks" doc:"rated RF current, rms"`
	Spacing     Quantity   `key:"spacing" unit:"m" min:"0.2 mm" max:"20 mm" because:"air gap between neighbouring plates" doc:"air gap between neighbouring plates"`
	Sections    Count      `key:"sections" min:"1" max:"6" default:"1" why:"nothing is said of sections that could be switched off" doc:"equal sections that can be switched off one by one on the high bands; range holds for all of them"`
	Dielectric  Choice     `key:"dielectric" oneof:"air vacuum" default:"air" why:"the common kind; its voltage falls with the density of the air" doc:"air or vacuum"`
	Q           Ratio      `key:"q" min:"50" max:"100000" because:"air capacitors reach some thousands, vacuum capacitors more" default:"2000" why:"common practice for a clean air variable with its leads; vacuum capacitors are better" doc:"Q of the capacitor, 1/tan δ"`
	Law         Choice     `key:"law" oneof:"capacitance wavelength frequency" doc:"straight-line law of the plates: capacitance (half-round plates), wavelength (square law) or frequency"`
	Dial        Quantities `key:"dial" unit:"F" min:"1 pF" max:"10 nF" because:"variable capacitors of HF tanks" doc:"instead of law: capacitances measured at equal steps of the dial, from fully open to fully meshed"`
	Padders     Quantities `key:"padders" unit:"F" min:"1 pF" max:"10 nF" because:"fixed capacitors switched in parallel" doc:"fixed capacitors at hand to switch in parallel"`
}

// TankCoil is the tank coil.
type TankCoil struct {
	Kind            Choice   `key:"kind" oneof:"tapped roller" default:"tapped" why:"a tapped coil with a band switch is the common arrangement" doc:"tapped coil with band switch, or roller inductor"`
	Range           Range    `key:"range" unit:"H" min:"50 nH" max:"200 uH" because:"roller inductors of HF tanks" doc:"range of the roller inductor"`
	Form            Quantity `key:"diameter" unit:"m" min:"10 mm" max:"200 mm" because:"tank coils" default:"63 mm" why:"common practice: about two and a half inches" doc:"mean diameter of the coil, centre of the wire to centre"`
	Conductor       Quantity `key:"conductor" unit:"m" min:"0.5 mm" max:"15 mm" because:"wire or tubing of a tank coil" default:"4.76 mm" why:"common practice: tubing of 3/16 in for kilowatt tanks" doc:"diameter of wire or tubing; a gauge such as 10 AWG will do"`
	Wall            Quantity `key:"wall" unit:"m" min:"0.05 mm" max:"3 mm" because:"soft tubing" doc:"wall of the tubing; without it the conductor is solid, which makes no difference from five skin depths on"`
	RibbonWidth     Quantity `key:"ribbon_width" unit:"m" min:"1 mm" max:"40 mm" because:"ribbon of tank coils" doc:"width of a ribbon, instead of conductor"`
	RibbonThickness Quantity `key:"ribbon_thickness" unit:"m" min:"0.1 mm" max:"6 mm" because:"ribbon of tank coils" doc:"thickness of the ribbon"`
	Ribbon          Choice   `key:"ribbon" oneof:"flat edgewise" doc:"how the ribbon is wound: flat on the form, or standing on its edge"`
	Material        Choice   `key:"material" oneof:"copper silver-plated aluminium brass" default:"copper" why:"the common conductor" doc:"metal of the conductor; silver-plated means copper with 10 µm of silver"`
	Pitch           Quantity `key:"pitch" unit:"m" min:"0.6 mm" max:"50 mm" because:"from turn to turn" default:"9 mm" why:"common practice: about twice the conductor, so that taps can be clipped" doc:"distance from turn to turn, centre to centre"`
	Turns           Ratio    `key:"turns" min:"1" max:"200" because:"tank coils and roller inductors have 3 to 60" doc:"turns of a coil at hand, all of them"`
	Inductance      Quantity `key:"inductance" unit:"H" min:"50 nH" max:"200 uH" because:"coils of HF tanks" doc:"measured inductance of the whole coil"`
	Current         Quantity `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"roller inductors are sold with a current rating" doc:"rated RF current, rms"`
}

// HighCoil is a coil of its own for the high bands, between the plates and the
// tank coil; any of its keys brings it in.
type HighCoil struct {
	Form       Quantity `key:"diameter" unit:"m" min:"10 mm" max:"150 mm" because:"coils for the high bands" doc:"mean diameter of a separate coil for the high bands, in series between the plates and the tank coil"`
	Conductor  Quantity `key:"conductor" unit:"m" min:"0.5 mm" max:"15 mm" because:"tubing of a coil for the high bands" doc:"diameter of its wire or tubing"`
	Pitch      Quantity `key:"pitch" unit:"m" min:"0.6 mm" max:"50 mm" because:"from turn to turn" doc:"its distance from turn to turn, centre to centre"`
	Turns      Ratio    `key:"turns" min:"1" max:"40" because:"coils for the high bands have 2 to 10" doc:"its turns, where it is wound already"`
	Inductance Quantity `key:"inductance" unit:"H" min:"50 nH" max:"20 uH" because:"coils for the high bands" doc:"its inductance, measured or wanted"`
	Material   Choice   `key:"material" oneof:"copper silver-plated aluminium brass" doc:"metal of its conductor; that of the tank coil if not said"`
}

// OutputCoil is the coil of a pi-L between load capacitor and connector: on a
// ring core where core_index is given, otherwise in air.
type OutputCoil struct {
	Index     Quantity `key:"core_index" unit:"H" min:"1 nH" max:"5 uH" because:"rings of iron powder have 2 to 60 nH" doc:"A_L of one ring core, for one turn: 120 µH per 100 turns are 12 nH"`
	Outer     Quantity `key:"core_outer" unit:"m" min:"10 mm" max:"150 mm" because:"ring cores" doc:"outer diameter of the ring"`
	Inner     Quantity `key:"core_inner" unit:"m" min:"4 mm" max:"120 mm" because:"ring cores" doc:"inner diameter of the ring"`
	Height    Quantity `key:"core_height" unit:"m" min:"2 mm" max:"60 mm" because:"ring cores" doc:"height of the ring"`
	Rings     Count    `key:"cores" min:"1" max:"6" doc:"rings stacked; one if not said"`
	Form      Quantity `key:"diameter" unit:"m" min:"10 mm" max:"150 mm" because:"output coils" doc:"mean diameter of an air coil"`
	Pitch     Quantity `key:"pitch" unit:"m" min:"0.6 mm" max:"30 mm" because:"from turn to turn" doc:"distance from turn to turn of an air coil, centre to centre"`
	Conductor Quantity `key:"conductor" unit:"m" min:"0.5 mm" max:"10 mm" because:"wire of an output coil" doc:"diameter of its wire, over the insulation on a ring"`
	Current   Quantity `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"output coils" doc:"rated RF current, rms"`
}

// BandSwitch is the band switch of the tank.
type BandSwitch struct {
	Voltage Quantity `key:"voltage" unit:"V" min:"100 V" max:"30 kV" because:"wafer switches" doc:"rated peak voltage between contacts"`
	Current Quantity `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"wafer switches" doc:"rated RF current, rms"`
	Unused  Choice   `key:"unused_turns" oneof:"shorted open" default:"shorted" why:"common practice: open turns step the voltage up and resonate" doc:"whether the switch shorts the turns beyond the tap or leaves them open"`
}

// TankBand overrides the tank on one band.
type TankBand struct {
	LoadedQ Ratio `key:"loaded_q" min:"4" max:"60" because:"below 4 a pi cannot match, above 60 the coil burns" doc:"loaded Q on this band"`
	CoilQ   Ratio `key:"coil_q" min:"20" max:"1500" because:"air-wound coils reach 200 to 500" doc:"unloaded Q of the coil on this band"`
}
