//go:build unix

package main

import (
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
	"anodebook/spec/testhelp"
)

// textKeys lists every key of the format that takes free text, by reflection;
// a table with a name of the builder's own has * for it.
func textKeys() []string {
	var out []string
	var walk func(t reflect.Type, path []string)
	walk = func(t reflect.Type, path []string) {
		switch {
		case t == reflect.TypeFor[spec.Text]():
			out = append(out, strings.Join(path, "."))
		case t.Kind() == reflect.Map:
			walk(t.Elem(), append(slices.Clone(path), "*"))
		case t.Kind() == reflect.Struct:
			for f := range t.Fields() {
				if key := f.Tag.Get("key"); key != "" {
					walk(f.Type, append(slices.Clone(path), key))
				}
			}
		}
	}
	walk(reflect.TypeFor[spec.Spec](), nil)
	return out
}

// TestInjectionIntoEveryText puts HTML, Markdown and TeX into every text that
// the format has, into names of tables and into the name of the file, and
// reads every file of the notebook with all its forms, and the comparison.
func TestInjectionIntoEveryText(t *testing.T) {
	nasty := `<script>alert(1)</script><img src=x onerror=alert(2)></title></style>$\evil$ \$x$ $$y$$ | p | # h [l](javascript:alert(3)) ![i](http://example.invalid/x.png) **b** ` + "`c` ~~~" + ` {{.Title}} \input{x} {#id} %!d(x) =cmd() ` + "\u202e"
	block := "# Heading\n\nx\n=\n\ny\n-\n\n- # deep\n- > **Danger:** not ours\n\n```\nfence\n\n<div onclick=x>\n\n[r]: http://example.invalid\n\n$$z$$\n\n| t |\n|---|\n| 1 |\n\n" + nasty
	quote := func(s string) string {
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`).Replace(s) + `"`
	}
	example, err := os.ReadFile(filepath.Join(root, "examples", "custom-tube.toml"))
	require.NoError(t, err)
	src := string(example)
	// texts that must have a form are named here; every other gets the worst
	formed := map[string]string{"tubes.custom.name": `"surplus_triode_ 1/2 +-"`, "notebook.currency": quote("<b>|$x$ =1"), "reading.*.of": `"supply.idle_voltage"`, "reading.*.value": `"2500 V"`}
	names := map[string]string{"reading": `"strange |<b>$x$ # [l](javascript:x)"`, "survey": "coils", "measured": "tank", "photo": "front", "note": "tank"}
	more := map[string]string{
		"survey": "group = \"coils\"\ncondition = \"good\"\n", "photo": "file = \"p.png\"\nsection = \"tank\"\n",
		"measured": "file = \"tank.s1p\"\nof = \"tank\"\nband = \"80m\"\n",
	}
	tables := map[string]string{}
	used := 0
	for _, key := range textKeys() {
		if strings.HasPrefix(key, "study.*.") {
			continue // names of keys and results: anything else is refused
		}
		value, ok := formed[key]
		if !ok {
			value = quote(nasty)
			if strings.HasSuffix(key, ".story") || strings.HasSuffix(key, ".text") {
				value = quote(block)
			}
		}
		table, name := key[:strings.LastIndex(key, ".")], key[strings.LastIndex(key, ".")+1:]
		used++
		kind := strings.TrimSuffix(table, ".*")
		if kind == table { // a table of the example: change or add the key in it
			line := regexp.MustCompile(`(?ms)^(\[` + regexp.QuoteMeta(table) + `\]\n(?:[^\[\n][^\n]*\n|\n)*?)` + name + `\s*=\s*("""(?:.*?)"""|[^\n]*)\n`)
			if m := line.FindStringSubmatchIndex(src); m != nil {
				src = src[:m[3]] + name + " = " + value + "\n" + src[m[1]:]
			} else {
				require.Contains(t, src, "["+table+"]\n", key)
				src = strings.Replace(src, "["+table+"]\n", "["+table+"]\n"+name+" = "+value+"\n", 1)
			}
			continue
		}
		require.Contains(t, names, kind, "a new table with names: say in this test what it is called")
		tables[kind] += name + " = " + value + "\n"
	}
	require.GreaterOrEqual(t, used, 19, "fewer texts than the format has had")
	for _, kind := range []string{"reading", "survey", "measured", "photo", "note"} {
		require.NotEmpty(t, tables[kind], kind)
		src += "\n[" + kind + "." + names[kind] + "]\n" + more[kind] + tables[kind]
	}
	dir := t.TempDir()
	write := func(name string, b []byte) { require.NoError(t, os.WriteFile(filepath.Join(dir, name), b, 0o644)) }
	file := "a<b>|$x$ #[l](javascript:x)`;\n~.toml"
	write(file, []byte(src))
	write("plain.toml", example)
	write("p.png", smallPicture(t))
	tank, err := os.ReadFile(filepath.Join(root, "examples", "measured", "tank-80m.s1p"))
	require.NoError(t, err)
	write("tank.s1p", append([]byte("! "+strings.ReplaceAll(nasty, "!", ".")+"\n"), tank...))

	out := filepath.Join(dir, "out")
	code, stdout, stderr := program("", "write", filepath.Join(dir, file), "-o", out, "--form", "full,article,bench")
	require.Equal(t, 0, code, stderr)
	require.NotContains(t, stdout, "\u202e")
	made := visibleFiles(t, out)
	for _, view := range []string{"--html", "--markdown"} {
		code, stdout, stderr := program("", "compare", view, filepath.Join(dir, "plain.toml"), filepath.Join(dir, file))
		require.Less(t, code, 2, stderr)
		made["compare"+map[string]string{"--html": ".html", "--markdown": ".md"}[view]] = stdout
	}
	pages := 0
	for name, text := range made {
		switch filepath.Ext(name) {
		case ".html":
			pages++
			for _, bad := range []string{"<script", "<img src=x", "<div onclick", "<i>|", "<b>|", "a<b>", `="javascript:`,
				"raw HTML omitted", `src="http`, "<div\n"} {
				testhelp.Lacks(t, text, bad, name)
			}
			assert.Equal(t, 1, strings.Count(text, "<h1"), name)
			testhelp.Lacks(t, text, "</title></style>", name)
			testhelp.Lacks(t, text, ">Heading</h", name)
			testhelp.Lacks(t, text, ">deep</h", name)
			testhelp.Contains(t, text, "&lt;script&gt;", name)
		case ".svg":
			testhelp.Lacks(t, text, "<script", name)
			testhelp.Lacks(t, text, "<img", name)
		case ".csv":
			testhelp.MatchesNot(t, `(?m)(^|,)"?=cmd`, text, name)
		}
	}
	assert.Equal(t, 4, pages)
}
