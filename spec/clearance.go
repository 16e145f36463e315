package spec

// Clearance is the distances that the builder has measured or planned between
// a node at high voltage and the nearest grounded or foreign metal.
type Clearance struct {
	Material  Choice   `key:"material" oneof:"I II III" default:"III" why:"the cautious choice: most laminates and plastics track easily; glazed ceramic is group I" doc:"material group of the insulators by their tracking index (IEC 60664-1)"`
	Plate     Quantity `key:"plate" unit:"m" min:"0.5 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of plate caps, plate leads and the hot end of the plate choke from other metal"`
	Tank      Quantity `key:"tank" unit:"m" min:"0.5 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the tank's plate end, behind the blocking capacitor, from other metal"`
	Bank      Quantity `key:"bank" unit:"m" min:"0.5 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the positive end of the filter bank and its wiring from other metal"`
	Rectifier Quantity `key:"rectifier" unit:"m" min:"0.5 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the alternating-current side of the rectifier from other metal"`
	Antenna   Quantity `key:"antenna" unit:"m" min:"0.1 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the wiring to antenna relay and antenna connector from other metal"`
	Mains     Quantity `key:"mains" unit:"m" min:"0.1 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the mains wiring from other metal"`
	Cathode   Quantity `key:"cathode" unit:"m" min:"0.1 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of cathode and heater wiring from other metal"`
	Rail      Quantity `key:"rail" unit:"m" min:"0.1 mm" max:"500 mm" because:"distances inside a cabinet" doc:"least distance of the negative rail from the chassis"`
	Coupling  Quantity `key:"coupling" unit:"m" min:"1 mm" max:"500 mm" because:"insulating couplings of shafts" doc:"length along the insulation of the couplings between shafts at the tank's voltage and their knobs"`
}
