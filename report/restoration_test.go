package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec/testhelp"
)

// section returns what stands under a second-level heading of a report.
func section(t *testing.T, d *compute.Design, heading string) string {
	t.Helper()
	doc, err := built(d)
	require.NoError(t, err)
	_, text, found := strings.Cut(string(doc.Markdown), "\n## "+heading+"\n")
	require.True(t, found, "no section %s", heading)
	text, _, _ = strings.Cut(text, "\n## ")
	return strings.ReplaceAll(text, "\u00a0", " ")
}

const fourFacts = `
[target]
output = "1000 W"
bands = ["80m", "20m"]
[tubes]
type = "3-500Z"
[bias]
voltage = "0 V"
[supply]
plate_voltage = "2700 V"
`

func designOf(t *testing.T, more string) *compute.Design {
	t.Helper()
	return design(t, "test.toml", fourFacts+more)
}

func TestReadingsSection(t *testing.T) {
	text := section(t, designs(t)["restoration.toml"], "Readings")
	testhelp.Contains(t, text, "> **Danger:**")
	testhelp.Contains(t, text, "| a soft tube | one tube has 70 %")
	testhelp.Contains(t, text, "| Idle plate current, all tubes | 259 mA | 302 mA |", "before and after")
	testhelp.Contains(t, text, "**−14.0 %**", "beyond the error of the instrument")
	testhelp.Contains(t, text, "no fault is called for")
	// two readings that low line voltage explains as well as a wrong tap
	low := designOf(t, "")
	value := func(id string, share float64) string {
		q := low.Book.Get(id)
		return show(q.Value*share, q.Unit)
	}
	few := section(t, designOf(t, `
[reading.idle]
of = "supply.idle_voltage"
value = "`+value("supply.idle_voltage", 0.9)+`"
[reading.standby]
of = "supply.standby_voltage"
value = "`+value("supply.standby_voltage", 0.9)+`"
`), "Readings")
	testhelp.Contains(t, few, "mains voltage off")
	testhelp.Contains(t, few, "a wrong tap")
	testhelp.Contains(t, few, "cannot be told apart by these readings. Measure next:")
	testhelp.Contains(t, few, "(taken)")
	testhelp.Contains(t, few, "> **Caution:** The readings depart")
	testhelp.Contains(t, few, "So few readings prove little")
}

func TestArticleShowsBeforeAndAfter(t *testing.T) {
	article := func(name string) string {
		d := designs(t)[name]
		whole, err := built(d)
		require.NoError(t, err)
		doc, err := Shorten(d, whole, Article)
		require.NoError(t, err)
		return strings.ReplaceAll(string(doc.Markdown), "\u00a0", " ")
	}
	testhelp.Contains(t, article("restoration.toml"), "| Idle plate current, all tubes | 259 mA | 302 mA | 301 mA |")
	testhelp.Lacks(t, article("restoration.toml"), "| Filament voltage at the pins |", "it was right before")
	testhelp.Lacks(t, article("club-station.toml"), "before the work")
}

func TestSurveySection(t *testing.T) {
	text := section(t, designs(t)["used-amplifier.toml"], "Survey")
	testhelp.Contains(t, text, "**Not without a plan for what cannot be had.** The switch")
	testhelp.Contains(t, text, "Nobody knows the state of the transformer.")
	testhelp.Contains(t, text, "**685.50 in all**")
	nasty := "<script>x</script> | a | **b** `c` [x](javascript:y)"
	text = section(t, designOf(t, `
[survey.one]
group = "tubes"
condition = "good"
found = "`+nasty+`"
work = "`+nasty+`"
verdict = "`+nasty+`"
`), "Survey")
	testhelp.Contains(t, text,
		"**Not before the rest is looked at.** Nobody knows the state of the transformer, the switch, the sockets, the capacitors and "+
			"the chokes.")
	testhelp.Contains(t, text, "The survey says nothing of: transformer, switch, sockets, capacitors and chokes.")
	testhelp.Lacks(t, text, "<script>")
	testhelp.Lacks(t, text, "](javascript")
	for _, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(line, "| tubes") {
			assert.Equal(t, 7, strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"), line)
		}
	}
}
