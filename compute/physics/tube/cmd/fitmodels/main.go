// Command fitmodels fits the static model of every catalogue type and writes
// parameters, residuals, what the columns fix and what they predict for a column
// left out back to the type's file. It runs in compute/tube:
//
//	go generate ./compute/tube                of every type
//	TUBE=3-500Z go generate ./compute/tube    of this one; no other file is touched
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/tube/internal/fit"
)

const marker = "\n# --- model: written by go generate, see cmd/fitmodels ---\n"

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "fitmodels:", err)
		os.Exit(1)
	}
}

func run(only []string) error {
	names, err := filepath.Glob("catalogue/*.toml")
	if err != nil {
		return err
	}
	only = slices.DeleteFunc(only, func(name string) bool { return name == "" }) // TUBE is not set
	unknown := slices.Clone(only)
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		text, _, _ := strings.Cut(string(data), marker)
		t, err := tube.Parse(text)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if len(only) > 0 && !slices.Contains(only, t.Name) {
			continue
		}
		unknown = slices.DeleteFunc(unknown, func(name string) bool { return name == t.Name })
		if t.Family == "" {
			section, err := section(t)
			if err != nil {
				return err
			}
			text += section
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			return err
		}
	}
	if len(unknown) > 0 {
		return fmt.Errorf("no file in catalogue has the name %q", unknown)
	}
	return nil
}

func section(t *tube.Type) (string, error) {
	m, kind, err := fit.Model(t)
	if err != nil || kind == tube.NoModel {
		return "", err
	}
	rs, err := tube.Compare(m, t.Columns, t.Idle)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(marker)
	fmt.Fprintf(&b, "[model]\nkind = %q\nk = %.9e\nmu = %.9e\nexponent = %.9e\ndivision = %.9e\nsoftness = %.9e\n",
		kind, m.K, m.Mu, m.Exponent, m.Division, m.Softness)
	fmt.Printf("%s (%s): K %.4g µ %.4g x %.4g D %.4g s %.4g\n", t.Name, kind, m.K, m.Mu, m.Exponent, m.Division, m.Softness)
	if kind == tube.Fitted {
		ps, err := fit.Identify(t, m)
		if err != nil {
			return "", err
		}
		for _, p := range ps {
			fmt.Fprintf(&b, "\n[[model.parameter]]\nname = %q\ndeviation = %.3e\nshare = %.3f\npartner = %q\ncorrelation = %.3f\n",
				p.Name, p.Deviation, p.Share, p.Partner, p.Correlation)
			fmt.Printf("  %s ±%.3g, %s (%.0f %%); with %s %.2f\n", p.Name, p.Deviation, p.Words(), 100*p.Share, p.Partner,
				p.Correlation)
		}
	}
	write(&b, "residual", rs)
	left, err := fit.LeaveEachOut(t)
	if err != nil {
		return "", err
	}
	if len(left) > 0 {
		fmt.Println("  left out:")
	}
	write(&b, "left_out", left)
	return b.String(), nil
}

func write(b *strings.Builder, table string, rs []tube.Residual) {
	for _, r := range rs {
		fmt.Fprintf(b,
			"\n[[model.%s]]\ncolumn = %q\nquantity = %q\npublished = %.6e\ncomputed = %.6e\nerror = %.4e\nmark = %q\ngrade = "+
				"%q\npinned = "+
				"%t\n",
			table, r.Column, r.Quantity, r.Published, r.Computed, r.Error, r.Mark, r.Grade, r.Pinned)
		fmt.Printf("  %-18s %-24s %9.4g %9.4g %+6.1f %% %s pinned=%t\n", r.Column, r.Quantity, r.Published, r.Computed, 100*r.Error,
			r.Grade, r.Pinned)
	}
}
