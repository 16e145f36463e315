package reference

import (
	"embed"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
)

//go:embed checks/*.toml
var files embed.FS

// file is one subject.
type file struct {
	Subject string   `toml:"subject"`
	Order   int      `toml:"order"`
	Report  []string `toml:"report"` // IDs shown in every report
	Tables  []table  `toml:"table"`
}

// table is one published table, or a single published figure. A row is an
// optional word (the placeholder {key}), the inputs, then one figure for each
// column, nan where the source has none. Placeholders in id and what: {key},
// every input and given by name, {name} and {words} of the column.
type table struct {
	Row       string   `toml:"row"` // of the project's table of published figures
	ID        string   `toml:"id"`
	What      string   `toml:"what"`
	Source    string   `toml:"source"`
	Known     string   `toml:"known"`
	Why       string   `toml:"why"`
	Unit      string   `toml:"unit"`
	Tolerance *float64 `toml:"tolerance"` // relative
	Within    *float64 `toml:"within"`    // absolute, in the unit of the column
	Function  string   `toml:"function"`
	Stages    []string `toml:"stages"`
	Inputs    []string `toml:"inputs"` // "name unit"
	Given     []string `toml:"given"`  // "name value unit", the same for all rows
	Columns   []column `toml:"columns"`
	Rows      [][]any  `toml:"rows"`
}

// column is one published column; what it leaves out is the table's.
type column struct {
	Name      string   `toml:"name"`
	Words     string   `toml:"words"`
	Function  string   `toml:"function"`
	Unit      *string  `toml:"unit"`
	Tolerance *float64 `toml:"tolerance"`
	Within    *float64 `toml:"within"`
	Why       string   `toml:"why"`
	Known     string   `toml:"known"`
	Given     []string `toml:"given"` // on top of the table's
}

var (
	// load makes every row, reported those that are shown in every report, so
	// that a report need not read the rest.
	load     = sync.OnceValue(func() []Row { return embedded(whole) })
	reported = sync.OnceValue(func() []Row {
		return slices.DeleteFunc(embedded(onlyReported), func(r Row) bool { return !r.Report })
	})
)

func embedded(part func(text string) (string, error)) []Row {
	rows, err := readAll(files, part)
	if err != nil {
		panic("reference: " + err.Error()) // a test reads it
	}
	return rows
}

// Prepare reads the files of checks; else the first use does.
func Prepare() { reported() }

// tableMark begins a table of a file.
const tableMark = "\n[[table]]\n"

func whole(text string) (string, error) { return text, nil }

// onlyReported leaves out the tables that have no row of the file's report.
func onlyReported(text string) (string, error) {
	head, tables, _ := strings.Cut(text, tableMark)
	var f file
	if _, err := toml.Decode(head, &f); err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(head)
	for t := range strings.SplitSeq(tables, tableMark) {
		_, id, _ := strings.Cut("\n"+t, "\nid = \"")
		id = id[:max(0, strings.IndexAny(id, "{\""))] // up to the first that is filled in
		if slices.ContainsFunc(f.Report, func(want string) bool { return strings.HasPrefix(want, id) }) {
			b.WriteString(tableMark + t)
		}
	}
	return b.String(), nil
}

// readAll reads the part wanted of each file and makes its rows.
func readAll(fsys fs.FS, part func(text string) (string, error)) ([]Row, error) {
	names, err := fs.Glob(fsys, "checks/*.toml")
	if err != nil {
		return nil, err
	}
	var all []file
	for _, n := range names {
		f, err := decode(fsys, n, part)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path.Base(n), err)
		}
		all = append(all, f)
	}
	slices.SortStableFunc(all, func(a, b file) int { return a.Order - b.Order })
	var rows []Row
	for _, f := range all {
		first := len(rows)
		for _, t := range f.Tables {
			r, err := t.expand()
			if err != nil {
				return nil, fmt.Errorf("%s: table %s (%s): %w", f.Subject, t.Row, t.ID, err)
			}
			rows = append(rows, r...)
		}
		for i := first; i < len(rows); i++ {
			rows[i].Subject = f.Subject
		}
		for _, id := range f.Report {
			i := slices.IndexFunc(rows[first:], func(r Row) bool { return r.ID == id })
			if i < 0 {
				return nil, fmt.Errorf("%s: report names %s, which is no check of the file", f.Subject, id)
			}
			rows[first+i].Report = true
		}
	}
	return rows, nil
}

func decode(fsys fs.FS, name string, part func(text string) (string, error)) (f file, err error) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return f, err
	}
	text, err := part(string(data))
	if err != nil {
		return f, err
	}
	md, err := toml.Decode(text, &f)
	if err != nil {
		return f, err
	}
	if keys := md.Undecoded(); len(keys) > 0 {
		return f, fmt.Errorf("unknown key %s", keys[0])
	}
	return f, nil
}

// markOf reads how a figure is known: the grades in words, or "transcribed (n)"
// with n independent copies that agree.
func markOf(word string) (ledger.Known, error) {
	if strings.HasPrefix(word, "transcribed (") {
		return source.Mark(word), nil
	}
	if k := ledger.Known(word); slices.Contains(ledger.Grades(), k) && k.Grade() == k && word != "transcribed" {
		return k, nil
	}
	return "", fmt.Errorf("unknown mark %q", word)
}

// expand makes one Row of each figure of the table.
func (t table) expand() ([]Row, error) {
	columns := t.Columns
	if len(columns) == 0 {
		columns = []column{{}}
	}
	var given []Input
	words := []string{} // placeholder, text, placeholder, text …
	for _, g := range t.Given {
		in, number, err := parseGiven(g)
		if err != nil {
			return nil, err
		}
		given = append(given, in)
		words = append(words, "{"+in.Name+"}", number)
	}
	var out []Row
	constants := make([][]Input, len(columns))
	for i, c := range columns {
		for _, g := range c.Given {
			in, _, err := parseGiven(g)
			if err != nil {
				return nil, err
			}
			constants[i] = append(constants[i], in)
		}
	}
	for n, cells := range t.Rows {
		place := slices.Clone(words)
		if len(cells) > 0 {
			if key, ok := cells[0].(string); ok {
				place = append(place, "{key}", key)
				cells = cells[1:]
			}
		}
		if len(cells) != len(t.Inputs)+len(columns) {
			return nil, fmt.Errorf("row %d has %d numbers, not %d", n+1, len(cells), len(t.Inputs)+len(columns))
		}
		numbers := make([]float64, len(cells))
		for i, c := range cells {
			switch v := c.(type) {
			case int64:
				numbers[i] = float64(v)
			case float64:
				numbers[i] = v
			default:
				return nil, fmt.Errorf("row %d: %v is not a number", n+1, c)
			}
		}
		inputs := slices.Clone(given)
		for i, text := range t.Inputs {
			name, unit, _ := strings.Cut(text, " ")
			in, err := inSI(name, numbers[i], unit)
			if err != nil {
				return nil, err
			}
			inputs = append(inputs, in)
			place = append(place, "{"+name+"}", strconv.FormatFloat(numbers[i], 'f', -1, 64))
		}
		for i, c := range columns {
			published := numbers[len(t.Inputs)+i]
			if math.IsNaN(published) {
				continue // the source has no figure here
			}
			r, err := t.row(c, published)
			if err != nil {
				return nil, err
			}
			r.Inputs = append(slices.Clip(inputs), constants[i]...)
			texts := append(slices.Clone(place), "{name}", c.Name, "{words}", c.Words)
			r.ID, r.What = fill(t.ID, texts), fill(t.What, texts)
			out = append(out, r)
		}
	}
	return out, nil
}

// fill puts texts in place of placeholders: placeholder, text, placeholder …
func fill(s string, texts []string) string {
	for i := 0; i < len(texts) && strings.Contains(s, "{"); i += 2 {
		s = strings.ReplaceAll(s, texts[i], texts[i+1])
	}
	return s
}

// parseGiven reads "name value unit"; number is the value as written.
func parseGiven(text string) (in Input, number string, err error) {
	name, rest, _ := strings.Cut(text, " ")
	number, unit, _ := strings.Cut(rest, " ")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return Input{}, "", fmt.Errorf("given %q: %w", text, err)
	}
	in, err = inSI(name, v, unit)
	return in, number, err
}

// row makes the Row of a figure from column and table, all but inputs and texts.
func (t table) row(c column, published float64) (Row, error) {
	unit := t.Unit
	if c.Unit != nil {
		unit = *c.Unit
	}
	in, err := inSI("published", published, unit)
	if err != nil {
		return Row{}, err
	}
	u, _ := quantity.LookupUnit(unit)
	known, err := markOf(or(c.Known, t.Known))
	if err != nil {
		return Row{}, err
	}
	r := Row{
		Published: in.Value, Unit: unit, Why: or(c.Why, t.Why), Source: t.Source, Known: known,
		Stages: t.Stages, Function: or(c.Function, t.Function), Reference: t.Row,
	}
	if u.Prefixed { // Format finds the prefix
		r.Unit = base(unit)
	}
	relative, within := t.Tolerance, t.Within
	if c.Tolerance != nil || c.Within != nil {
		relative, within = c.Tolerance, c.Within
	}
	switch {
	case (relative == nil) == (within == nil):
		return Row{}, fmt.Errorf("%s: give either tolerance or within", t.ID)
	case relative != nil:
		r.Tolerance, r.Relative = *relative, true
	default:
		r.Tolerance = *within * u.Factor
	}
	if _, ok := functions[r.Function]; !ok {
		return Row{}, fmt.Errorf("unknown function %q", r.Function)
	}
	r.printDigits = digitsFor(r.Published, r.Tolerance, r.Relative)
	return r, nil
}

// base is the unit without its SI prefix.
func base(unit string) string {
	u, _ := quantity.LookupUnit(unit)
	for _, symbol := range []string{"V/m", "W/m²", "Ω/m", "H/m", "Ω·m", "A²s", "VA", "Hz", "Pa", "V", "A", "W", "Ω", "S", "F", "H", "J",
		"C", "s", "m", "T"} {
		b, _ := quantity.LookupUnit(symbol)
		if b.Dimension == u.Dimension && (strings.HasSuffix(unit, symbol)) {
			return symbol
		}
	}
	return unit
}

func inSI(name string, v float64, unit string) (Input, error) {
	u, ok := quantity.LookupUnit(unit)
	if !ok {
		return Input{}, fmt.Errorf("unknown unit %q of %s", unit, name)
	}
	return Input{name, v*u.Factor + u.Offset}, nil
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
