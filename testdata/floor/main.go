// Command floor does the least that the libraries take for a job like "anodebook
// write": it parses a spec of 10 KB and 30 formulas, draws eight plots of three
// lines, converts 60 KB of Markdown and writes the files into the folder named.
// The benchmark of whole processes measures it beside the program.
package main

import (
	"bytes"
	"fmt"
	"go/parser"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

func main() {
	debug.SetGCPercent(400) // as the program
	if err := floor(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func floor(dir string) error {
	var src, md strings.Builder
	for i := 0; src.Len() < 10_000; i++ {
		fmt.Fprintf(&src, "[table%d]\nkey = \"2.8 kV\"\nother = [1, 2, 3]\n", i)
	}
	for i := 0; md.Len() < 60_000; i++ {
		fmt.Fprintf(&md, "## Heading %d\n\nA paragraph with **strong** words and a [link](#x).\n\n| a | b |\n|--|--|\n| 1 | 2 |\n\n", i)
	}
	var tree map[string]any
	if _, err := toml.Decode(src.String(), &tree); err != nil {
		return err
	}
	for range 30 {
		if _, err := parser.ParseExpr("1 / (2 * π * sqrt(L * C)) + R * pow(I, 2)"); err != nil {
			return err
		}
	}
	for n := range 8 {
		p := plot.New()
		for k := range 3 {
			xy := make(plotter.XYs, 200)
			for i := range xy {
				xy[i].X, xy[i].Y = float64(i), float64(i*k)
			}
			l, err := plotter.NewLine(xy)
			if err != nil {
				return err
			}
			p.Add(l)
		}
		w, err := p.WriterTo(6*vg.Inch, 4*vg.Inch, "svg")
		if err != nil {
			return err
		}
		var out bytes.Buffer
		if _, err = w.WriteTo(&out); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.svg", n)), out.Bytes(), 0o600); err != nil {
			return err
		}
	}
	var out bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.Table)).Convert([]byte(md.String()), &out); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "out.md"), []byte(md.String()), 0o600); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "out.html"), out.Bytes(), 0o600)
}
