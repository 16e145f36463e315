package rectifier

import "fmt"

// Kind is one of the rectifiers that a spec can name: a connection, and
// whether a choke lies between it and the filter capacitor.
type Kind struct {
	Word    string // supply.rectifier of the spec
	Circuit Circuit
	Choke   bool
}

// Kinds are all of them. A test of the supply holds the list against the words
// of the spec, and each property of each kind against figures written by hand.
var Kinds = [...]Kind{
	{Word: "bridge", Circuit: Bridge},
	{Word: "centre-tap", Circuit: CentreTap},
	{Word: "doubler", Circuit: Doubler},
	{Word: "choke-input", Circuit: Bridge, Choke: true},
	{Word: "choke-input-centre-tap", Circuit: CentreTap, Choke: true},
}

// KindOf returns the kind of a word of supply.rectifier. The error is for a
// word that is none: there is no kind by default.
func KindOf(word string) (Kind, error) {
	for _, k := range Kinds {
		if k.Word == word {
			return k, nil
		}
	}
	return Kind{}, fmt.Errorf("rectifier: no rectifier is called %q", word)
}

// facts are what a connection is made of. All that depends on it is read from
// here: a connection without an entry does not pass Validate.
type facts struct {
	name     string
	legs     int     // diode strings
	path     int     // of them that each current pulse passes in series
	windings int     // secondary windings, each with a current of its own
	banks    int     // filter capacitors in series, each charged by a leg of its own
	crest    float64 // filter voltage without load over the crest of one winding
	reverse  float64 // peak reverse voltage of one leg over that crest
	share    float64 // mean current of one leg over the direct current out
}

var connections = [...]facts{
	Bridge:    {"full-wave bridge", 4, 2, 1, 1, 1, 1, 0.5},
	CentreTap: {"full-wave centre-tap", 2, 1, 2, 1, 1, 2, 0.5},
	Doubler:   {"full-wave doubler", 2, 1, 1, 2, 2, 2, 1},
}

func (c Circuit) known() bool { return c > 0 && int(c) < len(connections) }

// facts panics for a connection that there is not: nothing may go on with
// another one in its place.
func (c Circuit) facts() *facts {
	if !c.known() {
		panic(fmt.Sprintf("rectifier: unknown circuit %d", int(c)))
	}
	return &connections[c]
}

// String returns the trade's name of the connection.
func (c Circuit) String() string {
	if !c.known() {
		return fmt.Sprintf("Circuit(%d)", int(c))
	}
	return connections[c].name
}

// Legs returns how many diode strings there are.
func (c Circuit) Legs() int { return c.facts().legs }

// PathLegs returns how many diode strings each current pulse passes in series.
func (c Circuit) PathLegs() int { return c.facts().path }

// Windings returns how many secondary windings carry a current of their own: 2
// for the halves of a centre-tapped one.
func (c Circuit) Windings() int { return c.facts().windings }

// Banks returns how many filter capacitors lie in series, each charged by a
// leg of its own: 2 for Doubler.
func (c Circuit) Banks() int { return c.facts().banks }

// LegShare returns the mean current of one leg over the direct current out.
func (c Circuit) LegShare() float64 { return c.facts().share }
