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
	Switch      BandSwitch          `key:"switch"`
	Band        map[string]TankBand `key:"band" oneof:"@bands"`
}

// VariableCapacitor is a variable capacitor with its padders.
type VariableCapacitor struct {
	Capacitance Range      `key:"range" unit:"F" min:"1 pF" max:"10 nF" because:"variable capacitors of HF tanks" doc:"lowest to highest capacitance, all sections together"`
	Voltage     Quantity   `key:"voltage" unit:"V" min:"100 V" max:"60 kV" because:"variable capacitors of HF tanks" doc:"rated peak voltage"`
	Current     Quantity   `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"variable capacitors of HF tanks" doc:"rated RF current, rms"`
	Spacing     Quantity   `key:"spacing" unit:"m" min:"0.2 mm" max:"20 mm" because:"air gap between neighbouring plates" doc:"air gap between neighbouring plates"`
	Padders     Quantities `key:"padders" unit:"F" min:"1 pF" max:"10 nF" because:"fixed capacitors switched in parallel" doc:"fixed capacitors at hand to switch in parallel"`
}

// TankCoil is the tank coil.
type TankCoil struct {
	Kind      Choice   `key:"kind" oneof:"tapped roller" default:"tapped" why:"a tapped coil with a band switch is the common arrangement" doc:"tapped coil with band switch, or roller inductor"`
	Range     Range    `key:"range" unit:"H" min:"50 nH" max:"200 uH" because:"roller inductors of HF tanks" doc:"range of the roller inductor"`
	Form      Quantity `key:"diameter" unit:"m" min:"10 mm" max:"200 mm" because:"tank coils" default:"63 mm" why:"common practice: about two and a half inches" doc:"mean diameter of the coil"`
	Conductor Quantity `key:"conductor" unit:"m" min:"0.5 mm" max:"15 mm" because:"wire or tubing of a tank coil" default:"4.76 mm" why:"common practice: tubing of 3/16 in for kilowatt tanks" doc:"diameter of wire or tubing"`
	Pitch     Quantity `key:"pitch" unit:"m" min:"0.6 mm" max:"50 mm" because:"from turn to turn" default:"9 mm" why:"common practice: about twice the conductor, so that taps can be clipped" doc:"distance from turn to turn, centre to centre"`
	Current   Quantity `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"roller inductors are sold with a current rating" doc:"rated RF current, rms"`
}

// BandSwitch is the band switch of the tank.
type BandSwitch struct {
	Voltage Quantity `key:"voltage" unit:"V" min:"100 V" max:"30 kV" because:"wafer switches" doc:"rated peak voltage between contacts"`
	Current Quantity `key:"current" unit:"A" min:"0.5 A" max:"200 A" because:"wafer switches" doc:"rated RF current, rms"`
}

// TankBand overrides the tank on one band.
type TankBand struct {
	LoadedQ Ratio `key:"loaded_q" min:"4" max:"60" because:"below 4 a pi cannot match, above 60 the coil burns" doc:"loaded Q on this band"`
	CoilQ   Ratio `key:"coil_q" min:"20" max:"1500" because:"air-wound coils reach 200 to 500" doc:"unloaded Q of the coil on this band"`
}
