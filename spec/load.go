package spec

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"reflect"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"anodebook/spec/quantity"
)

// MaxSize is the greatest size of a spec file, in bytes.
const MaxSize = 1 << 20

// Names are the word lists that a spec may refer to and that only the physics
// knows: tube types, rule sets.
type Names struct {
	Tubes []string
	Rules []string
}

// BandNames are the bands that a spec may name, lowest first.
var BandNames = []string{"160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m"}

// Load reads the spec file at path. The error is Problems where the file could
// be read.
func Load(path string, names Names) (*Spec, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, fmt.Errorf("%s: is a folder, not a spec file", path)
	}
	if info.Size() > MaxSize {
		return nil, fmt.Errorf("%s: %d bytes is too large for a spec; the limit is %d", path, info.Size(), MaxSize)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, MaxSize+1)) // a device has no size, and no end
	if err != nil {
		return nil, err
	}
	return Read(path, src, names)
}

// Read reads a spec from its text; file names it in messages. All problems are
// reported at once, as Problems.
func Read(file string, src []byte, names Names) (*Spec, error) {
	fail := func(p Position, what, hint string) (*Spec, error) {
		return nil, Problems{{File: file, Position: p, What: what, Hint: hint}}
	}
	if len(src) > MaxSize {
		return fail(Position{1, 1}, fmt.Sprintf("%d bytes is too large for a spec; the limit is %d", len(src), MaxSize), "")
	}
	text := strings.TrimPrefix(string(src), "\ufeff")
	if !utf8.ValidString(text) {
		return fail(place(text, firstInvalid(text)), "not UTF-8 text; signs such as Ω, µ or ° may have been saved in another encoding",
			"save the file as UTF-8 in the editor")
	}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return fail(place(text, i), "a zero byte; a spec is plain text", "save the file as plain text in UTF-8")
	}
	if i := tooDeep(text); i >= 0 {
		return fail(place(text, i), "a hundred tables within each other", "no table of a spec lies deeper than four others")
	}
	tree := map[string]any{}
	if _, err := toml.Decode(text, &tree); err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			at := place(text, pe.Position.Start)
			what, hint := syntax(pe, text, at)
			return fail(at, what, hint)
		}
		return fail(Position{1, 1}, err.Error(), "")
	}
	s := &Spec{File: file}
	r := &reader{spec: s, names: names, at: positions(text)}
	r.table(reflect.ValueOf(s).Elem(), tree, "")
	r.together()
	if len(r.problems) > 0 {
		return nil, r.problems.sorted()
	}
	return s, nil
}

// tooDeep finds a dotted key of a hundred parts or a hundred nested inline
// tables, or returns -1: the time that the TOML parser takes grows with more
// than the square of their number.
func tooDeep(text string) int {
	dots, braces, spaced := 0, 0, false
	for i := range len(text) {
		switch text[i] {
		case '{':
			if braces++; braces >= 100 {
				return i
			}
		case '}':
			braces = max(0, braces-1)
		}
		switch c := text[i]; {
		case c == '.':
			if dots++; dots >= 100 {
				return i
			}
			spaced = false
		case c == ' ' || c == '\t':
			spaced = i > 0 && text[i-1] != '.' && (spaced || text[i-1] > ' ')
		case c < ' ' || strings.IndexByte("=,{}#()", c) >= 0, spaced:
			dots, spaced = 0, false
		}
	}
	return -1
}

// firstInvalid is where text ceases to be UTF-8.
func firstInvalid(text string) int {
	for i, r := range text {
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(text[i:]); n == 1 {
				return i
			}
		}
	}
	return len(text)
}

// together checks what needs more than one key.
func (r *reader) together() {
	s := r.spec
	if s.Bias.Voltage.Given && s.Bias.IdleCurrent.Given {
		r.problem(s.Bias.IdleCurrent.Origin, "bias.voltage is written too, and one follows from the other",
			"keep one of the two and delete the other")
	}
	if s.Bias.Device.Value == "none" && s.Bias.Voltage.Given && s.Bias.Voltage.SI > 0 {
		r.problem(s.Bias.Device.Origin, fmt.Sprintf("no device makes the %s V of bias.voltage", quantity.Short(s.Bias.Voltage.SI, 6)),
			`device = "zener", "diodes" or "transistor"; for a zero-bias tube voltage = "0 V"`)
	}
	if s.Tubes.PlateFloor.Given && s.Supply.PlateVoltage.Given && s.Tubes.PlateFloor.SI >= 0.8*s.Supply.PlateVoltage.SI {
		r.problem(s.Tubes.PlateFloor.Origin, fmt.Sprintf("%s leaves no swing below supply.plate_voltage, %s",
			plain(s.Tubes.PlateFloor.SI, "V"), plain(s.Supply.PlateVoltage.SI,
				"V")), "published columns put it near 0.15 to 0.2 of the plate voltage")
	}
	if s.Supply.Transformer.Regulation.Given && (s.Supply.Transformer.PrimaryResistance.Given ||
		s.Supply.Transformer.SecondaryResistance.Given) {
		r.problem(s.Supply.Transformer.Regulation.Origin, "winding resistances are written too, and they say the same",
			"keep one of the two and delete the other")
	}
	if s.Tank.Network.Value == "pi" && s.Tank.Middle.Given {
		r.problem(s.Tank.Middle.Origin, `only a pi-L has an intermediate resistance`,
			`under [tank] write network = "pi-L", or delete this key`)
	}
	given := []string{}
	for _, q := range []Quantity{s.Target.Output, s.Target.PlateCurrent, s.Target.Drive} {
		if q.Given {
			given = append(given, q.Key)
		}
		if q.Given && len(given) == 2 {
			r.problem(q.Origin, given[0]+" is written too, and each of the two follows from the other", "keep one of the two")
		}
	}
	r.tankTogether()
	r.supplyTogether()
	r.coolingTogether()
	if s.Tank.Network.Value != "pi-L" {
		s.forget("tank.intermediate_resistance", "tank.output_coil_q")
	}
	if s.Suppressor.LeadLength.Given {
		if s.Suppressor.LeadInductance.Given {
			r.problem(s.Suppressor.LeadLength.Origin, "suppressor.lead_inductance is written too, and it follows from the length",
				"keep one of the two and delete the other")
		}
		if d := s.Suppressor.LeadDiameter; d.Given && s.Suppressor.LeadLength.SI < d.SI {
			r.problem(d.Origin, "the plate lead is thicker than it is long",
				"lead_diameter is that of the wire, or half the width of a strap; write suppressor.lead_inductance where the two ends "+
					"nearly meet")
		}
		s.forget("suppressor.lead_inductance")
	}
	if c := s.Filament.Choke; c.Core.Value == "toroid" {
		s.forget("filament.choke.rod_diameter", "filament.choke.rod_length")
		if c.Inner.SI >= c.Outer.SI {
			r.problem(c.Inner.Origin, "the hole of the ring is not smaller than the ring",
				"inner_diameter must be below outer_diameter")
		}
	} else {
		s.forget("filament.choke.outer_diameter", "filament.choke.inner_diameter", "filament.choke.height", "filament.choke.cores")
	}
	r.custom()
	r.measured()
	r.notes()
	r.photos()
	r.currency()
	r.readings()
	r.survey()
	r.studies()
	seen := map[string]bool{}
	for _, b := range s.Target.Bands.Values {
		if seen[b] {
			r.problem(s.Target.Bands.Origin, fmt.Sprintf("%q stands twice", b), "name each band once")
		}
		seen[b] = true
	}
	listed := func(key string, o Origin) {
		if len(seen) > 0 && !seen[key] {
			r.problem(o, fmt.Sprintf("%s is not among target.bands", key), "add it to target.bands or drop this table")
		}
	}
	for _, b := range sortedKeys(s.Tank.Band) {
		listed(b, Origin{Key: "tank.band." + b, Position: r.at["tank.band."+b]})
	}
	for _, b := range sortedKeys(s.Input.Band) {
		listed(b, Origin{Key: "input.band." + b, Position: r.at["input.band."+b]})
	}
	order := map[string]int{}
	for i, b := range BandNames {
		order[b] = i
	}
	sort.SliceStable(s.Target.Bands.Values, func(i, j int) bool {
		return order[s.Target.Bands.Values[i]] < order[s.Target.Bands.Values[j]]
	})
}

// forget takes assumptions off the list that do not touch this circuit.
func (s *Spec) forget(keys ...string) {
	s.Assumptions = slices.DeleteFunc(s.Assumptions, func(a Assumption) bool { return slices.Contains(keys, a.Key) })
}

func sortedKeys[T any](m map[string]T) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// Where names the place of a field for the reader: "file:line".
func (s *Spec) Where(o Origin) string {
	if o.Given {
		return fmt.Sprintf("%s:%d", s.File, o.Line)
	}
	return o.Key
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
