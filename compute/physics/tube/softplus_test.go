package tube

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The series against the library's exponential and logarithm.
func TestLogSoftplus(t *testing.T) {
	for z := softLow; z < softHigh; z += 0.00731 {
		want := math.Log(math.Log1p(math.Exp(z)))
		slope := math.Exp(z) / (1 + math.Exp(z)) / math.Log1p(math.Exp(z))
		v, s := logSoftplus(z)
		if math.Abs(v-want) > 1e-12 || math.Abs(s-slope) > 3e-11 {
			t.Fatalf("z = %g: %g for %g, slope %g for %g", z, v, want, s, slope)
		}
	}
	v, _ := logSoftplus(math.Nextafter(softHigh, 0))
	assert.InDelta(t, math.Log(softHigh), v, 1e-9)
}
