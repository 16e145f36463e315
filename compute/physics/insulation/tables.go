// Package insulation gives the distances that keep high voltage where it
// belongs: clearance through air and creepage along surfaces from the
// published tables, their correction for altitude, printed-board rules, the
// spacing of variable capacitors, and the breakdown of plain air gaps as a
// check on them all.
//
// A figure from a table is a minimum of that table's own assumptions, not a
// permission: the standard that governs the builder's equipment decides.
// Every table carries its citation and how well it is known here.
// All distances are in metres, voltages in volts.
package insulation

import (
	_ "embed"
	"errors"
	"fmt"
	"sort"

	"github.com/BurntSushi/toml"

	"anodebook/spec/quantity"
)

//go:embed tables.toml
var tablesTOML string

// Table is one published table.
type Table struct {
	Citation string      `toml:"citation"`
	Known    string      `toml:"known"`   // a mark, see package source
	Columns  []string    `toml:"columns"` // with their units
	Rows     [][]float64 `toml:"rows"`    // rising in the first column
}

// Material is a solid insulator with its electric strength at radio frequency.
type Material struct {
	Name    string    `toml:"name"`
	Factors []float64 `toml:"factors"` // on the strength at 50 Hz [1], one for each frequency
}

// Strengths is the published table of electric strength at radio frequency.
type Strengths struct {
	Citation    string     `toml:"citation"`
	Known       string     `toml:"known"`       // a mark, see package source
	Frequencies []float64  `toml:"frequencies"` // [Hz], rising
	Materials   []Material `toml:"materials"`
}

var embedded = func() (file struct {
	Table    map[string]Table `toml:"table"`
	Strength Strengths        `toml:"strength"`
}) {
	if _, err := toml.Decode(tablesTOML, &file); err != nil {
		panic("insulation: embedded tables: " + err.Error()) // unreachable: the tests decode them
	}
	return file
}()

var tables = embedded.Table

// ErrRange says that a value lies outside a published table.
var ErrRange = errors.New("insulation: outside the published table")

const rounding = 1e-9

// linear interpolates column to against column from; values below the first
// row give the first row's when clamp is set.
func (t Table) linear(from, to int, x float64, clamp bool) (float64, error) {
	first, last := t.Rows[0], t.Rows[len(t.Rows)-1]
	switch { // a unit conversion may miss an end by a rounding error
	case x < first[from] && x > first[from]*(1-rounding):
		x = first[from]
	case x > last[from] && x < last[from]*(1+rounding):
		x = last[from]
	}
	switch {
	case x < first[from] && clamp:
		return first[to], nil
	case !(x >= first[from]) || x > last[from]:
		return 0, fmt.Errorf("%w: %s against %s to %s, %s (%s)", ErrRange, quantity.Short(x, 6), quantity.Short(first[from], 6),
			quantity.Short(last[from], 6), t.Columns[from], t.Citation)
	}
	k := sort.Search(len(t.Rows)-1, func(k int) bool { return t.Rows[k+1][from] >= x })
	a, b := t.Rows[k], t.Rows[k+1]
	return a[to] + (b[to]-a[to])*(x-a[from])/(b[from]-a[from]), nil
}

// next takes column to from the first row whose first column is not below x.
func (t Table) next(to int, x float64) (float64, error) {
	k := sort.Search(len(t.Rows), func(k int) bool { return t.Rows[k][0]*(1+rounding) >= x })
	if k == len(t.Rows) || !(x >= 0) {
		return 0, fmt.Errorf("%w: %s, the table ends at %s, %s (%s)", ErrRange, quantity.Short(x, 6),
			quantity.Short(t.Rows[len(t.Rows)-1][0], 6), t.Columns[0], t.Citation)
	}
	return t.Rows[k][to], nil
}
