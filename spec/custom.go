package spec

import (
	"fmt"
	"regexp"
	"strings"
)

// CustomType is the word of tubes.type that stands for the builder's own tube.
const CustomType = "custom"

// CustomTube is a tube that the catalogue does not know, described by the
// builder. It is read where tubes.type is "custom".
type CustomTube struct {
	Name            Text     `key:"name" doc:"what the report calls the tube"`
	Source          Text     `key:"source" doc:"where the figures come from: data sheet, handbook, own measurements"`
	Amplification   Ratio    `key:"amplification_factor" min:"3" max:"1000" because:"power triodes have 4 to 300; triode-connected tetrodes with both grids at ground some hundred" doc:"amplification factor, of a tetrode that of both grids tied together"`
	Cathode         Choice   `key:"cathode" oneof:"directly-heated indirectly-heated" doc:"kind of cathode: the filament itself, or one with a heater of its own"`
	HeaterVoltage   Quantity `key:"heater_voltage" unit:"V" min:"1 V" max:"30 V" because:"filaments of this class take 5 to 26 V" doc:"rated voltage of filament or heater at the pins"`
	HeaterCurrent   Quantity `key:"heater_current" unit:"A" min:"0.1 A" max:"100 A" because:"filaments of this class take 0.5 to 60 A" doc:"rated current of filament or heater, one tube"`
	HeaterTolerance Quantity `key:"heater_tolerance" unit:"%" min:"0.5 %" max:"20 %" because:"data sheets allow ±5 to ±10 %" doc:"allowed deviation of the heater voltage, either way"`
	WarmUp          Quantity `key:"warm_up" unit:"s" min:"0.1 s" max:"30 min" because:"thoriated tungsten is ready at once, oxide cathodes take one to five minutes" doc:"heating time before plate voltage or drive"`

	InputCapacitance    Quantity `key:"input_capacitance" unit:"F" min:"0.5 pF" max:"300 pF" because:"cathode to grid of a power triode" doc:"capacitance of cathode to grid, one tube"`
	OutputCapacitance   Quantity `key:"output_capacitance" unit:"F" min:"0.2 pF" max:"100 pF" because:"plate to grid of a power triode" doc:"capacitance of plate to grid, one tube"`
	FeedbackCapacitance Quantity `key:"feedback_capacitance" unit:"F" min:"0.001 pF" max:"30 pF" because:"plate to cathode with the grid at ground" doc:"capacitance of plate to cathode, one tube"`

	PlateVoltage     Quantity `key:"max_plate_voltage" unit:"V" min:"300 V" max:"20 kV" because:"tubes of this class" doc:"maximum rating of the plate voltage"`
	PlateCurrent     Quantity `key:"max_plate_current" unit:"A" min:"10 mA" max:"10 A" because:"tubes of this class" doc:"maximum rating of the plate current, one tube"`
	PlateDissipation Quantity `key:"max_plate_dissipation" unit:"W" min:"10 W" max:"10 kW" because:"tubes of this class" doc:"maximum rating of the plate dissipation, one tube"`
	GridDissipation  Quantity `key:"max_grid_dissipation" unit:"W" min:"0.1 W" max:"500 W" because:"tubes of this class" doc:"maximum rating of the grid dissipation, one tube"`
	GridCurrent      Quantity `key:"max_grid_current" unit:"A" min:"1 mA" max:"3 A" because:"tubes of this class" doc:"maximum rating of the grid current, one tube"`
	Frequency        Quantity `key:"max_frequency" unit:"Hz" min:"1 MHz" max:"5 GHz" because:"full ratings of tubes of this class" doc:"highest frequency for full ratings"`

	Airflow  Quantity `key:"airflow" unit:"m3/s" min:"1 CFM" max:"1000 CFM" because:"air through a tube" doc:"air that one tube needs at its full plate dissipation, at sea level"`
	Pressure Quantity `key:"air_pressure" unit:"Pa" min:"1 Pa" max:"2 kPa" because:"back pressure of socket and cooler" doc:"back pressure at that air"`

	Column map[string]CustomColumn `key:"column" doc:"operating columns and idle readings, one table each"`
}

// CustomColumn is one operating column of the builder's tube, cathode driven
// with the grid at ground, one tube; or, with nothing but plate voltage, bias
// and idle current, an idle reading.
type CustomColumn struct {
	PlateVoltage Quantity `key:"plate_voltage" unit:"V" min:"100 V" max:"20 kV" because:"tubes of this class" doc:"plate voltage"`
	Bias         Quantity `key:"bias" unit:"V" min:"0 V" max:"300 V" because:"positive volts on the cathode, grid at ground" default:"0 V" why:"a column without bias is that of a zero-bias tube" doc:"cathode bias, positive on the cathode"`
	IdleCurrent  Quantity `key:"idle_current" unit:"A" min:"0.1 mA" max:"2 A" because:"tubes of this class" doc:"plate current without drive, one tube"`
	PlateCurrent Quantity `key:"plate_current" unit:"A" min:"10 mA" max:"10 A" because:"tubes of this class" doc:"plate current at full drive, one tone, one tube"`
	GridCurrent  Quantity `key:"grid_current" unit:"A" min:"1 mA" max:"3 A" because:"tubes of this class" doc:"grid current at full drive, one tube; of a tetrode both grids"`
	PlateLoad    Quantity `key:"plate_load" unit:"ohm" min:"100 ohm" max:"50 kohm" because:"plate loads of this class" doc:"resonant load at the plate of one tube"`
	Driving      Quantity `key:"driving_impedance" unit:"ohm" min:"5 ohm" max:"2 kohm" because:"cathodes with the grid at ground" doc:"driving impedance at the cathode of one tube"`
	DrivePower   Quantity `key:"drive_power" unit:"W" min:"0.5 W" max:"500 W" because:"tubes of this class" doc:"drive power of one tube"`
	Output       Quantity `key:"output" unit:"W" min:"5 W" max:"20 kW" because:"tubes of this class" doc:"output at the plate of one tube"`
}

// tubeName is what the report may call a tube: it stands in sentences, tables,
// figures and the names of steps. Letters are Latin, Greek and Cyrillic.
var tubeName = regexp.MustCompile(`^[A-Za-z0-9À-ɏͰ-ϿЀ-ӿ][A-Za-z0-9À-ɏͰ-ϿЀ-ӿ ./+_-]{0,39}$`)

// Idle says that the column is an idle reading only.
func (c CustomColumn) Idle() bool { return !c.PlateCurrent.Given && c.IdleCurrent.Given }

// custom checks the builder's own tube: what must be there, and that the table
// is there if and only if tubes.type asks for it.
func (r *reader) custom() {
	const table = "tubes.custom"
	c := &r.spec.Tubes.Custom
	there, first := false, Position{}
	for key, p := range r.at {
		if key == table || strings.HasPrefix(key, table+".") {
			if !there || p.Line < first.Line || p.Line == first.Line && p.Column < first.Column {
				first = p
			}
			there = true
		}
	}
	choice := r.spec.Tubes.Type
	if choice.Value != CustomType {
		if there && choice.Value != "" {
			r.problem(Origin{Key: table, Position: first}, fmt.Sprintf("nothing reads this table: tubes.type is %q", choice.Value),
				`under [tubes] write type = "custom", or delete the table`)
		}
		return
	}
	need := func(o Origin, what, example string) {
		if !o.Given {
			r.problem(o, "missing: "+what, fmt.Sprintf("under [%s] write for example %s", strings.TrimSuffix(o.Key, "."+last(o.Key)),
				example))
		}
	}
	if !there {
		r.problem(choice.Origin, "the builder's own tube is described nowhere",
			"add a table [tubes.custom] with name, cathode, heater and ratings, and tables [tubes.custom.column.NAME]")
		return
	}
	need(c.Name.Origin, "what the report calls the tube", `name = "surplus triode"`)
	if c.Name.Given && !tubeName.MatchString(c.Name.Value) {
		r.problem(c.Name.Origin, quote(c.Name.Value)+" is not a name for a tube",
			`letters, digits, spaces and . / + _ -, at most 40 of them, such as name = "surplus triode"`)
	}
	need(c.Amplification.Origin, "the amplification factor", "amplification_factor = 120")
	need(c.Cathode.Origin, "the kind of cathode", `cathode = "directly-heated"`)
	need(c.HeaterVoltage.Origin, "the heater voltage", `heater_voltage = "6.3 V"`)
	need(c.HeaterCurrent.Origin, "the heater current", `heater_current = "5 A"`)
	need(c.PlateDissipation.Origin, "the rated plate dissipation", `max_plate_dissipation = "400 W"`)
	if len(c.Column) == 0 && !r.failed(table+".column") {
		r.problem(Origin{Key: table + ".column", Position: r.at[table]},
			"no operating column and no idle reading: nothing tells what current the tube passes",
			`add [tubes.custom.column.NAME] with plate_voltage, bias, plate_current and output, or at least plate_voltage, bias and idle_current`)
	}
	for _, name := range sortedKeys(c.Column) {
		k := c.Column[name]
		key := table + ".column." + name
		if !tubeName.MatchString(name) {
			r.problem(Origin{Key: key, Position: r.at[key]}, quote(name)+" is not a name for a column",
				"letters, digits, spaces and . / + _ -, at most 40 of them, such as [tubes.custom.column.sheet-2500]")
		}
		need(k.PlateVoltage.Origin, "the plate voltage of the column", `plate_voltage = "2500 V"`)
		if !k.PlateCurrent.Given && !k.IdleCurrent.Given {
			r.problem(Origin{Key: key, Position: r.at[key]}, "a column without a plate current says nothing about the tube",
				"add plate_current and output, or idle_current alone for an idle reading")
		}
		if k.PlateCurrent.Given {
			need(k.Output.Origin, "the output that belongs to the plate current", `output = "600 W"`)
		} else {
			for _, o := range []Origin{k.GridCurrent.Origin, k.PlateLoad.Origin, k.Driving.Origin, k.DrivePower.Origin,
				k.Output.Origin} {
				if o.Given {
					r.problem(o, "stands without the plate current it was taken at",
						"add plate_current to the column, or delete this key")
				}
			}
		}
		if k.PlateCurrent.SI > 0 && k.IdleCurrent.SI >= k.PlateCurrent.SI {
			r.problem(k.IdleCurrent.Origin, fmt.Sprintf("%s without drive is not below the %s at full drive",
				plain(k.IdleCurrent.SI, "A"), plain(k.PlateCurrent.SI, "A")), "check which of the two is which")
		}
		if in := k.PlateVoltage.SI * k.PlateCurrent.SI; in > 0 && k.Output.SI > 0.9*in {
			r.problem(k.Output.Origin, fmt.Sprintf("%s of output from %s of direct-current input", plain(k.Output.SI, "W"),
				plain(in, "W")),
				"a linear stage turns 50 to 70 % of its input into output; all figures of a column are for one tube")
		}
	}
}

// failed says that a problem stands at the key or below it.
func (r *reader) failed(key string) bool {
	for _, p := range r.problems {
		if p.Key == key || strings.HasPrefix(p.Key, key+".") {
			return true
		}
	}
	return false
}
