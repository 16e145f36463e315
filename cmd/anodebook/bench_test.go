package main

import (
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"

	"anodebook/compute"
	"anodebook/spec"
	"anodebook/templates"
)

// BenchmarkWrite is the whole run of "anodebook write" on the starter spec,
// files on disk included. Target: under 150 ms on two cores.
func BenchmarkWrite(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "notebook")
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	shortLived()
	b.ReportAllocs()
	for b.Loop() {
		code, _, stderr := program("", "write", "-o", dir)
		require.Equal(b, 0, code, stderr)
	}
}

// BenchmarkEvaluate is reading and computing the starter without a report.
func BenchmarkEvaluate(b *testing.B) {
	src, err := templates.FS.ReadFile("starter.toml")
	require.NoError(b, err)
	names := compute.Names()
	b.ReportAllocs()
	for b.Loop() {
		s, err := spec.Read(starterName, src, names)
		require.NoError(b, err)
		_, err = compute.Run(s)
		require.NoError(b, err)
	}
}

// BenchmarkFloor is the least that the libraries take for such a job: parse a
// spec of 10 KB, draw eight plots of three lines, convert 60 KB of Markdown.
func BenchmarkFloor(b *testing.B) {
	var src, md strings.Builder
	for i := 0; src.Len() < 10_000; i++ {
		fmt.Fprintf(&src, "[table%d]\nkey = \"2.8 kV\"\nother = [1, 2, 3]\n", i)
	}
	for i := 0; md.Len() < 60_000; i++ {
		fmt.Fprintf(&md, "## Heading %d\n\nA paragraph with **strong** words and a [link](#x).\n\n| a | b |\n|--|--|\n| 1 | 2 |\n\n", i)
	}
	markdown := goldmark.New(goldmark.WithExtensions(extension.Table))
	b.ReportAllocs()
	for b.Loop() {
		var tree map[string]any
		_, err := toml.Decode(src.String(), &tree)
		require.NoError(b, err)
		for range 8 {
			p := plot.New()
			for k := range 3 {
				xy := make(plotter.XYs, 200)
				for i := range xy {
					xy[i].X, xy[i].Y = float64(i), float64(i*k)
				}
				l, err := plotter.NewLine(xy)
				require.NoError(b, err)
				p.Add(l)
			}
			w, err := p.WriterTo(6*vg.Inch, 4*vg.Inch, "svg")
			require.NoError(b, err)
			_, err = w.WriteTo(&strings.Builder{})
			require.NoError(b, err)
		}
		var out strings.Builder
		require.NoError(b, markdown.Convert([]byte(md.String()), &out))
	}
}
