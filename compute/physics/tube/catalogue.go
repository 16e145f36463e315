package tube

import (
	"embed"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"sort"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

//go:generate go run ./cmd/fitmodels $TUBE

//go:embed catalogue/*.toml
var files embed.FS

// Cathode is the kind of cathode.
type Cathode string

// The two kinds in the catalogue.
const (
	ThoriatedTungsten Cathode = "thoriated tungsten" // directly heated, ready at once
	Oxide             Cathode = "oxide"              // indirectly heated, needs its warm-up time
)

// PlateKind is what the plate is, as far as its colour goes.
type PlateKind string

// The kinds of plate.
const (
	ExternalPlate PlateKind = "external" // outside the vacuum, with a cooler: it never shows colour
	MetalPlate    PlateKind = "metal"    // inside glass, metal
	GraphitePlate PlateKind = "graphite" // inside glass, graphite
	UnknownPlate  PlateKind = "unknown"  // of the builder's own tube
)

// PlateKinds lists them all.
var PlateKinds = []PlateKind{ExternalPlate, MetalPlate, GraphitePlate, UnknownPlate}

// Plate is what colour the plate may show.
type Plate struct {
	Kind   PlateKind `toml:"kind"`
	Colour string    `toml:"colour"` // the brightest that full plate dissipation may bring; "": none at all
	Grade  string    `toml:"grade"`  // as Figure.Grade
	Source string    `toml:"source"` // key of Type.Sources
}

// Stop is what of the plate says that the drive goes off at once, in words that
// follow "stop at".
func (p Plate) Stop() string {
	switch p.Kind {
	case ExternalPlate:
		return "a plate cooler that discolours (outside plates never show colour)"
	case MetalPlate, GraphitePlate:
		if p.Colour == "" {
			return "any colour of a plate"
		}
		return "a plate brighter than " + p.Colour
	case UnknownPlate:
		return "any colour of a plate that the maker's sheet does not allow"
	}
	panic("tube: a plate of the kind " + string(p.Kind))
}

// Overload says how an overloaded plate of this kind is seen, as a sentence.
func (p Plate) Overload() string {
	switch p.Kind {
	case ExternalPlate:
		return "An overloaded plate of this type shows no colour: only the meters and the air that leaves tell of it."
	case MetalPlate, GraphitePlate:
		if p.Colour == "" {
			return "These plates stay dark: any colour is an overload."
		}
		return "These plates may come to " + p.Colour + " at their full dissipation (common practice for a " + string(p.Kind) +
			" plate); brighter is an overload."
	case UnknownPlate:
		return "Whether the plates may show colour only the maker's sheet says: without it, any colour is an overload."
	}
	panic("tube: a plate of the kind " + string(p.Kind))
}

// ModelKind says where the static model of a type comes from.
type ModelKind string

// The kinds of model.
const (
	Fitted   ModelKind = "fit"      // fitted to all published operating columns
	Estimate ModelKind = "estimate" // from µ and one point, no grounded-grid column known
	NoModel  ModelKind = ""         // nothing published to found one on
)

// Type is one tube type of the catalogue.
type Type struct {
	Name        string            `toml:"name"`
	Aliases     []string          `toml:"aliases"`
	Description string            `toml:"description"`
	Triode      bool              `toml:"triode"`           // a triode by construction
	Connected   bool              `toml:"triode_connected"` // tetrode or pentode with all grids at ground
	Family      string            `toml:"family"`           // type whose columns and model hold for this one as well
	Cautions    []string          `toml:"cautions"`
	Notes       []string          `toml:"notes"`
	Sources     map[string]string `toml:"sources"` // titles by key

	Base    Base    `toml:"base"`
	Cathode Cathode `toml:"cathode"`
	Plate   Plate   `toml:"plate"`
	Heater  Heater  `toml:"heater"`
	Mu      Figure  `toml:"mu"` // amplification factor [1]; of a tetrode: control grid to screen

	Capacitance Capacitance `toml:"capacitance"`
	Limits      Limits      `toml:"limits"`
	Cooling     Cooling     `toml:"cooling"`

	Columns []Column    `toml:"column"`
	Idle    []IdlePoint `toml:"idle"`

	Own bool `toml:"-"` // not of the catalogue: described in the spec, see package custom

	Kind      ModelKind  `toml:"-"`
	Model     Model      `toml:"-"` // valid unless Kind is NoModel
	Residuals []Residual `toml:"-"` // published against computed, as stored by the fit

	Parameters []Parameter `toml:"-"` // how far the columns fix the model; of fitted types
	LeftOut    []Residual  `toml:"-"` // what a fit to the other columns predicts for each column

	Fit fit `toml:"model"`
}

// Base is how the tube is connected, in words.
type Base struct {
	Text   string `toml:"text"`
	Grade  string `toml:"grade"`  // as Figure.Grade
	Source string `toml:"source"` // key of Type.Sources
}

// Heater is the filament or heater.
type Heater struct {
	Voltage      Figure `toml:"voltage"`       // [V rms]
	Tolerance    Figure `toml:"tolerance"`     // ± [V]
	Current      Figure `toml:"current"`       // [A]
	GreatCurrent Figure `toml:"current_high"`  // upper end where a range is published [A]
	InrushFactor Figure `toml:"inrush_factor"` // greatest inrush over rated current [1]
	WarmUp       Figure `toml:"warm_up"`       // before plate voltage or drive [s]
}

// Capacitance is between electrodes, grid(s) at ground. Of a tetrode the
// published figures are those of tetrode connection (see Note): the output
// figure still serves, the input in triode connection is a little higher.
type Capacitance struct {
	Input    Figure `toml:"input"`      // cathode to grid [F]
	InputMax Figure `toml:"input_high"` // upper end where a range is published [F]
	Output   Figure `toml:"output"`     // plate to grid(s) [F]
	Feedback Figure `toml:"feedback"`   // plate to cathode; of a tetrode plate to control grid [F]
}

// Limits are the maximum ratings, one tube.
type Limits struct {
	PlateVoltage       Figure `toml:"plate_voltage"`        // DC [V]
	PlateVoltageForced Figure `toml:"plate_voltage_forced"` // with forced air [V]
	PlateVoltageCCS    Figure `toml:"plate_voltage_ccs"`    // continuous commercial service [V]
	PlateCurrent       Figure `toml:"plate_current"`        // DC [A]
	PlateCurrentPeak   Figure `toml:"plate_current_ssb"`    // DC at the peak of single sideband [A]
	PlateDissipation   Figure `toml:"plate_dissipation"`    // [W]
	DissipationForced  Figure `toml:"plate_dissipation_forced"`
	DissipationCCS     Figure `toml:"plate_dissipation_ccs"`
	GridDissipation    Figure `toml:"grid_dissipation"`   // control grid [W]
	ScreenDissipation  Figure `toml:"screen_dissipation"` // screen grid [W]
	GridCurrent        Figure `toml:"grid_current"`       // DC [A]
	CathodeCurrent     Figure `toml:"cathode_current"`    // DC [A]
	Frequency          Figure `toml:"frequency"`          // for full ratings [Hz]
}

// Cooling is how the type sheds its heat.
type Cooling struct {
	Method           string `toml:"method"`
	BaseTemperature  Figure `toml:"base_temperature"`  // seals at the base, greatest [°C]
	PlateTemperature Figure `toml:"plate_temperature"` // plate seal or core, greatest [°C]
	Air              []Air  `toml:"air"`
}

// Air is one published air requirement.
type Air struct {
	Dissipation  Figure `toml:"dissipation"`   // plate, for which it holds [W]
	Flow         Figure `toml:"flow"`          // [m³/s]
	Pressure     Figure `toml:"pressure"`      // back pressure [Pa]
	PressureHigh Figure `toml:"pressure_high"` // upper end where a range is published [Pa]
	Altitude     Figure `toml:"altitude"`      // unknown means sea level [m]
	Where        string `toml:"where"`         // plate, grid or cathode where several are published
}

// Column is one published operating column, cathode driven, class AB2 or B
// linear service, as printed; Tubes tells for how many.
type Column struct {
	Name         string `toml:"name"`
	Tubes        int    `toml:"tubes"`         // the figures are for this many; 1 unless given
	PlateVoltage Figure `toml:"plate_voltage"` // [V]
	Bias         Figure `toml:"bias"`          // cathode above ground [V]
	IdleCurrent  Figure `toml:"idle_current"`  // [A]
	PlateCurrent Figure `toml:"plate_current"` // single tone [A]
	TwoTone      Figure `toml:"two_tone"`      // plate current with two tones [A]
	GridCurrent  Figure `toml:"grid_current"`  // of a tetrode both grids [A]
	PlateLoad    Figure `toml:"plate_load"`    // [Ω]
	Driving      Figure `toml:"driving"`       // driving impedance [Ω]
	DrivePower   Figure `toml:"drive_power"`   // [W]
	Output       Figure `toml:"output"`        // [W]
	Intermod3    Figure `toml:"imd3"`          // third-order product [dB]
	Note         string `toml:"note"`
}

// Each returns the column for one tube.
func (c Column) Each() Column {
	n := float64(c.Tubes)
	if n > 1 {
		for _, f := range []*Figure{&c.IdleCurrent, &c.PlateCurrent, &c.TwoTone, &c.GridCurrent, &c.DrivePower, &c.Output} {
			f.Value /= n
		}
		for _, f := range []*Figure{&c.PlateLoad, &c.Driving} {
			f.Value *= n
		}
	}
	c.Tubes = 1
	return c
}

// IdlePoint is plate current without drive.
type IdlePoint struct {
	PlateVoltage float64 `toml:"plate_voltage"` // [V]
	Bias         float64 `toml:"bias"`          // cathode above ground, or grid below it [V]
	Current      Figure  `toml:"current"`       // [A]
}

type fit struct {
	Kind      ModelKind  `toml:"kind"`
	K         float64    `toml:"k"`
	Mu        float64    `toml:"mu"`
	Exponent  float64    `toml:"exponent"`
	Division  float64    `toml:"division"`
	Softness  float64    `toml:"softness"`
	Residuals []Residual `toml:"residual"`

	Parameters []Parameter `toml:"parameter"`
	LeftOut    []Residual  `toml:"left_out"`
}

// ColumnsEach returns the published columns for one tube.
func (t *Type) ColumnsEach() []Column {
	out := make([]Column, len(t.Columns))
	for i, c := range t.Columns {
		out[i] = c.Each()
	}
	return out
}

// WorstError returns the greatest relative error of the model among the firm,
// unpinned published figures of a quantity ("output", "grid current", "driving
// impedance", "idle current", "drive power" …) [1]: what the model may be
// trusted with for this type. False where nothing firm is published.
func (t *Type) WorstError(quantity string) (float64, bool) {
	worst, found := 0.0, false
	for _, r := range t.Residuals {
		if r.Quantity == quantity && r.Mark != Weak && !r.Pinned {
			worst, found = math.Max(worst, math.Abs(r.Error)), true
		}
	}
	return worst, found
}

// FundamentalRatio returns I_p1/I_p0 that plate current, output and load of a
// column imply [1]: sqrt(2·P_out/R)/I. False where one of them is not known.
// A class AB or B pulse lies between about 1.4 and 1.65.
func (c Column) FundamentalRatio() (float64, bool) {
	c = c.Each()
	if !c.Output.Known || !c.PlateLoad.Known || !c.PlateCurrent.Known {
		return 0, false
	}
	return math.Sqrt(2*c.Output.Value/c.PlateLoad.Value) / c.PlateCurrent.Value, true
}

// ScreenShare is the share of the grid current that the screen of a tetrode
// takes with both grids at ground [1]: about 0.35 in the published columns,
// practice also quotes 0.25.
const ScreenShare = 0.35

// catalogue is a folder of types; each is read when it is first asked for. A
// file is named as its type, in small letters.
type catalogue struct {
	names []string // of the types, sorted
	reads map[string]func() (*Type, error)
}

var embedded = sync.OnceValue(func() *catalogue {
	c, err := newCatalogue(files)
	if err != nil {
		panic("tube catalogue: " + err.Error()) // embedded: a test reads it
	}
	return c
})

func newCatalogue(fsys fs.FS) (*catalogue, error) {
	paths, err := fs.Glob(fsys, "catalogue/*.toml")
	if err != nil {
		return nil, err
	}
	c := &catalogue{reads: map[string]func() (*Type, error){}}
	for _, p := range paths {
		name := strings.ToUpper(strings.TrimSuffix(path.Base(p), ".toml"))
		c.names = append(c.names, name)
		c.reads[name] = sync.OnceValues(func() (*Type, error) {
			t, err := c.parse(fsys, p, name)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", path.Base(p), err)
			}
			return t, nil
		})
	}
	sort.Strings(c.names)
	return c, nil
}

func (c *catalogue) parse(fsys fs.FS, file, name string) (*Type, error) {
	data, err := fs.ReadFile(fsys, file)
	if err != nil {
		return nil, err
	}
	t, err := Parse(string(data))
	switch {
	case err != nil:
		return nil, err
	case t.Name != name:
		return nil, fmt.Errorf("named as a %s and holds a %s", name, t.Name)
	case t.Family == "":
		return t, nil
	}
	read, ok := c.reads[t.Family]
	if !ok || t.Family == name {
		return nil, fmt.Errorf("family %q is not in the catalogue", t.Family)
	}
	f, err := read()
	if err != nil {
		return nil, err
	}
	if f.Family != "" {
		return nil, fmt.Errorf("family %q is itself one of a family", t.Family)
	}
	t.Columns, t.Idle = f.Columns, f.Idle
	t.Kind, t.Model, t.Residuals = f.Kind, f.Model, f.Residuals
	t.Parameters, t.LeftOut = f.Parameters, f.LeftOut
	return t, nil
}

// all reads every type, in the order of their names.
func (c *catalogue) all() ([]*Type, error) {
	var list []*Type
	for _, n := range c.names {
		t, err := c.reads[n]()
		if err != nil {
			return nil, err
		}
		list = append(list, t)
	}
	return list, nil
}

// must takes a type of the embedded catalogue.
func must[T any](x T, err error) T {
	if err != nil {
		panic("tube catalogue: " + err.Error()) // embedded: a test reads it
	}
	return x
}

// Parse reads one catalogue file.
func Parse(text string) (*Type, error) {
	t := new(Type)
	md, err := toml.Decode(text, t)
	if err != nil {
		return nil, err
	}
	if keys := md.Undecoded(); len(keys) > 0 {
		return nil, fmt.Errorf("unknown key %s", keys[0])
	}
	for i := range t.Columns {
		if t.Columns[i].Tubes == 0 {
			t.Columns[i].Tubes = 1
		}
	}
	t.Kind, t.Residuals, t.Parameters, t.LeftOut = t.Fit.Kind, t.Fit.Residuals, t.Fit.Parameters, t.Fit.LeftOut
	if t.Kind != NoModel {
		t.Model = Model{t.Fit.K, t.Fit.Mu, t.Fit.Exponent, t.Fit.Division, t.Fit.Softness}
		if err := t.Model.Valid(); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// All returns every type, sorted by name. The values are shared: do not write
// to them.
func All() []*Type { return must(embedded().all()) }

// Types returns the names of every type, sorted.
func Types() []string { return slices.Clone(embedded().names) }

// Lookup finds a type by name or alias; case, spaces and hyphens do not
// matter (3-500Z, 3500z).
func Lookup(name string) (*Type, bool) {
	want := plain(name)
	if want == "" {
		return nil, false
	}
	c := embedded()
	for _, n := range c.names {
		if plain(n) == want {
			return must(c.reads[n]()), true
		}
	}
	for _, t := range All() {
		for _, a := range t.Aliases {
			if plain(a) == want {
				return t, true
			}
		}
	}
	return nil, false
}

func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' || r == '/' {
			return -1
		}
		return r
	}, strings.ToUpper(s))
}
