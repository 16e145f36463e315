package main

import (
	"bytes"
	"fmt"
	"go/parser"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

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
// files on disk included, in a process that is warm.
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
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	shortLived()
	b.ReportAllocs()
	for b.Loop() {
		s, err := spec.Read(starterName, src, names)
		require.NoError(b, err)
		_, err = compute.Run(s)
		require.NoError(b, err)
	}
}

// BenchmarkFloor is the least that the libraries take for such a job in a
// process that is warm.
func BenchmarkFloor(b *testing.B) {
	dir := b.TempDir()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, floor(dir))
	}
}

// floor parses a spec of 10 KB and 30 formulas, draws eight plots of three
// lines, converts 60 KB of Markdown and writes the files.
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

// asProcess names the job that this test binary does in place of testing, so
// that a benchmark can measure whole processes.
const asProcess = "ANODEBOOK_AS_PROCESS"

func TestMain(m *testing.M) {
	job, rest, _ := strings.Cut(os.Getenv(asProcess), " ")
	switch job {
	case "":
		os.Exit(m.Run())
	case "floor":
		shortLived()
		if err := floor(rest); err != nil {
			panic(err)
		}
	case "program":
		shortLived()
		os.Exit(run(strings.Fields(rest), os.Stdin, os.Stdout, os.Stderr))
	}
}

// process runs a job to its end and returns the time it took.
func process(b *testing.B, job string) time.Duration {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), asProcess+"="+job)
	start := time.Now()
	out, err := c.CombinedOutput()
	require.NoError(b, err, string(out))
	return time.Since(start)
}

// BenchmarkProcess runs whole processes, cold as a user starts them: the
// libraries' floor, then "write" of the starter and "check" of an example,
// with the number of floors that each takes.
func BenchmarkProcess(b *testing.B) {
	dir := b.TempDir()
	var floors, writes, checks time.Duration
	for b.Loop() {
		floors += process(b, "floor "+dir)
		writes += process(b, "program write -o "+filepath.Join(dir, "notebook"))
		checks += process(b, "program check "+filepath.Join(root, "examples", "club-station.toml"))
	}
	ms := func(d time.Duration) float64 { return d.Seconds() * 1e3 / float64(b.N) }
	b.ReportMetric(ms(floors), "floor-ms")
	b.ReportMetric(ms(writes), "write-ms")
	b.ReportMetric(ms(checks), "check-ms")
	b.ReportMetric(writes.Seconds()/floors.Seconds(), "write/floor")
}
