package touchstone

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every bad file gives the message beside it, and no file is accepted by
// mistake.
func TestBadFiles(t *testing.T) {
	v2 := "[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n3 1 2\n[End]\n"
	_, err := Parse("a.s1p", []byte(v2))
	require.NoError(t, err)
	cases := []struct{ name, text, want string }{
		{"a.s3p", "# MHz", `a.s3p:1:1: the ending ".s3p" does not tell`},
		{"a.txt", "", `the ending ".txt"`},
		{"a.s1p", "", "a.s1p:1:1: no data"},
		{"a.s1p", "! only comments\n\n", "a.s1p:2:1: no data"},
		{"a.s1p", "1 2 3\n", "a.s1p:1:1: numbers before the option line"},
		{"a.s1p", "# MHz S RI R 50\n1 0.5 nan\n", `a.s1p:2:7: "nan" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 Inf 0\n", `a.s1p:2:3: "Inf" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 1e999 0\n", `a.s1p:2:3: "1e999" is beyond all reason`},
		{"a.s1p", "# MHz S RI R 50\n1 1e14 0\n", `a parameter of 100000000000000, 0 is beyond all reason`},
		{"a.s1p", "# MHz S DB R 50\n1 99999 0\n", `beyond all reason`},
		{"a.s1p", "# MHz S RI R 50\n1 0x1p4 0\n", `"0x1p4" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 1_0 0\n", `"1_0" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1,5 1 0\n", `"1,5" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n-1 1 0\n", "a.s1p:2:1: a frequency of -1000000 Hz is negative"},
		{"a.s1p", "# GHz S RI R 50\n1e9 1 0\n", "beyond all reason"},
		{"a.s1p", "# MHz S RI R 50\n2 1 0\n1 1 0\n", "a.s1p:3:1: 1000000 Hz does not lie above the frequency before, 2000000 Hz"},
		{"a.s1p", "# MHz S RI R 50\n2 1 0\n2 1 0\n", "does not lie above"},
		{"a.s1p", "# MHz S RI R 50\n2 1\n3 1 0\n", "a.s1p:2:1: 5 numbers where 3 belong"},
		{"a.s1p", "# MHz S RI R 50\n2 1\n", "a.s1p:2:1: only 2 numbers for the last frequency"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0\n", "only 3 numbers"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0 1 0 1 0 1 0\n1 1 0 1 0 1 0 1 0\n", "a.s2p:3:1: 1000000 Hz does not lie above"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0 1 0 1 0 1 0\n1 1 0 1 0\n1 0 1 0\n", "a.s2p:4:1: neither network data nor noise data"},
		{"a.s1p", "# MHz S RI R -50\n1 1 0\n", `"-50" is no reference resistance`},
		{"a.s1p", "# MHz S RI R 0\n1 1 0\n", `"0" is no reference resistance`},
		{"a.s1p", "# MHz S RI R\n1 1 0\n", "R without a resistance"},
		{"a.s1p", "# THz S RI R 50\n1 1 0\n", `a.s1p:1:3: "THz" is not known in an option line`},
		{"a.s1p", "# MHz H RI R 50\n1 1 0\n", "H parameters of a one-port do not exist"},
		{"a.s1p", "[Network Data]\n", "a keyword in a file of version 1"},
		{"a.s1p", strings.Replace(v2, "2.0", "3.0", 1), `"3.0" is not a version`},
		{"a.s1p", "# MHz\n[Version] 2.0\n", "[Version] is not the first line"},
		{"a.s1p", strings.Replace(v2, "[End]\n", "", 1), "no [End]"},
		{"a.s1p", strings.Replace(v2, "Frequencies] 1", "Frequencies] 2", 1), "a.s1p:4:1: 2 frequencies are announced, 1 are there"},
		{"a.s1p", strings.Replace(v2, "Frequencies] 1", "Frequencies] 99999999999999999999", 1), "frequencies"},
		{"a.s2p", v2, "1 port(s), but the name of the file tells 2"},
		{"a.s1p", strings.Replace(v2, "Ports] 1", "Ports] 40", 1), `"40" ports`},
		{"a.ts", strings.Replace(v2, "Ports] 1", "Ports] 2", 1), "no [Two-Port Data Order]"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Reference] 50 50\n[Network", 1), "2 reference resistances for 1 port"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Reference]\n-3\n[Network", 1), "-3 is no reference resistance"},
		{"a.s1p", strings.Replace(v2, "[Network Data]\n", "", 1), "numbers before [Network Data]"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Nonsense] 1\n[Network", 1), "[nonsense] is not a keyword"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Mixed-Mode Order] D\n[Network", 1), "mixed modes are not read"},
		{"a.s1p", strings.Replace(v2, "[End]", "[Matrix Format] Full\n[End]", 1), "stands behind the data"},
		{"a.s1p", strings.Replace(v2, "[End]", "[End", 1), "without its closing bracket"},
		{"a.s1p", strings.Replace(v2, "# MHz S RI R 50\n", "", 1), "no option line"},
	}
	for _, c := range cases {
		d, err := Parse(c.name, []byte(c.text))
		require.Error(t, err, c.text)
		assert.Nil(t, d)
		assert.Contains(t, err.Error(), c.want, c.text)
		var ps Problems
		require.ErrorAs(t, err, &ps)
		assert.LessOrEqual(t, len(ps), maxProblems)
	}
}

func TestHostileSizes(t *testing.T) {
	_, err := Parse("a.s1p", bytes.Repeat([]byte("1 2 3\n"), 10<<20/6))
	require.ErrorContains(t, err, "bytes; the limit is")
	var many bytes.Buffer
	many.WriteString("# Hz S RI R 50\n")
	for i := range MaxPoints + 5 {
		fmt.Fprintf(&many, "%d 0 0\n", i)
	}
	_, err = Parse("a.s1p", many.Bytes())
	require.ErrorContains(t, err, fmt.Sprintf("a.s1p:%d:1: more than %d frequencies", MaxPoints+2, MaxPoints))
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("x ", 1<<20)))
	require.ErrorContains(t, err, `"x" is not a number`)
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("1 ", 1<<20)))
	require.ErrorContains(t, err, "numbers where 3 belong")
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("x\n", 1<<20)))
	assert.Len(t, err, maxProblems, "no flood of messages")
}

// FuzzParse: no text makes the parser fail in any other way than by Problems,
// and what it accepts can be written and is read again as the same.
func FuzzParse(f *testing.F) {
	files, err := filepath.Glob("../../../testdata/touchstone/*.s?p")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, path := range files {
		b, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(b, strings.HasSuffix(path, "s2p"))
	}
	f.Fuzz(func(t *testing.T, text []byte, two bool) {
		name := "f.s1p"
		if two {
			name = "f.s2p"
		}
		d, err := Parse(name, text)
		if err != nil {
			var ps Problems
			require.ErrorAs(t, err, &ps)
			require.NotEmpty(t, ps)
			for _, p := range ps {
				require.Positive(t, p.Line)
				require.Positive(t, p.Column)
				require.NotEmpty(t, p.What)
			}
			return
		}
		out, err := d.Write(Format{Version: 2, Form: RI})
		require.NoError(t, err)
		back, err := Parse(name, out)
		require.NoError(t, err, "%s", out)
		require.Equal(t, d, back)
		low, high := d.Span()
		_, ok := d.At(low + (high-low)/2)
		require.True(t, ok)
		if s, err := d.To(Scattering, []float64{50, 50}[:d.Ports]...); err == nil {
			require.Len(t, s.Points, len(d.Points))
		}
	})
}
