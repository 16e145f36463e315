package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/source"
)

// 60 m in the United States, 47 CFR 97.303(h)(3) and 97.313(i) as amended
// (91 FR 1430): the segment with 9.15 W over a dipole, which are the 15 W EIRP
// of the rest of the world; four channels with 100 W; the fifth withdrawn,
// since it lies in the segment; dials 1.5 kHz below the centres.
func TestSixtyMetres(t *testing.T) {
	us := set(t, "us")
	list, err := us.PowerLimits("60m")
	require.NoError(t, err)
	require.Len(t, list, 2)
	channels, segment := list[0], list[1]
	assert.Equal(t, 100.0, channels.Watts)
	assert.Equal(t, 9.15, segment.Watts)
	assert.Equal(t, "segment", segment.Part)
	assert.InDelta(t, 15, segment.Watts*1.64, 0.01)
	general, _, err := set(t, "general").PowerLimit("60m")
	require.NoError(t, err)
	assert.InEpsilon(t, general.Watts, segment.Watts*IsotropicPerDipole, 1e-3)
	for _, l := range list {
		assert.Equal(t, "dipole", l.Reference)
		assert.Equal(t, "in force since 13 February 2026", l.Date.Text())
		assert.Equal(t, "transcribed (5)", l.Known)
		assert.Contains(t, l.Citation, "97.303(h)(3) and 97.313(i)")
	}
	b, err := us.Band("60m")
	require.NoError(t, err)
	require.Len(t, b.Channels, 4)
	for k, centre := range []float64{5332e3, 5348e3, 5373e3, 5405e3} {
		assert.Equal(t, centre-1.5e3, b.Channels[k])
		assert.False(t, centre >= b.Parts[0].Low && centre <= b.Parts[0].High, "no channel lies in the segment")
		assert.GreaterOrEqual(t, centre-1.4e3, b.Low)
		assert.LessOrEqual(t, centre+1.4e3, b.High)
	}
	assert.Equal(t, [2]float64{5351.5e3, 5366.5e3}, [2]float64{b.Parts[0].Low, b.Parts[0].High})
	require.Len(t, b.Former, 1)
	assert.Equal(t, "in force until 12 February 2026", b.Former[0].Date.Text())
	assert.Contains(t, b.Former[0].Channels, 5357e3)
	assert.Greater(t, 5357e3, b.Parts[0].Low)
	highest, ok, err := us.PowerLimit("60m")
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, 100.0, highest.Watts)
	assert.InEpsilon(t, 100, ERP(100, 0, 2.15), 1e-12, "a half-wave dipole is its own reference")
	assert.InEpsilon(t, 50, ERP(100, 3.0103, 2.15), 1e-6)
}

// Every rule of every set has a citation, a mark and a date, or says that the
// date is not known.
func TestEveryRuleHasADate(t *testing.T) {
	hold := func(what, citation, known string, d Date) {
		assert.NotEmpty(t, citation, what)
		assert.NotPanics(t, func() { source.Mark(known) }, what)
		assert.NotEmpty(t, d.Text(), "%s has no date", what)
		assert.NotEqual(t, d.Unknown, d.Since+d.Until+d.Edition != "", "%s: known and not known", what)
		assert.Contains(t, []string{"", "memory"}, d.Known, what)
		if d.Unknown {
			assert.Contains(t, d.Text(), "date not known")
		}
	}
	for _, name := range Names() {
		s := set(t, name)
		for _, b := range s.Bands {
			what := name + " " + b.Name
			hold(what, b.Citation, b.Known, b.Date)
			if b.Power > 0 {
				list, err := s.PowerLimits(b.Name)
				require.NoError(t, err)
				for _, l := range list {
					hold(what+" power", l.Citation, l.Known, l.Date)
				}
			}
			for _, p := range append(b.Parts, b.Former...) {
				hold(what+" "+p.Name, p.Citation, p.Known, p.Date)
				assert.Positive(t, p.Power, what)
			}
			for _, p := range b.Former {
				assert.NotEmpty(t, p.Date.Until, what)
			}
		}
		for what, r := range s.Spurious {
			hold(name+" "+what, r.Citation, r.Known, r.Date)
		}
		hold(name+" exposure", s.Exposure.Citation, s.Exposure.Known, s.Exposure.Date)
		if len(s.Exemption.Ranges) > 0 {
			hold(name+" exemption", s.Exemption.Citation, s.Exemption.Known, s.Exemption.Date)
		}
		list, err := s.Dated([]string{"80m", "60m", "40m", "10m"})
		require.NoError(t, err)
		for _, d := range list {
			hold(name+" "+d.What, d.Citation, d.Known, d.Date)
		}
		_, err = s.Dated([]string{"11m"})
		assert.Error(t, err)
	}
	hold("duty", duty.Citation, duty.Known, duty.Date)
	require.NotEmpty(t, Standards())
	for _, d := range Standards() {
		hold(d.What, d.Citation, d.Known, d.Date)
	}
}

// Bands whose rules are one and the same stand in one line, a part of a band
// and a rule that has ended in lines of their own.
func TestDatedLists(t *testing.T) {
	list, err := set(t, "us").Dated([]string{"80m", "60m", "40m", "30m"})
	require.NoError(t, err)
	var what []string
	for _, d := range list {
		what = append(what, d.What)
	}
	assert.Equal(t, []string{
		"band edges, 80, 40 and 30 m", "band edges, 60 m",
		"power, 80 and 40 m", "power, 60 m (the four channels centred on 5332, 5348, 5373 and 5405 kHz)", "power, 30 m",
		"power, 60 m (the segment from 5351.5 to 5366.5 kHz)", "ended: power, 60 m (five channels of 2.8 kHz)",
		"harmonics and spurious emissions", "exposure", "exemption from an evaluation of exposure", "duty factors of emissions",
	}, what)
	list, err = set(t, "general-2020").Dated([]string{"20m"})
	require.NoError(t, err)
	words := ""
	for _, d := range list {
		words += d.What + ": " + d.Known + "\n"
	}
	assert.Contains(t, words, "exposure, anybody: transcribed (1)")
	assert.Contains(t, words, "exposure, people who know and control theirs: memory")
	assert.NotContains(t, words, "power")
	assert.Equal(t, "in force since 3 May 2021 (the date from memory)", set(t, "us").Exemption.Date.Text())
	assert.True(t, strings.HasPrefix(Date{Edition: "2020"}.Text(), "edition"))
}

// The exemption of 47 CFR 1.1307(b)(3)(i)(C): the distances worked for 1500 W
// over a dipole, the constants that follow from the limits with full
// reflection, and both sides of every border.
func TestExemption(t *testing.T) {
	us := set(t, "us")
	for _, row := range [][3]float64{{3.75, 12.72, 12.72}, {7.15, 6.67, 6.67}, {14.175, 3.37, 9.35}, {28.5, 1.67, 18.79}} {
		assert.InDelta(t, row[1], ReactiveNearField(row[0]*1e6), 0.005*row[1])
		d, err := us.ExemptDistance(1500, row[0]*1e6)
		require.NoError(t, err)
		assert.InDelta(t, row[2], d, 0.006)
		// At that distance the power is exempt, a little nearer it is not.
		p, err := us.ExemptPower(row[0]*1e6, d*(1+1e-9))
		require.NoError(t, err)
		assert.GreaterOrEqual(t, p, 1500*(1-1e-12))
		p, err = us.ExemptPower(row[0]*1e6, d*(1-1e-6))
		require.NoError(t, err)
		assert.Less(t, p, 1500.0)
	}
	// Nothing is exempt nearer than λ/2π, however weak: 3.75 MHz, 12.72 m.
	p, err := us.ExemptPower(3.75e6, 12.72)
	require.NoError(t, err)
	assert.Zero(t, p)
	p, err = us.ExemptPower(3.75e6, 12.73)
	require.NoError(t, err)
	assert.InEpsilon(t, 3450*12.73*12.73/3.75/3.75, p, 1e-12)
	// Constants: limit for anybody over 4·1.64/4π, the full reflection.
	for _, row := range [][3]float64{{1e6, 1920, 1000}, {1.34e6 - 1, 1920, 1000}, {30e6, 3.83, 2}, {100e6, 3.83, 2}} {
		k, err := us.exemptFactor(row[0])
		require.NoError(t, err)
		assert.Equal(t, row[1], k)
		assert.InEpsilon(t, row[2]*3.14159/1.64, k, 3e-3)
	}
	k, err := us.exemptFactor(1.34e6)
	require.NoError(t, err)
	assert.InEpsilon(t, 3450/1.34/1.34, k, 1e-12)
	for _, bad := range []float64{0.2e6, 301e6} {
		_, err = us.ExemptPower(bad, 100)
		assert.ErrorIs(t, err, ErrNoExemption)
	}
	_, err = set(t, "general").ExemptDistance(100, 14e6)
	assert.ErrorIs(t, err, ErrNoExemption)
}

// ICNIRP 2020, general public, as worked from the copied laws: 300/f^0.7 and
// 2.2/f.
func TestNewerPublicLimits(t *testing.T) {
	s := set(t, "general-2020")
	for _, row := range [][3]float64{
		{1.9, 191.42, 1.1579}, {3.75, 118.93, 0.5867}, {7.15, 75.70, 0.3077}, {14.175, 46.89, 0.1552}, {21.225, 35.34, 0.1037},
		{28.5, 28.76, 0.0772},
	} {
		l := exposure(t, s, row[0], false)
		assert.InDelta(t, row[1], l.ElectricField, 0.006)
		assert.InDelta(t, row[2], l.MagneticField, 6e-5)
		assert.Equal(t, 1800.0, l.Averaging)
	}
}
