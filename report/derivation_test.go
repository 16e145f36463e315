package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBandWords(t *testing.T) {
	const space = "\u00a0"
	for in, want := range map[string]string{
		"":                            "",
		"nothing here":                "nothing here",
		"80m":                         "80" + space + "m",
		"on 80m and 160m, not 70m":    "on 80" + space + "m and 160" + space + "m, not 70m",
		"10m/12m":                     "10" + space + "m/12" + space + "m",
		"the 10mm wire, 10mA, 180m":   "the 10mm wire, 10mA, 180m",
		"tank.80m.loaded_q":           "tank.80" + space + "m.loaded_q",
		"L80m x80m _80m 20m_ 20m3 m.": "L80m x80m _80m 20m_ 20m3 m.",
		"Ω15m":                        "Ω15" + space + "m",
	} {
		assert.Equal(t, want, bandWords(in), in)
	}
}
