package compare

import (
	"math"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/spec"

	"github.com/stretchr/testify/require"
)

// FuzzCompare holds two random texts against each other. Whatever can be
// computed can be compared: a spec with itself is no difference, both ways see
// the same, and no view holds raw markup or a number that is none.
func FuzzCompare(f *testing.F) {
	nasty := "[notebook]\ntitle = \"<script>alert(1)</script> $x$ | \\n# a ~~~ `b` \\u202e\"\n"
	f.Add(short4, nasty+short4)
	f.Add(short4, strings.Replace(short4, "2800", "5000", 1))
	f.Add(strings.Replace(short4, "80m", "160m", 1), short4+"[reading.\"<b>|$x$\"]\nof = \"supply.idle_voltage\"\nvalue = \"3 kV\"\n")
	f.Add("not = TOML = at all", short4)
	f.Add("", "\x00\xff<script>")
	f.Add(short4+"[survey.coil]\ngroup=\"coils\"\ncondition=\"good\"\nfound=\"<img src=x>\"\n",
		strings.ReplaceAll(short4, "\n", "\r\n"))
	f.Add("[tank]\nloaded_q = 14\n", "[tank]\nnetwork = \"pi\"\n[bias]\nvoltage = \"5 V\"\n") // added to a small spec
	f.Add("[supply.capacitors]\ncount = 8\n", "[tank.tune]\nvoltage = \"900 V\"\nrange = \"9 .. 250 pF\"\n")
	f.Add("[prices]\nC1 = 9\n", "[note.tank]\ntext = \"\"\"\n# a\n|b|\n\"\"\"\n")
	side := func(name, text string) (Side, error) {
		s, err := spec.Read(name, []byte(text), compute.Names())
		if err != nil {
			return Side{}, err
		}
		d, err := compute.Run(s)
		return Side{name, []byte(text), d}, err
	}
	f.Fuzz(func(t *testing.T, old, new string) {
		if len(old)+len(new) > 4096 {
			t.Skip("a text this long only costs time")
		}
		for _, text := range []*string{&old, &new} { // most random texts are no spec
			if _, err := spec.Read("x", []byte(short4+*text), compute.Names()); err == nil {
				*text = short4 + *text
			}
		}
		a, err := side("old<b>|.toml", old)
		if err != nil {
			shown := Unreadable(err, []byte(old))
			require.NotEmpty(t, shown)
			return
		}
		require.Equal(t, Digest(a, true), Digest(a, true))
		require.False(t, Compare(a, a, 0).Different(), "a spec differs from itself")
		b, err := side("new.toml", new)
		if err != nil {
			return
		}
		there, back := Compare(a, b, 0), Compare(b, a, 0)
		require.Equal(t, there.Different(), back.Different())
		require.Len(t, back.Gone, len(there.Come))
		require.Len(t, back.Come, len(there.Gone))
		require.Len(t, back.Ratings, len(there.Ratings))
		require.Len(t, back.Results, len(there.Results))
		for _, r := range there.Results {
			require.False(t, math.IsNaN(r.Move) || math.IsInf(r.Move, 0), r.ID)
		}
		html, err := there.HTML(Options{})
		require.NoError(t, err)
		for _, raw := range []string{"<script", "<img", "<b>", "<!-- raw HTML omitted"} {
			require.NotContains(t, string(html), raw)
		}
		markdown := string(there.Markdown(Options{}))
		require.Equal(t, markdown, string(Compare(a, b, 0).Markdown(Options{})))
		var w strings.Builder
		require.NoError(t, there.Terminal(&w, Options{}))
		for _, s := range []string{markdown, w.String()} {
			if !strings.Contains(old+new, "%!") && !strings.Contains(old+new, "NaN") {
				require.NotContains(t, s, "%!")
				require.NotContains(t, s, "NaN")
			}
		}
	})
}
