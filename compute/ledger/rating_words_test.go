package ledger_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

// What a rating says in print, and that two numbers which differ are told
// apart.
func TestRatingWords(t *testing.T) {
	for _, c := range []struct {
		stress, rating float64
		text, advice   string
	}{
		{1000, 1200,
			"C1 capacitor (C1): the voltage on 10\u00a0m reaches 1000 V of the rated 1200 V; the margin is 1.20 where 1.25 is wanted.",
			"A part rated for 1250 V keeps the margin."},
		{1001, 1000, "C1 capacitor (C1): the voltage on 10\u00a0m reaches 1001 V, its rating is 1000 V.",
			"Choose a part rated for at least 1250 V."},
		{2000, 1000, "C1 capacitor (C1): the voltage on 10\u00a0m reaches 2000 V, its rating is 1000 V.",
			"Choose a part rated for at least 2500 V."},
	} {
		b := ledger.NewBook()
		b.Rate(ledger.Rating{Part: "C1", Name: "C1 capacitor", Stage: "tank", Band: "10m", Quantity: "voltage",
			Stress: c.stress, Rating: c.rating, Unit: "V", RequiredFactor: 1.25})
		set := setting.Plain(b, "metric").Findings()
		require.Len(t, set, 1)
		assert.Equal(t, c.text, set[0].Text)
		assert.Equal(t, c.advice, set[0].Advice)
	}
}
