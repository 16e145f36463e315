package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"anodebook/compute/physics/tube"
	"anodebook/report"
	"anodebook/spec/quantity"
)

var tubesCommand = &command{
	name:    "tubes",
	args:    "[TYPE] [-o DIR] [--min-output P] [--max-voltage V]",
	summary: "list the tube catalogue, or show one type with its published figures",
	help: `Without TYPE: every type with its main ratings and the greatest output that is
published for a pair; the filters keep the types that reach an output and need
no more than a plate voltage for it. With TYPE: ratings, published
operating columns, the static model fitted to them, and what the model makes of
each column. Beside each figure stands how it is known: read (in a reprint or
quotation), memory (of the source named), weak (never used as a check). With -o
the fitted curves are drawn into a folder: constant-current.svg and
plate-characteristics.svg.`,
	example: "anodebook tubes --min-output 1000W --max-voltage 3kV",
	flags: func(fs *flag.FlagSet) any {
		f := &tubeFilter{voltage: math.Inf(1)}
		fs.StringVar(&f.dir, "o", "", "`DIR` to draw the curves of TYPE into")
		fs.Func("min-output", "least published output `P` of a pair", measure(quantity.Power, &f.output))
		fs.Func("max-voltage", "greatest plate voltage `V` for it", measure(quantity.Voltage, &f.voltage))
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		switch len(args) {
		case 0:
			return exitGood, listTubes(e.stdout, *flags.(*tubeFilter))
		case 1:
			t, ok := tube.Lookup(args[0])
			if !ok {
				return exitError, hinted{fmt.Errorf("tubes: type %q is not in the catalogue", args[0]), "known: " +
					strings.Join(tube.Types(), ", ")}
			}
			if dir := flags.(*tubeFilter).dir; dir != "" {
				files, err := report.TubeCurves(t)
				if err != nil {
					return exitError, err
				}
				if err := replaceFolder(dir, files); err != nil {
					return exitError, err
				}
			}
			return exitGood, showTube(e.stdout, t)
		}
		return exitError, hinted{fmt.Errorf("tubes: %d types named, one at a time", len(args)), "anodebook tubes " + args[0]}
	},
}

// figure writes a catalogue figure, or a dash where the source is silent.
func figure(f tube.Figure, unit string) string {
	if !f.Known {
		return "—"
	}
	return quantity.Format(f.Value, unit, 3)
}

// tubeFilter is what a type must reach to be listed.
type tubeFilter struct {
	output  float64 // published for a pair [W]
	voltage float64 // at no more than this on the plates [V]
	dir     string  // for the curves of one type; empty: none
}

// measure reads a flag that is a quantity.
func measure(want quantity.Dimension, to *float64) func(string) error {
	return func(text string) error {
		v, err := quantity.Parse(text)
		if err != nil {
			return err
		}
		if v.Dimension != want {
			return fmt.Errorf("%q is %s, wanted is %s", text, v.Name(), want.Name())
		}
		*to = v.SI
		return nil
	}
}

// bestPair is the greatest output published for a pair [W] at no more than a
// plate voltage [V]; 0 if none is.
func bestPair(t *tube.Type, voltage float64) (best float64) {
	for _, c := range t.ColumnsEach() {
		if c.PlateVoltage.Value <= voltage {
			best = max(best, 2*c.Output.Value)
		}
	}
	return best
}

func listTubes(w io.Writer, f tubeFilter) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "type\tcathode\theater\tplate V\tplate A\tplate W\tpair gives\tcolumns\tmodel")
	listed := 0
	for _, x := range tube.All() {
		best := bestPair(x, f.voltage)
		if best < f.output || f.output == 0 && !math.IsInf(f.voltage, 1) && best == 0 {
			continue
		}
		listed++
		model, gives := string(x.Kind), "—"
		if x.Kind == tube.NoModel {
			model = "none"
		}
		if best > 0 {
			gives = quantity.Format(best, "W", 3)
		}
		fmt.Fprintf(t, "%s\t%s\t%s %s\t%s\t%s\t%s\t%s\t%d\t%s\n", x.Name, x.Cathode, figure(x.Heater.Voltage, "V"),
			figure(x.Heater.Current, "A"),
			figure(x.Limits.PlateVoltage, "V"), figure(x.Limits.PlateCurrent, "A"), figure(x.Limits.PlateDissipation, "W"), gives,
			len(x.Columns), model)
	}
	if listed == 0 {
		_, err := fmt.Fprintln(w, "no type of the catalogue is published with that output at that plate voltage")
		return err
	}
	return t.Flush()
}

func showTube(w io.Writer, x *tube.Type) error {
	fmt.Fprintf(w, "%s: %s\n\n", x.Name, x.Description)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	row := func(name string, f tube.Figure, unit string) {
		if f.Known {
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\n", name, quantity.Format(f.Value, unit, 4), f.Mark, x.Sources[f.Source])
		} else {
			fmt.Fprintf(t, "  %s\tunknown\n", name)
		}
	}
	fmt.Fprintln(t, "ratings, one tube")
	row("plate voltage, maximum", x.Limits.PlateVoltage, "V")
	row("plate current, maximum", x.Limits.PlateCurrent, "A")
	row("plate dissipation, maximum", x.Limits.PlateDissipation, "W")
	row("grid dissipation, maximum", x.Limits.GridDissipation, "W")
	if x.Connected {
		row("screen dissipation, maximum", x.Limits.ScreenDissipation, "W")
	}
	row("grid current, maximum", x.Limits.GridCurrent, "A")
	row("frequency for full ratings", x.Limits.Frequency, "Hz")
	row("amplification factor", x.Mu, "")
	row("heater voltage", x.Heater.Voltage, "V")
	row("heater voltage, ±", x.Heater.Tolerance, "V")
	row("heater current", x.Heater.Current, "A")
	row("inrush over rated current, at most", x.Heater.InrushFactor, "")
	row("warm-up", x.Heater.WarmUp, "s")
	row("input capacitance", x.Capacitance.Input, "F")
	row("output capacitance", x.Capacitance.Output, "F")
	row("feedback capacitance", x.Capacitance.Feedback, "F")
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nbase: %s (%s)\n", x.Base.Text, x.Base.Grade)
	fmt.Fprintf(w, "stop at: %s (%s, common practice)\n", x.Plate.Stop(), x.Plate.Grade)
	fmt.Fprintf(w, "\ncooling: %s\n", x.Cooling.Method)
	for _, a := range x.Cooling.Air {
		fmt.Fprintf(w, "  %s at %s for %s of plate dissipation (%s)\n", figure(a.Flow, "m³/s"), figure(a.Pressure, "Pa"),
			figure(a.Dissipation, "W"), a.Flow.Mark)
	}
	if len(x.Columns) > 0 {
		fmt.Fprintln(w, "\npublished operating columns, cathode driven, one tube")
		fmt.Fprintln(t, "  column\tplate V\tbias\tidle\tplate A\tgrid A\tload\tdriving\toutput\tIMD3\tmark of output")
		for _, c := range x.ColumnsEach() {
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", c.Name, figure(c.PlateVoltage, "V"), figure(c.Bias, "V"),
				figure(c.IdleCurrent, "A"),
				figure(c.PlateCurrent, "A"), figure(c.GridCurrent, "A"), figure(c.PlateLoad, "Ω"), figure(c.Driving, "Ω"),
				figure(c.Output, "W"), figure(c.Intermod3, "dB"), c.Output.Mark)
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	if x.Connected {
		fmt.Fprintf(w,
			"\ntriode connected, both grids at ground: the screen takes about %.0f %% of the grid current, the control grid the rest "+
				"(from the columns, second hand; practice also quotes 25 %%)\n", 100*tube.ScreenShare)
		for _, c := range x.ColumnsEach() {
			if g := c.GridCurrent; g.Known {
				fmt.Fprintf(t, "  %s\tboth grids %s\tscreen about %s\tcontrol grid about %s\n", c.Name, figure(g, "A"),
					quantity.Format(tube.ScreenShare*g.Value, "A", 2), quantity.Format((1-tube.ScreenShare)*g.Value, "A", 2))
			}
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	if x.Kind == tube.NoModel {
		fmt.Fprintln(w, "\nno static model: nothing published supports one")
		return notes(w, x)
	}
	m := x.Model
	fmt.Fprintf(w, "\nstatic model (%s): ik = K·u^x, u = s·ln(1 + exp((vg + vp/µ)/s)), ig/ip = sqrt(vg/vp)/D\n", x.Kind)
	fmt.Fprintf(w, "  K %s A/V^x, µ %s, x %s, D %s, s %s V\n", quantity.Short(m.K, 4), quantity.Short(m.Mu, 4),
		quantity.Short(m.Exponent, 4), quantity.Short(m.Division, 4), quantity.Short(m.Softness, 4))
	if len(x.Parameters) > 0 {
		fmt.Fprintln(w,
			"\nwhat the columns fix (standard deviation; share of what is known that the columns contribute; the rest is a usual "+
				"value or the published µ)")
		for _, p := range x.Parameters {
			size := fmt.Sprintf("±%.0f %%", 100*p.Deviation)
			switch p.Name {
			case "x":
				size = fmt.Sprintf("±%.2f", p.Deviation)
			case "K":
				size += " at 100 V"
			}
			fmt.Fprintf(t, "  %s\t%s\t%.0f %%\t%s\ttrades most against %s (correlation %s)\n", p.Name, size, 100*p.Share, p.Words(),
				p.Partner, quantity.Signed(p.Correlation, 2))
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	if err := residuals(w, "published against the model", "model", x.Residuals); err != nil {
		return err
	}
	if err := residuals(w, "each column left out, and predicted by a fit to the others", "predicted", x.LeftOut); err != nil {
		return err
	}
	return notes(w, x)
}

// residuals prints published figures beside computed ones.
func residuals(w io.Writer, heading, computed string, list []tube.Residual) error {
	if len(list) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "\n%s\n", heading)
	fmt.Fprintf(t, "  column\tquantity\tpublished\t%s\terror\tmark\tgrade\t\n", computed)
	for _, r := range list {
		pinned := ""
		if r.Pinned {
			pinned = "met by construction"
		}
		unit := tube.ResidualUnit(r.Quantity)
		fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s %%\t%s\t%s\t%s\n", r.Column, r.Quantity, quantity.Format(r.Published, unit, 3),
			quantity.Format(r.Computed, unit, 3), quantity.Signed(100*r.Error, 1), r.Mark, r.Grade, pinned)
	}
	return t.Flush()
}

func notes(w io.Writer, x *tube.Type) error {
	for _, n := range x.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	for _, c := range x.Cautions {
		fmt.Fprintf(w, "\ncaution: %s\n", c)
	}
	return nil
}
