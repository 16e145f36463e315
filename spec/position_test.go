package spec

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tricky is TOML that a simple scanner stumbles over.
var tricky = map[string]string{
	"plain":          "a = 1\nb = 2\n",
	"no line end":    "a = 1",
	"blank lines":    "\n\n  \t\n   a = 1\n",
	"tables":         "[a]\nx = 1\n[b]\nx = 2\n[a.c]\nx = 3\n",
	"table spaces":   "[ a . b ]  # why\n  x = 1\n",
	"dotted":         "a.b.c = 1\na . d = 2\n[t]\nu.v = 3\n",
	"quoted":         "\"a b\" = 1\n'c d' = 2\n[\"x y\".z]\n\"é\" = 3\n",
	"quoted escapes": "\"a\\u0062\" = 1\n\"tab\\t\" = 2\n\"q\\\"q\" = 3\n",
	"quotes inside":  "'a\"b' = 1\n\"a'b\" = 2\n\"#\" = 3\n\"=\" = 4\n\"[x]\" = 5\n",
	"comment":        "# [a]\n# x = 1\na = 1 # b = 2\nb = \"#\" # c = 3\nc = 3\n",
	"strings":        "a = \"x = 1\\\"\"\nb = 'y = 2\\'\nc = \"[d]\"\nd = 4\n",
	"multi line":     "a = \"\"\"\nb = 1\n[c]\n\"\"\"\nd = '''\ne = 2\n'''\nf = 3\n",
	"quotes at end":  "a = \"\"\"x\"\"\"\"\"\nb = '''y'''''\nc = 3\n",
	"escaped triple": "a = \"\"\"x\\\"\"\"\"\nb = 2\n",
	"line join":      "a = \"\"\"x \\\n   b = 1\"\"\"\nc = 2\n",
	"empty strings":  "a = \"\"\nb = ''\nc = \"\"\"\"\"\"\nd = ''''''\ne = 1\n",
	"arrays":         "a = [1, 2, 3]\nb = [\n  \"x = 1\", # y = 2\n  \"]\",\n]\nc = [[1], [2, [3]],]\nd = []\n",
	"inline tables":  "a = { b = 1, c = { d = 2 }, \"e f\" = [3, 4] }\ng = {}\nh.i = { j.k = 5 }\n",
	"tables in list": "a = [ { x = 1 }, { y = 2 } ]\nb = 1\n",
	"many tables":    "[[a]]\nx = 1\n[[a]]\ny = 2\n[a.b]\nz = 3\n",
	"dates":          "a = 2024-05-01T10:00:00Z\nb = 2024-05-01 10:00:00\nc = 10:00:00\nd = 1\n",
	"numbers":        "a = 1_000\nb = 0xff\nc = 1e3\nd = -inf\ne = +nan\nf = true\n",
	"bare digits":    "1 = 1\n2.3 = 2\n-_- = 3\n",
	"carriage":       "[a]\r\nx = 1\r\ny = \"\"\"\r\nz = 2\r\n\"\"\"\r\nw = [\r\n1,\r\n]\r\nv = 3\r\n",
	"tabs":           "[a]\n\tx\t=\t1\n\t\ty\t=\t{\tz\t=\t2\t}\n",
	"unicode":        "# µΩ\na = \"µΩ\" # °\nb = { c = \"é\", d = 1 }\n",
	"extended later": "[a.b]\nx = 1\n[a]\ny = 2\n",
	"empty key":      "\"\" = 1\n[b]\n'' = 2\n",
	"nothing":        "",
	"only comment":   "# nothing",
}

// checkPositions holds the scanner against the library: every key that the
// library reports has a place, and at that place stands the beginning of the
// key or of its table's heading.
func checkPositions(t testing.TB, text string) {
	var tree map[string]any
	md, err := toml.Decode(text, &tree)
	if err != nil {
		return
	}
	at := positions(text)
	lines := strings.Split(text, "\n")
	for _, k := range md.Keys() {
		if len(k) > deepest {
			continue
		}
		p, ok := at[strings.Join(k, ".")]
		require.True(t, ok, "%q: no place for %q", text, k)
		require.GreaterOrEqual(t, p.Line, 1)
		require.LessOrEqual(t, p.Line, len(lines), "%q: %q", text, k)
		line := []rune(lines[p.Line-1])
		require.GreaterOrEqual(t, p.Column, 1)
		require.LessOrEqual(t, p.Column, len(line), "%q: %q", text, k)
		rest := strings.TrimLeft(string(line[p.Column-1:]), "[ \t")
		first, named := rest, false
		for i := range k { // a dotted key begins with any part of the path
			if strings.HasPrefix(first, k[i]) || strings.HasPrefix(first, "'"+k[i]) || strings.HasPrefix(first, `"`+k[i]) ||
				strings.HasPrefix(first, `"`) && strings.Contains(first, `\`) {
				named = true
			}
		}
		require.True(t, named, "%q: at %d:%d stands %q, not %q", text, p.Line, p.Column, rest, k)
	}
}

func TestPositionsOfTrickyTexts(t *testing.T) {
	for name, text := range tricky {
		t.Run(name, func(t *testing.T) {
			var tree map[string]any
			_, err := toml.Decode(text, &tree)
			require.NoError(t, err, "the example must be TOML")
			checkPositions(t, text)
		})
	}
}

// Places counted by hand.
func TestPositionsByHand(t *testing.T) {
	at := positions("# µ\n[supply]\nplate_voltage = 1\n  [supply.mains]\n  voltage = 2 # x = 3\ntank.tune = { range = 4, voltage = 5 " +
		"}\n\n'a' = \"é\"\nb = { 'c' = \"é\", d = 1 }\n")
	for key, want := range map[string]Position{
		"supply":                         {2, 1},
		"supply.plate_voltage":           {3, 1},
		"supply.mains":                   {4, 3},
		"supply.mains.voltage":           {5, 3},
		"supply.mains.tank":              {6, 1},
		"supply.mains.tank.tune":         {6, 1},
		"supply.mains.tank.tune.range":   {6, 15},
		"supply.mains.tank.tune.voltage": {6, 26},
		"supply.mains.a":                 {8, 1},
		"supply.mains.b.c":               {9, 7},
		"supply.mains.b.d":               {9, 18},
	} {
		assert.Equal(t, want, at[key], key)
	}
	assert.NotContains(t, at, "supply.mains.x")
	assert.Equal(t, Position{2, 2}, place("a\nµb\n", 4), "columns count characters")
	assert.Equal(t, Position{3, 1}, place("a\nb\n", 99))
}

// All keys of all examples at once, in many mixtures, keep their places.
func TestPositionsOfMixtures(t *testing.T) {
	n := 0
	for name, a := range tricky {
		if strings.HasPrefix(a, "[") || a == "" {
			continue
		}
		text := fmt.Sprintf("[\"first %d\"]\n%s\n[second]\n%s", n, a, a)
		n++
		checkPositions(t, text)
		at := positions(text)
		require.Contains(t, at, "second", name)
	}
	require.Greater(t, n, 15)
}

// Hostile files take neither time nor memory: a limit of ten seconds would be
// a timed test, so these only have to end.
func TestHostileFilesEnd(t *testing.T) {
	for name, text := range map[string]string{
		"dotted":    strings.Repeat("a.", 20000) + "a = 1",
		"heading":   "[" + strings.Repeat("a.", 50000) + "a]",
		"spaced":    strings.Repeat("a . ", 20000) + "a = 1",
		"quoted":    strings.Repeat("\"a\".", 20000) + "a = 1",
		"nested":    "a = " + strings.Repeat("{a = ", 20000) + "1" + strings.Repeat("}", 20000),
		"brackets":  "a = " + strings.Repeat("[", 50000),
		"lists":     "a = " + strings.Repeat("[", 20000) + strings.Repeat("]", 20000),
		"keys":      strings.Repeat("k", 300000) + " = 1",
		"many":      manyKeys(20000),
		"tables":    strings.Repeat("[", 100000),
		"quotes":    strings.Repeat("\"", 100001),
		"backslash": "a = \"" + strings.Repeat("\\", 100000),
		"word":      "[tubes]\ntype = \"" + strings.Repeat("3", 300000) + "\"",
		"number":    "[target]\noutput = \"" + strings.Repeat("9", 300000) + "\"",
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read("hostile.toml", []byte(text), testNames)
			require.Error(t, err)
			for _, line := range strings.Split(shown(err), "\n") {
				require.Less(t, len(line), 1000)
			}
		})
	}
}

// A text with many dots is no key.
func TestDotsInText(t *testing.T) {
	s := read(t, "[notebook]\nstory = \"\"\"\n"+strings.Repeat("Wait. ", 90)+"It took 3.5 h. "+strings.Repeat("One more. ",
		200)+"\n\"\"\"\n"+shortest)
	require.NotEmpty(t, s.Notebook.Story.Value)
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "k%d = 1\n", i)
	}
	return b.String()
}

func FuzzPositions(f *testing.F) {
	for _, text := range tricky {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		positions(text) // must end for anything at all
		if len(text) < 4096 {
			checkPositions(t, text)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, path := range badSpecs(f) {
		src, err := os.ReadFile(path)
		require.NoError(f, err)
		if len(src) < 4096 {
			f.Add(src)
		}
	}
	good, _ := filepath.Glob("../examples/*.toml")
	for _, path := range good {
		src, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(src)
	}
	f.Add([]byte(shortest))
	f.Fuzz(func(t *testing.T, src []byte) {
		s, err := Read("fuzz.toml", src, testNames)
		if err == nil {
			require.NotNil(t, s)
			require.True(t, !s.Target.Output.Given || s.Target.Output.SI >= 20*(1-1e-9) && s.Target.Output.SI <= 5000*(1+1e-9))
			require.NotEmpty(t, s.Target.Bands.Values)
			return
		}
		require.Nil(t, s)
		var ps Problems
		require.ErrorAs(t, err, &ps)
		lines := strings.Count(string(src), "\n") + 1
		for _, p := range ps {
			require.GreaterOrEqual(t, p.Line, 1)
			require.LessOrEqual(t, p.Line, lines)
			require.GreaterOrEqual(t, p.Column, 1)
			require.NotEmpty(t, p.What)
		}
	})
}
