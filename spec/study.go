package spec

// Study is a sweep, a tolerance run or a search for the worst case.
type Study struct {
	Kind         Choice         `key:"kind" required:"" oneof:"sweep tolerance corners" doc:"sweep: a key goes through an interval; tolerance: many builds with parts as they come; corners: the parts that matter most at both ends of their tolerances"`
	Sweep        Text           `key:"sweep" doc:"of a sweep: key and interval, such as tank.loaded_q = 8 .. 16"`
	Second       Text           `key:"second_sweep" doc:"of a sweep: a second key and its interval; both together make a grid"`
	Steps        Count          `key:"steps" min:"2" max:"400" because:"every step is a whole computation" doc:"of a sweep: values from end to end, both ends counted; 9 unless written"`
	Watch        Text           `key:"watch" doc:"ids of the results to watch, with commas between them; a dozen key results unless written"`
	Builds       Count          `key:"builds" min:"1" max:"1000000" because:"every build is a whole computation" doc:"of a tolerance run: how many amplifiers are built; 1000 unless written"`
	Seed         Count          `key:"seed" min:"1" max:"1000000000" because:"another seed deals out other parts" doc:"of a tolerance run: which parts are dealt out; the same seed gives the same builds; 1 unless written"`
	Distribution Choice         `key:"distribution" oneof:"uniform normal" doc:"of a tolerance run: uniform, or normal with two standard deviations for the tolerance and nothing beyond it; as usual for each class of parts unless written"`
	Tolerance    StudyTolerance `key:"tolerance"`
}

// StudyTolerance is the builder's own tolerances, by class of parts.
type StudyTolerance struct {
	Mains       Quantity `key:"mains" unit:"%" min:"0 %" max:"20 %" because:"supply voltage spread" doc:"mains voltage; supply.mains.tolerance unless written"`
	Transformer Quantity `key:"transformer" unit:"%" min:"0 %" max:"50 %" because:"windings as measured or estimated" doc:"resistances, regulation and leakage of the plate transformer, each"`
	Capacitors  Quantity `key:"capacitors" unit:"%" min:"0 %" max:"80 %" because:"from silver mica to electrolytics" doc:"every fixed capacitor"`
	Coils       Quantity `key:"coils" unit:"%" min:"0 %" max:"50 %" because:"inductance and Q of what was wound by hand" doc:"inductance of chokes and Q of coils, each"`
	Resistors   Quantity `key:"resistors" unit:"%" min:"0 %" max:"50 %" because:"from metal film to composition" doc:"every resistor"`
	Tubes       Quantity `key:"tubes" unit:"%" min:"0 %" max:"29 %" because:"tubes of one type, new and used" doc:"perveance of the tubes; tubes.mismatch unless written"`
	Strays      Quantity `key:"strays" unit:"%" min:"0 %" max:"90 %" because:"estimates of wiring" doc:"stray capacitances"`
}

// studies checks what needs more than one key of [study.NAME].
func (r *reader) studies() {
	s := r.spec
	for _, name := range sortedKeys(s.Study) {
		x := s.Study[name]
		key := "study." + name
		if !partName.MatchString(name) {
			r.problem(Origin{Key: key, Position: r.at[key]}, quote(name)+" is not a name for a study",
				"small letters, digits and _, beginning with a letter, such as [study.loaded_q]")
		}
		sweep := x.Kind.Value == "sweep"
		if x.Kind.Value == "" {
			continue
		}
		if sweep && !x.Sweep.Given {
			r.problem(x.Sweep.Origin, "missing: key and interval", `such as sweep = "tank.loaded_q = 8 .. 16"`)
		}
		for _, t := range []Text{x.Sweep, x.Second} {
			if !t.Given {
				continue
			}
			if !sweep {
				r.problem(t.Origin, "only a sweep has an interval", `kind = "sweep", or delete this key`)
				continue
			}
			if _, err := s.ParseSweep(t.Value); err != nil {
				e := err.(*SettingError)
				r.problem(t.Origin, e.Error(), e.Hint)
			}
		}
		for _, o := range []Origin{x.Builds.Origin, x.Seed.Origin} {
			if o.Given && x.Kind.Value != "tolerance" {
				r.problem(o, "only a tolerance run has builds", `kind = "tolerance", or delete this key`)
			}
		}
		if x.Steps.Given && !sweep {
			r.problem(x.Steps.Origin, "only a sweep has steps", `kind = "sweep", or delete this key`)
		}
	}
}
