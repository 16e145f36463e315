package report

import (
	"regexp"
	"strings"
	"testing"

	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var partLink = regexp.MustCompile(`href="#part-([^"]+)"`)

func TestEveryNotebookIsDrawn(t *testing.T) {
	for name, toml := range notebooks(t) {
		t.Run(name, func(t *testing.T) {
			d := design(t, name, toml)
			c, err := DrawCircuit(d)
			require.NoError(t, err)
			sheets := c.Sheets
			require.Len(t, sheets, 3)
			rows, linked := map[string]bool{}, map[string]bool{}
			for _, p := range setting.Plain(d.Book, "metric").Parts() {
				rows[p.Designator] = true
			}
			for _, s := range sheets {
				for _, m := range partLink.FindAllStringSubmatch(s.SVG, -1) {
					assert.True(t, rows[m[1]], "%s links to %s, which the parts list does not have", s.Name, m[1])
					linked[m[1]] = true
				}
			}
			for _, want := range []string{"V1", "C1", "C2", "C3", "C5", "C7", "L1", "L11", "RFC1", "RFC2", "R5", "D2", "D3", "F1", "F2",
				"K1", "T1", "T2", "M1", "Z1"} {
				assert.True(t, linked[want], "%s is not drawn with a link", want)
			}
			again, err := DrawCircuit(design(t, name, toml))
			require.NoError(t, err)
			assert.Equal(t, sheets, again.Sheets, "the same spec gives the same bytes")
		})
	}
}

func TestDrawingFollowsTheDesign(t *testing.T) {
	all := notebooks(t)
	drawn := func(name string) (deck, supply string) {
		c, err := DrawCircuit(design(t, name, all[name]))
		require.NoError(t, err)
		return c.Sheets[0].SVG, c.Sheets[1].SVG
	}
	shows := func(svg string, words ...string) {
		t.Helper()
		for _, s := range words {
			assert.True(t, strings.Contains(strings.ReplaceAll(svg, "\u00a0", " "), s), s)
		}
	}
	deck, supply := drawn("starter.toml")
	shows(deck, "bifilar choke", "pi output network", ">80 m</text>", ">10 m</text>", ">3-500Z</text>", "#part-S1", ">11 V</text>")
	assert.False(t, strings.Contains(deck, "#part-L2"), "a pi has no output coil")
	shows(supply, "a bridge rectifier")
	deck, _ = drawn("low-bands.toml")
	shows(deck, "cathode choke", "pi-L output network", "#part-L2", ">8877</text>")
	assert.False(t, strings.Contains(deck, "#part-S1"), "a roller inductor has no band switch")
	deck, _ = drawn("ceramic-pair.toml")
	shows(deck, ">8.2 V</text>", "#part-RFC4", ">140 µH</text>")
	_, supply = drawn("small-supply.toml")
	shows(supply, "a doubler rectifier")
	_, supply = drawn("choke-input.toml")
	shows(supply, ">2 × 3050 V</text>") // the spec gives 3050 V for each half
}

func TestSchematicNamesWhatIsMissing(t *testing.T) {
	d := design(t, "starter.toml", notebooks(t)["starter.toml"])
	var kept []ledger.Part
	for _, p := range d.Book.Parts {
		if p.Designator != "C3" && p.Designator != "RFC2" {
			kept = append(kept, p)
		}
	}
	d.Book.Parts = kept
	_, err := DrawCircuit(d)
	require.ErrorContains(t, err, "C3", "no blocking capacitor, no circuit")
	testhelp.Lacks(t, err.Error(), "RFC2")
}
