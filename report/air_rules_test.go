package report

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec"
)

func markdownOf(t *testing.T, text string) (string, *compute.Design) {
	t.Helper()
	s, err := spec.Read("test.toml", []byte(text), compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	doc, err := built(d)
	require.NoError(t, err)
	return strings.ReplaceAll(string(doc.Markdown), "\u00a0", " "), d
}

// The bring-up's criterion is the air that the blower moves, and where there is
// none nothing speaks of it.
func TestBlowerInTheReport(t *testing.T) {
	const head = "[target]\noutput = \"%s W\"\nbands = [\"60m\"]\n[tubes]\ntype = %q\n[supply]\nplate_voltage = \"%s V\"\n"
	text, d := markdownOf(t, fmt.Sprintf(head, "1000", "8877", "2800")+"[cooling]\nairflow = \"25 CFM\"\npressure = \"60 Pa\"\n")
	moved, ok := d.Book.Lookup("cooling.airflow_moved")
	require.True(t, ok)
	exit := d.Book.Get("cooling.exit_temperature")
	heat, rho := d.Book.Get("cooling.heat").Value, d.Book.Get("cooling.air_density").Value
	assert.InEpsilon(t, 25*0.3048*0.3048*0.3048/60, moved.Value, 1e-9)
	assert.InEpsilon(t, heat, moved.Value*rho*1006*(exit.Value-303.15), 1e-9, "the heat leaves with the air that moves")
	_, step, ok := strings.Cut(text, "the air that leaves at [")
	require.True(t, ok)
	assert.True(t, strings.HasPrefix(step, exit.Text()), step[:40])

	// The rules stand in the report with their dates, the ended one too.
	for _, want := range []string{"in force since 13 February 2026", "in force until 12 February 2026", "date not known", "IEC 62368-1",
		"transcribed (5 copies)"} {
		assert.True(t, strings.Contains(text, want), want)
	}
	for _, r := range d.Exposure.Dates {
		assert.True(t, strings.Contains(text, "| "+r.Citation+" | "+r.Date.Text()+" |"), r.What)
	}

	none, _ := markdownOf(t, fmt.Sprintf(head, "300", "811A", "1500")+"[cooling.blower]\nfitted = false\n")
	for _, gone := range []string{"| B1 |", "blower on for", "lower runs on", "the air that leaves at", "blower direction",
		"`cooling.after_run`"} {
		assert.False(t, strings.Contains(none, gone), gone)
	}
	assert.True(t, strings.Contains(none, "There is no blower"))
}
