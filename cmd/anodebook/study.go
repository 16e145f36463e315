package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"anodebook/compute/study"
	"anodebook/report"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

var studyCommand = &command{
	name:    "study",
	args:    "SPEC [NAME…] [--sweep KEY=LOW..HIGH] [--tolerance] [--corners]",
	summary: "sweeps of a key, tolerance runs and worst cases",
	help: `Asks of a design what a single run cannot tell, and prints tables.

--sweep lets one numeric key of the spec go through an interval; given twice, it
makes a grid. Each point is a whole design, and says what exceeds there.
--tolerance builds the amplifier many times with parts as they come: percentiles
of the results, the share of builds in which each finding appears, and which
part moves each result most, so which to measure before buying.
--corners puts the parts that decide most, at most eight, to the ends of their
tolerances in every combination.
NAME is a [study.NAME] of the spec; without names and flags all of them are run.

What the target asks for (output, drive or plate current) is met in every build,
as by an operator who drives, tunes and loads until the meters show it. What the
nominal design chose to buy is bought once and held. The last table of a run
lists each part with its tolerance and how that is known; --tolerances changes
them by class: mains, transformer, capacitors, coils, resistors, tubes, strays.

The same seed gives the same numbers on any number of cores. Ctrl-C ends a run
early and prints what is done. Exit code 0; 1: interrupted; 2: the spec cannot
be read or a study cannot be.`,
	example: `anodebook study examples/club-station.toml --sweep tank.loaded_q=8..16 --steps 5
anodebook study examples/club-station.toml --tolerance --builds 1000 --seed 1 -o spread
anodebook study examples/club-station.toml --corners --tolerances "coils=10 %, tubes=15 %"
anodebook study examples/club-station.toml mains_by_day`,
	flags: func(fs *flag.FlagSet) any {
		f := &studyFlags{set: fs}
		fs.Func("sweep", "`KEY=LOW..HIGH` to go through, such as tank.loaded_q=8..16; twice for a grid", func(s string) error {
			f.sweeps = append(f.sweeps, s)
			return nil
		})
		fs.IntVar(&f.steps, "steps", defaultSteps, "`N` values of each sweep, both ends counted")
		fs.StringVar(&f.watch, "watch", "", "`IDS` of the results to watch, with commas between them")
		fs.BoolVar(&f.tolerance, "tolerance", false, "build it many times with parts as they come")
		fs.IntVar(&f.builds, "builds", defaultBuilds, "`N` builds of a tolerance run")
		fs.Uint64Var(&f.seed, "seed", defaultSeed, "`N` that says which parts are dealt out")
		fs.BoolVar(&f.corners, "corners", false, "search for the worst case")
		fs.StringVar(&f.tolerances, "tolerances", "", "`LIST` of own tolerances by class, such as \"coils=10 %, mains=3 %\"")
		fs.StringVar(&f.distribution, "distribution", "", "`WORD` for all parts: uniform or normal")
		fs.StringVar(&f.dir, "o", "", "`DIR` to write study.md, CSV files and figures into")
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		// thousands of short-lived designs: memory is cheaper than collecting
		defer debug.SetGCPercent(debug.SetGCPercent(1600))
		return e.study(context.Background(), flags.(*studyFlags), args)
	},
}

// What a study takes where nothing is said.
const (
	defaultSteps  = 9
	defaultBuilds = 1000
	defaultSeed   = 1
	mostSteps     = 400
	mostBuilds    = 1_000_000
)

type studyFlags struct {
	set                *flag.FlagSet
	sweeps             []string
	steps, builds      int
	seed               uint64
	watch, tolerances  string
	distribution, dir  string
	tolerance, corners bool
	progress           func(done, total int) // for tests
}

// job is one study to be run.
type job struct {
	name   string
	axes   []study.Axis
	watch  []string
	builds int // 0: no tolerance run
	seed   uint64
	tol    study.Tolerances
}

func (e *environment) study(ctx context.Context, f *studyFlags, args []string) (int, error) {
	if len(args) == 0 {
		return exitError, hinted{errors.New("study: no spec named"), "anodebook study my-amplifier.toml --tolerance"}
	}
	s, err := e.load(args[0])
	if err != nil {
		return exitError, err
	}
	jobs, err := f.jobs(s, args[0], args[1:])
	if err != nil {
		return exitError, wordSetting(err)
	}
	// Only now: a Ctrl-C while a pipe is read ends the program as ever.
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt)
	defer stop()
	code := exitGood
	var names []string
	var done []report.Study
	for _, j := range jobs {
		r, finished, err := e.runJob(ctx, s, j, f)
		if err != nil {
			return exitError, wordSetting(err)
		}
		if len(done) > 0 {
			fmt.Fprintln(e.stdout)
		}
		if err := r.Text(e.stdout); err != nil {
			return exitError, err
		}
		names, done = append(names, j.name), append(done, r)
		if !finished {
			code = exitFinding
			fmt.Fprintln(e.stderr, "anodebook: study: interrupted; what is printed is what was done")
			break
		}
	}
	if f.dir != "" {
		title := s.Notebook.Title.Value
		if title == "" {
			title = "Studies"
		}
		files, err := report.StudyFiles(title, names, done)
		if err != nil {
			return exitError, err
		}
		if err := replaceFolder(f.dir, files); err != nil {
			return exitError, err
		}
	}
	return code, nil
}

// wordSetting gives an error of a key its hint.
func wordSetting(err error) error {
	var k *spec.SettingError
	if errors.As(err, &k) {
		return hinted{fmt.Errorf("study: %w", k), k.Hint}
	}
	return err
}

// jobs says what is to be run: what the flags ask for, or else the studies of
// the spec.
func (f *studyFlags) jobs(s *spec.Spec, path string, names []string) ([]job, error) {
	kinds := 0
	for _, asked := range []bool{len(f.sweeps) > 0, f.tolerance, f.corners} {
		if asked {
			kinds++
		}
	}
	written := map[string]bool{}
	f.set.Visit(func(x *flag.Flag) { written[x.Name] = true })
	own := slices.Sorted(maps.Keys(s.Study))
	switch {
	case kinds > 1:
		return nil, hinted{errors.New("study: more than one kind of study"),
			"one of --sweep, --tolerance and --corners; several studies stand in the spec as [study.NAME]"}
	case kinds == 1 && len(names) > 0:
		return nil, hinted{fmt.Errorf("study: %q beside a study from flags", names[0]),
			"either a [study.NAME] of the spec by its name, or flags"}
	case kinds == 0:
		for name := range written {
			if name != "o" && name != "watch" {
				names := map[string]string{"steps": "--sweep KEY=LOW..HIGH", "builds": "--tolerance", "seed": "--tolerance",
					"tolerances": "--tolerance or --corners", "distribution": "--tolerance"}
				return nil, hinted{fmt.Errorf("study: --%s without a study from flags", name), "it goes with " + names[name]}
			}
		}
		if len(own) == 0 {
			return nil, hinted{fmt.Errorf("study: %s has no [study.NAME], and no flag asks for a study", path),
				"--sweep KEY=LOW..HIGH, --tolerance or --corners"}
		}
		if len(names) == 0 {
			names = own
		}
		var out []job
		for _, n := range names {
			x, ok := s.Study[n]
			if !ok {
				hint := "the spec has " + strings.Join(own, ", ")
				if near := spec.Suggest(n, own); near != "" {
					hint = fmt.Sprintf("did you mean %s?", near)
				}
				return nil, hinted{fmt.Errorf("study: the spec has no [study.%s]", n), hint}
			}
			j, err := tableJob(s, n, x)
			if err != nil {
				return nil, err
			}
			if written["watch"] {
				j.watch = commas(f.watch)
			}
			out = append(out, j)
		}
		return out, nil
	}
	return f.flagJob(s, written)
}

// flagJob is the study that the flags describe.
func (f *studyFlags) flagJob(s *spec.Spec, written map[string]bool) ([]job, error) {
	sweep := len(f.sweeps) > 0
	refuse := func(flag, goes string) error {
		return hinted{fmt.Errorf("study: --%s does not go with this study", flag), "it goes with " + goes}
	}
	switch {
	case written["steps"] && !sweep:
		return nil, refuse("steps", "--sweep")
	case (written["builds"] || written["seed"] || written["distribution"]) && !f.tolerance:
		return nil, hinted{errors.New("study: only a tolerance run has builds, a seed and a distribution"),
			"--tolerance --builds 1000 --seed 1"}
	case written["tolerances"] && sweep:
		return nil, refuse("tolerances", "--tolerance or --corners")
	case len(f.sweeps) > 2:
		return nil, hinted{fmt.Errorf("study: %d sweeps at once", len(f.sweeps)), "one key, or two for a grid"}
	case f.steps < 2 || f.steps > mostSteps:
		return nil, hinted{fmt.Errorf("study: %d steps", f.steps), fmt.Sprintf("2 to %d", mostSteps)}
	case f.builds < 1 || f.builds > mostBuilds:
		return nil, hinted{fmt.Errorf("study: %d builds", f.builds), fmt.Sprintf("1 to %d", mostBuilds)}
	}
	j := job{name: "study", watch: commas(f.watch), seed: f.seed}
	for _, text := range f.sweeps {
		w, err := s.ParseSweep(text)
		if err != nil {
			return nil, err
		}
		j.axes = append(j.axes, study.Steps(w, f.steps))
	}
	if f.tolerance {
		j.builds = f.builds
	}
	var err error
	if j.tol, err = f.ownTolerances(); err != nil {
		return nil, err
	}
	return []job{j}, nil
}

// ownTolerances reads --tolerances and --distribution.
func (f *studyFlags) ownTolerances() (study.Tolerances, error) {
	t := study.Tolerances{Class: map[study.Class]float64{}, Distribution: study.Distribution(f.distribution)}
	if d := t.Distribution; d != "" && d != study.Uniform && d != study.Normal {
		return t, hinted{fmt.Errorf("study: no distribution %q", f.distribution), "--distribution uniform or --distribution normal"}
	}
	var classes []string
	for _, c := range study.Classes {
		classes = append(classes, string(c))
	}
	for _, item := range commas(f.tolerances) {
		name, value, _ := strings.Cut(item, "=")
		name = strings.TrimSpace(name)
		if !slices.Contains(classes, name) {
			return t, hinted{fmt.Errorf("study: no class of parts %q", name), "the classes are " + strings.Join(classes, ", ")}
		}
		v, err := quantity.Parse(strings.TrimSpace(value))
		if unit, _ := quantity.LookupUnit(v.Unit); err != nil || unit.Kind() != "%" || v.SI < 0 || v.SI >= 0.9 {
			return t, hinted{fmt.Errorf("study: %q is not a tolerance", item), "such as \"coils=10 %\", from 0 to 90 %"}
		}
		t.Class[study.Class(name)] = v.SI
	}
	return t, nil
}

// tableJob is the study of a [study.NAME].
func tableJob(s *spec.Spec, name string, x spec.Study) (job, error) {
	j := job{name: name, watch: commas(x.Watch.Value), seed: defaultSeed,
		tol: study.Tolerances{Class: map[study.Class]float64{}, Distribution: study.Distribution(x.Distribution.Value)}}
	steps := defaultSteps
	if x.Steps.Given {
		steps = x.Steps.N
	}
	for _, t := range []spec.Text{x.Sweep, x.Second} {
		if !t.Given {
			continue
		}
		w, err := s.ParseSweep(t.Value)
		if err != nil {
			return j, err
		}
		j.axes = append(j.axes, study.Steps(w, steps))
	}
	if x.Kind.Value == "tolerance" {
		j.builds = defaultBuilds
		if x.Builds.Given {
			j.builds = x.Builds.N
		}
		if x.Seed.Given {
			j.seed = uint64(x.Seed.N)
		}
	}
	own := &x.Tolerance
	for class, q := range map[study.Class]spec.Quantity{
		study.Mains: own.Mains, study.Transformer: own.Transformer, study.Capacitors: own.Capacitors, study.Coils: own.Coils,
		study.Resistors: own.Resistors, study.Tubes: own.Tubes, study.Strays: own.Strays,
	} {
		if q.Given {
			j.tol.Class[class] = q.SI
		}
	}
	return j, nil
}

// commas splits a list.
func commas(text string) []string {
	var out []string
	for _, w := range strings.Split(text, ",") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}

// runJob runs one study; finished is false where it was interrupted.
func (e *environment) runJob(ctx context.Context, s *spec.Spec, j job, f *studyFlags) (r report.Study, finished bool, err error) {
	o := study.Options{Progress: f.progress}
	if tell, clear := e.progress(); o.Progress == nil && tell != nil {
		o.Progress = tell
		defer clear()
	}
	if len(j.axes) > 0 {
		w, err := study.Sweep(ctx, s, j.axes, j.watch, o)
		if err != nil {
			return r, false, err
		}
		return report.SweepStudy(j.name, w), w.Done == len(w.Points), nil
	}
	b, err := study.Lay(s, j.tol)
	if err != nil {
		return r, false, err
	}
	if j.builds > 0 {
		t, err := b.Tolerance(ctx, j.builds, j.seed, j.watch, o)
		if err != nil {
			return r, false, err
		}
		return report.ToleranceStudy(j.name, j.seed, t), t.Done == t.Builds, nil
	}
	c, err := b.Corners(ctx, j.watch, o)
	if err != nil {
		return r, false, err
	}
	return report.CornersStudy(c), c.Done == c.Corners && len(c.Effects) > 0, nil
}

// progress returns what draws a bar, and what takes it away again, if standard
// error is a terminal.
func (e *environment) progress() (tell func(done, total int), clear func()) {
	out := e.stderr
	if c, ok := out.(*console); ok {
		out = c.to // the bar moves the cursor
	}
	file, ok := out.(*os.File)
	if !ok || !terminal(file) {
		return nil, nil
	}
	var lock sync.Mutex
	last := -1
	tell = func(done, total int) {
		lock.Lock()
		defer lock.Unlock()
		if p := 200 * done / total; p > last {
			last = p
			fmt.Fprint(file, bar(done, total))
		}
	}
	return tell, func() { fmt.Fprint(file, "\r\x1b[K") }
}

// bar is a line that shows how far a study is; it returns to its own start.
func bar(done, total int) string {
	const width = 40
	full := width * done / total
	return fmt.Sprintf("\r[%s%s] %d of %d", strings.Repeat("#", full), strings.Repeat(".", width-full), done, total)
}
