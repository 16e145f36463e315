package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTypography(t *testing.T) {
	for in, want := range map[string]string{
		"down to 60 V in 27.8 s, 5 m": "down to 60\u00a0V in 27.8\u00a0s, 5\u00a0m",
		`[-30.8 dB](#a-5 "tubes.x")`:  `[−30.8` + "\u00a0" + `dB](#a-5 "tubes.x")`,
		"| -91 | 2 Ω | (-3 dB)":       "| −91 | 2\u00a0Ω | (−3\u00a0dB)",
		"#### Derivation: on 80 m":    "#### Derivation: on 80 m",
		"$$a = 5 V$$":                 "$$a = 5 V$$",
		`\$5 V and $x -5 V$ and 6 V`:  `\$5` + "\u00a0" + `V and $x -5 V$ and 6` + "\u00a0V",
		"`a -5 V` to 9 kHz":           "`a -5 V` to 9\u00a0kHz",
		"8 tubes, 3 Volts, 1-2, - 5":  "8 tubes, 3 Volts, 1-2, - 5",
		"8.49 pF .. 220 pF, a...b":    "8.49\u00a0pF – 220\u00a0pF, a...b",
		"|:--|--:|":                   "|:--|--:|",
	} {
		assert.Equal(t, want, typography(in))
	}
}
