package spec

// Position is a place in a spec file; Line and Column count from 1, Column in
// characters.
type Position struct{ Line, Column int }

// Origin is what every field of a spec knows about itself.
type Origin struct {
	Key   string // dotted path, such as "tank.tune.range"
	Given bool   // the builder wrote it; otherwise it is a default or absent
	Position
}

// Quantity is a number with a unit, in SI base units. It has a value if Given
// or Assumed.
type Quantity struct {
	Origin
	SI      float64
	Assumed bool // the default of the table, listed among the assumptions
}

// Known says that the quantity has a value, given or by default.
func (q Quantity) Known() bool { return q.Given || q.Assumed }

// Range is an interval in SI base units; a single value has Low = High.
type Range struct {
	Origin
	Low, High float64
}

// Ratio is a plain number.
type Ratio struct {
	Origin
	Value   float64
	Assumed bool
}

// Count is a whole number.
type Count struct {
	Origin
	N       int
	Assumed bool
}

// Flag is a yes or no. Not writing it is neither: ask Given first.
type Flag struct {
	Origin
	Value bool
}

// Denied says that the builder wrote false.
func (f Flag) Denied() bool { return f.Given && !f.Value }

// Text is free text of the builder's own.
type Text struct {
	Origin
	Value string
}

// Choice is one word of a fixed list.
type Choice struct {
	Origin
	Value string
}

// Words is a list of words of a fixed list.
type Words struct {
	Origin
	Values []string
}

// Quantities is a list of numbers with units, in SI base units.
type Quantities struct {
	Origin
	SI []float64
}
