package spectest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFlaw holds each rule on both sides, and that what is left out for speed
// leaves none of them out.
func TestFlaw(t *testing.T) {
	bad := map[string][]string{
		"an exponent":            {"1e-05 A flow", "4.5E+12 V", "at 3e7 Hz"},
		"minus nothing":          {"-0 V", "it sags (−0.00 dB)", "± -0"},
		"no number":              {"NaN V", "more than Inf", "%!d(string=x)", "<nil>"},
		"a dash for a number":    {"— kV at most", "it takes (— s)"},
		"one of several":         {"1 times the rating", "wait for 1 hours", "(1 turns)"},
		"a count twice":          {"8 × 8 × 1 MΩ"},
		"a number beyond reason": {"1234567890 V", "(123456789 Ω"},
	}
	for _, f := range flaws {
		assert.NotEmpty(t, bad[f.what], f.what)
		for _, s := range bad[f.what] {
			assert.Contains(t, Flaw(s), f.what, s)
			assert.True(t, f.may(s), s)
		}
	}
	for _, s := range []string{"8 × 1 MΩ", "11 times the rating", "1.1 times", "-0.5 V", "−0.01 dB", "12345678 Ω", "0.123456789 s",
		"Information", "tube 8e",
		`the spec says "1e-05 A"`, "one — a word", "3-500Z E12"} {
		assert.Empty(t, Flaw(s), s)
	}
}
