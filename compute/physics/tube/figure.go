package tube

import "fmt"

// Mark says how a catalogue figure is known.
type Mark string

// SpecGrade is the grade of a figure that the builder wrote.
const SpecGrade = "spec"

// The marks of published figures, from strong to weak, and of the builder's own.
const (
	Read       Mark = "read"   // read in a reprint or quotation of the source
	FromMemory Mark = "memory" // from memory of the source, not seen on paper
	Weak       Mark = "weak"   // from memory and uncertain: never a check value
	FromSpec   Mark = "spec"   // the builder's own figure, from the spec
)

// Figure is one published number with where it comes from.
type Figure struct {
	Value  float64 // in SI units
	Known  bool    // false: the source is silent, Value is 0
	Mark   Mark    // how it is known
	Grade  string  // R, M1 (remembered alike from several places), M2 (fair), M3 (weak); or spec
	Source string  // key of Type.Sources
	Note   string  // what else belongs to the figure
}

// Firm reports whether the figure may serve as a check value.
func (f Figure) Firm() bool { return f.Known && f.Mark != Weak }

// units of the catalogue files and their size in SI.
var units = map[string]float64{
	"": 1, "V": 1, "kV": 1e3, "A": 1, "mA": 1e-3, "W": 1, "kW": 1e3, "Ω": 1, "pF": 1e-12, "MHz": 1e6,
	"s": 1, "min": 60, "°C": 1, "dB": 1, "m": 1,
	"CFM": 0.0283 / 60, "l/min": 1e-3 / 60, "in. water": 249,
}

var gradeMark = map[string]Mark{"R": Read, "M1": FromMemory, "M1-M2": FromMemory, "M2": FromMemory, "M3": Weak}

// UnmarshalTOML reads { value = 7.4, unit = "pF", grade = "M1", source = "td" }.
func (f *Figure) UnmarshalTOML(data any) error {
	t, ok := data.(map[string]any)
	if !ok {
		return fmt.Errorf("a figure is an inline table with value, unit, grade and source")
	}
	scale := 1.0
	for key, v := range t {
		switch key {
		case "value":
			switch x := v.(type) {
			case float64:
				f.Value = x
			case int64:
				f.Value = float64(x)
			default:
				return fmt.Errorf("value is not a number: %v", v)
			}
			f.Known = true
			continue
		}
		s, ok := v.(string)
		if !ok {
			return fmt.Errorf("%s is not text: %v", key, v)
		}
		switch key {
		case "unit":
			if scale, ok = units[s]; !ok {
				return fmt.Errorf("unknown unit %q", s)
			}
		case "grade":
			if f.Mark, ok = gradeMark[s]; !ok {
				return fmt.Errorf("unknown grade %q", s)
			}
			f.Grade = s
		case "source":
			f.Source = s
		case "note":
			f.Note = s
		default:
			return fmt.Errorf("unknown key %q in a figure", key)
		}
	}
	if !f.Known || f.Mark == "" || f.Source == "" {
		return fmt.Errorf("a figure needs value, grade and source")
	}
	f.Value *= scale
	return nil
}

// Where names the source of one of the type's figures, with its note.
func (t *Type) Where(f Figure) string {
	where := t.Sources[f.Source]
	if f.Note != "" {
		where += " (" + f.Note + ")"
	}
	return where
}
