package spec

// Reading is one measured value.
type Reading struct {
	Of         Text     `key:"of" doc:"id of the computed quantity, such as supply.idle_voltage"`
	Value      Text     `key:"value" doc:"the value read, with its unit"`
	Error      Quantity `key:"error" unit:"%" min:"0.1 %" max:"50 %" because:"errors of meters at the bench" doc:"greatest error of the instrument, such as ±2 %; 3 % unless written"`
	How        Text     `key:"how" doc:"how and with what it was measured"`
	When       Text     `key:"when" doc:"when"`
	Conditions Text     `key:"conditions" doc:"under which conditions, such as the band, key down, after ten minutes"`
	Taken      Choice   `key:"taken" oneof:"before after" doc:"before or after the restoration; of the amplifier as it stands unless written"`
}

// Survey is what was found of one group of parts.
type Survey struct {
	Group     Choice `key:"group" required:"" oneof:"whole tubes sockets switch capacitors chokes coils resistors transformer rectifier relays meters blower wiring mains interlocks cabinet" doc:"which parts; whole is the amplifier as it was bought"`
	Condition Choice `key:"condition" required:"" oneof:"good usable repairable unobtainable unknown" doc:"condition found; unobtainable: worn out or missing, and no replacement to be had"`
	Found     Text   `key:"found" doc:"what was found"`
	Work      Text   `key:"work" doc:"work done or to do"`
	Done      Choice `key:"done" oneof:"yes no" doc:"yes where that work is done"`
	Cost      Ratio  `key:"cost" min:"0" max:"1000000" because:"in the builder's own currency" doc:"cost of that work with its parts, a plain number in the builder's own currency"`
	Verdict   Text   `key:"verdict" doc:"the builder's own verdict on it"`
}

// survey checks the names of [survey.NAME].
func (r *reader) survey() {
	for _, name := range sortedKeys(r.spec.Survey) {
		if key := "survey." + name; !partName.MatchString(name) {
			r.problem(Origin{Key: key, Position: r.at[key]}, quote(name)+" is not a name for a part of the survey",
				"small letters, digits and _, beginning with a letter, such as [survey.plate_transformer]")
		}
	}
}

// readings checks that every [reading.NAME] says what it measures.
func (r *reader) readings() {
	for _, name := range sortedKeys(r.spec.Reading) {
		x := r.spec.Reading[name]
		if x.Of.Key != "" && !x.Of.Given {
			r.problem(x.Of.Origin, "missing: id of the computed quantity",
				`such as of = "supply.idle_voltage"; results.json lists all of them`)
		}
		if x.Value.Key != "" && !x.Value.Given {
			r.problem(x.Value.Origin, "missing: the value read", `with its unit, such as value = "3010 V"`)
		}
	}
}

// Suggest returns the word of a list that was probably meant, or "".
func Suggest(word string, list []string) string { return suggest(word, list) }
