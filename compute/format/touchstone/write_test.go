package touchstone

import (
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWriteRefuses(t *testing.T) {
	good := func() *Data {
		return &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}, Points: []Point{{1, Matrix{{1, 1}, {1, 1}}}}}
	}
	_, err := good().Write(Format{})
	require.NoError(t, err)
	for what, spoil := range map[string]func(*Data, *Format){
		"references": func(d *Data, f *Format) { d.Reference[1] = 75 },
		"NaN":        func(d *Data, f *Format) { d.Points[0].Matrix[0][0] = cmplx.NaN() },
		"infinite":   func(d *Data, f *Format) { d.Points[0].Matrix[1][1] = cmplx.Inf() },
		"order":      func(d *Data, f *Format) { d.Points = append(d.Points, d.Points[0]) },
		"negative":   func(d *Data, f *Format) { d.Points[0].Frequency = -1 },
		"empty":      func(d *Data, f *Format) { d.Points = nil },
		"ports":      func(d *Data, f *Format) { d.Ports = 3 },
		"comment":    func(d *Data, f *Format) { f.Comments = []string{"a\n# GHz"} },
		"signs":      func(d *Data, f *Format) { f.Comments = []string{"50 Ω"} },
		"unit":       func(d *Data, f *Format) { f.Unit = 7 },
		"decibels":   func(d *Data, f *Format) { f.Form = DB; d.Points[0].Matrix[0][1] = 0 },
		"kind":       func(d *Data, f *Format) { d.Kind = 'X' },
	} {
		d, f := good(), Format{}
		spoil(d, &f)
		_, err := d.Write(f)
		require.Error(t, err, what)
	}
}

func BenchmarkWrite(b *testing.B) {
	d := &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}}
	r := rand.New(rand.NewPCG(1, 1))
	for i := range 130 {
		d.Points = append(d.Points, Point{1e6 + 1e4*float64(i), randomMatrix(r, 2)})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := d.Write(Format{Digits: 7, Form: RI}); err != nil {
			b.Fatal(err)
		}
	}
}
