package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

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

// asProcess names the job that this test binary does in place of testing, so
// that a test can watch a whole process.
const asProcess = "ANODEBOOK_AS_PROCESS"

func TestMain(m *testing.M) {
	args, ok := os.LookupEnv(asProcess)
	if !ok {
		os.Exit(m.Run())
	}
	shortLived()
	os.Exit(run(strings.Fields(args), os.Stdin, os.Stdout, os.Stderr))
}

// BenchmarkProcess runs whole processes, cold as a user starts them: the
// libraries' floor, then "write" of the starter and "check" of an example.
// Targets on two cores: write at most four floors, check at most 40 ms.
func BenchmarkProcess(b *testing.B) {
	dir := b.TempDir()
	build := func(name, path string) string {
		file := filepath.Join(dir, name)
		out, err := exec.Command("go", "build", "-o", file, path).CombinedOutput()
		require.NoError(b, err, string(out))
		return file
	}
	floor, program := build("floor", root+"/testdata/floor"), build("anodebook", ".")
	timed := func(name string, args ...string) time.Duration {
		start := time.Now()
		out, err := exec.Command(name, args...).CombinedOutput()
		require.NoError(b, err, string(out))
		return time.Since(start)
	}
	var floors, writes, checks time.Duration
	for b.Loop() {
		floors += timed(floor, dir)
		writes += timed(program, "write", "-o", filepath.Join(dir, "notebook"))
		checks += timed(program, "check", filepath.Join(root, "examples", "club-station.toml"))
	}
	ms := func(d time.Duration) float64 { return d.Seconds() * 1e3 / float64(b.N) }
	b.ReportMetric(ms(floors), "floor-ms")
	b.ReportMetric(ms(writes), "write-ms")
	b.ReportMetric(ms(checks), "check-ms")
	b.ReportMetric(writes.Seconds()/floors.Seconds(), "write/floor")
}
