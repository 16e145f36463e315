package report

import (
	"fmt"
	"io/fs"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"text/template/parse"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ids"
	"anodebook/compute/physics/tuning"
	"anodebook/spec"
	"anodebook/spec/testhelp"
	"anodebook/templates"
)

// nameChecker walks the parse trees of templates with the Go type of the dot at
// hand, and notes every name that nothing stands behind.
type nameChecker struct {
	trees    map[string]*parse.Tree
	funcs    map[string]any
	visited  map[string]bool // template and type of its dot
	reached  map[string]bool // templates
	problems []string
	used     map[string][]string // names by kind: "note", "findings", "figure" …
	tree     *parse.Tree
}

// scope is what the names of a template mean at one place.
type scope struct {
	dot  reflect.Type // nil: not known
	vars map[string]reflect.Type
	sure []string // conditions that hold here, as compute/ids words them
}

func (s scope) with(dot reflect.Type) scope {
	vars := make(map[string]reflect.Type, len(s.vars))
	for k, v := range s.vars {
		vars[k] = v
	}
	return scope{dot, vars, slices.Clone(s.sure)}
}

// parseAll parses templates as they are parsed to be run; the names of what
// they may call are checked by the parser.
func parseAll(t *testing.T, files fs.FS, glob string, funcs map[string]any) map[string]*parse.Tree {
	t.Helper()
	all := map[string]any{}
	for _, f := range []string{"and", "or", "not", "len", "index", "slice", "print", "printf", "println", "html", "js", "urlquery",
		"call", "eq", "ne", "lt", "le", "gt", "ge"} {
		all[f] = true
	}
	for k, v := range funcs {
		all[k] = v
	}
	list, err := fs.Glob(files, glob)
	require.NoError(t, err)
	require.NotEmpty(t, list, glob)
	out := map[string]*parse.Tree{}
	for _, path := range list {
		src, err := fs.ReadFile(files, path)
		require.NoError(t, err)
		name := path[strings.LastIndexByte(path, '/')+1:]
		trees, err := parse.Parse(name, string(src), "", "", all)
		require.NoError(t, err)
		for n, tree := range trees {
			out[n] = tree
		}
	}
	return out
}

func newNameChecker(trees map[string]*parse.Tree, funcs map[string]any) *nameChecker {
	return &nameChecker{trees: trees, funcs: funcs, visited: map[string]bool{}, reached: map[string]bool{}, used: map[string][]string{}}
}

func (c *nameChecker) fail(n parse.Node, format string, args ...any) {
	where, _ := c.tree.ErrorContext(n)
	p := where + ": " + fmt.Sprintf(format, args...)
	if !slices.Contains(c.problems, p) {
		c.problems = append(c.problems, p)
	}
}

// run checks one template with a dot of one type.
func (c *nameChecker) run(name string, dot reflect.Type, sure ...string) {
	c.reached[name] = true
	key := fmt.Sprint(name, " ", dot, sure)
	if c.visited[key] {
		return
	}
	c.visited[key] = true
	was := c.tree
	c.tree = c.trees[name]
	c.node(c.tree.Root, scope{dot: dot, vars: map[string]reflect.Type{"$": dot}, sure: sure})
	c.tree = was
}

func (c *nameChecker) node(n parse.Node, s scope) {
	switch n := n.(type) {
	case nil:
	case *parse.ListNode:
		if n == nil {
			return
		}
		for _, x := range n.Nodes {
			c.node(x, s)
		}
	case *parse.ActionNode:
		c.pipe(n.Pipe, s)
	case *parse.IfNode:
		inner, other := s.with(s.dot), s.with(s.dot)
		c.pipe(n.Pipe, inner)
		yes, no := told(n.Pipe)
		inner.sure, other.sure = append(inner.sure, yes...), append(other.sure, no...)
		c.node(n.List, inner)
		c.node(n.ElseList, other)
	case *parse.WithNode:
		inner := s.with(s.dot)
		inner.dot = c.pipe(n.Pipe, inner)
		c.node(n.List, inner)
		c.node(n.ElseList, s.with(s.dot))
	case *parse.RangeNode:
		inner := s.with(s.dot)
		list := c.pipe(n.Pipe, inner)
		var elem, index reflect.Type
		if list != nil {
			switch list.Kind() {
			case reflect.Slice, reflect.Array:
				elem, index = list.Elem(), reflect.TypeFor[int]()
			case reflect.Map:
				elem, index = list.Elem(), list.Key()
			case reflect.Interface:
			default:
				c.fail(n, "range over %s, a %v", n.Pipe, list)
			}
		}
		inner.dot = elem
		switch d := n.Pipe.Decl; len(d) {
		case 1:
			inner.vars[d[0].Ident[0]] = elem
		case 2:
			inner.vars[d[0].Ident[0]], inner.vars[d[1].Ident[0]] = index, elem
		}
		c.node(n.List, inner)
		c.node(n.ElseList, s.with(s.dot))
	case *parse.TemplateNode:
		dot := reflect.Type(nil)
		if n.Pipe != nil {
			dot = c.pipe(n.Pipe, s)
		}
		if c.trees[n.Name] == nil {
			c.fail(n, "no template %q", n.Name)
			return
		}
		c.run(n.Name, dot, s.sure...)
	case *parse.TextNode, *parse.CommentNode, *parse.BreakNode, *parse.ContinueNode:
	default:
		c.fail(n, "the checker knows no %T", n)
	}
}

// told gives the conditions that hold where a question is answered by yes, and
// by no.
func told(n parse.Node) (yes, no []string) {
	switch n := n.(type) {
	case *parse.PipeNode:
		if len(n.Cmds) == 1 {
			return told(n.Cmds[0])
		}
	case *parse.CommandNode:
		if when, ok := askedBy[n.String()]; ok {
			return []string{when}, nil
		}
		f, ok := n.Args[0].(*parse.IdentifierNode)
		switch {
		case len(n.Args) == 1:
			return told(n.Args[0])
		case !ok:
		case f.Ident == "have":
			id, _ := spelt(n.Args[1])
			if q, ok := ids.Lookup(id); ok {
				return append([]string{q.When}, implied[q.When]...), nil
			}
		case f.Ident == "not":
			yes, no = told(n.Args[1])
			return no, yes
		case f.Ident == "and":
			for _, a := range n.Args[1:] {
				y, _ := told(a)
				yes = append(yes, y...)
			}
			return yes, nil
		}
	}
	return nil, nil
}

// askedBy are the conditions of quantities that a template asks in another way
// than by have.
var askedBy = map[string]string{
	".Cooling.Forced":                    "there is a blower, or may be one",
	`eq .Spec.Tank.Network.Value "pi-L"`: "the network is a pi-L",
}

// implied are the conditions that hold wherever another one does.
var implied = map[string][]string{
	"the exciter's surplus would need 1 dB or more, and no attenuator is fitted":     {"an attenuator is fitted or advised"},
	"the plates are within their rating, and some output at that current exceeds it": {"the plates are within their rating"},
}

// pipe gives the type of a pipeline, nil where it is not known.
func (c *nameChecker) pipe(p *parse.PipeNode, s scope) reflect.Type {
	var out reflect.Type
	for _, cmd := range p.Cmds {
		out = c.command(cmd, s)
	}
	for _, v := range p.Decl {
		s.vars[v.Ident[0]] = out
	}
	return out
}

func (c *nameChecker) command(cmd *parse.CommandNode, s scope) reflect.Type {
	first, args := cmd.Args[0], cmd.Args[1:]
	types := make([]reflect.Type, len(args))
	for i, a := range args {
		types[i] = c.operand(a, s)
	}
	switch n := first.(type) {
	case *parse.IdentifierNode:
		c.names(n, n.Ident, args, s)
		if f, ok := c.funcs[n.Ident]; ok {
			return result(reflect.TypeOf(f))
		}
		switch n.Ident {
		case "printf", "print", "println", "html", "js", "urlquery":
			return reflect.TypeFor[string]()
		case "len":
			return reflect.TypeFor[int]()
		case "eq", "ne", "lt", "le", "gt", "ge", "not":
			return reflect.TypeFor[bool]()
		case "index":
			if len(types) == 2 && types[0] != nil && (types[0].Kind() == reflect.Slice || types[0].Kind() == reflect.Map) {
				return types[0].Elem()
			}
		}
		return nil
	case *parse.FieldNode:
		c.names(n, n.Ident[len(n.Ident)-1], args, s)
		return c.chain(n, s.dot, n.Ident)
	case *parse.VariableNode:
		if len(n.Ident) > 1 {
			c.names(n, n.Ident[len(n.Ident)-1], args, s)
		}
	}
	return c.operand(first, s)
}

// operand gives the type of an argument.
func (c *nameChecker) operand(n parse.Node, s scope) reflect.Type {
	switch n := n.(type) {
	case *parse.DotNode:
		return s.dot
	case *parse.FieldNode:
		return c.chain(n, s.dot, n.Ident)
	case *parse.VariableNode:
		return c.chain(n, s.vars[n.Ident[0]], n.Ident[1:])
	case *parse.ChainNode:
		return c.chain(n, c.operand(n.Node, s), n.Field)
	case *parse.PipeNode:
		return c.pipe(n, s)
	case *parse.IdentifierNode:
		if f, ok := c.funcs[n.Ident]; ok {
			c.names(n, n.Ident, nil, s)
			return result(reflect.TypeOf(f))
		}
	case *parse.StringNode:
		return reflect.TypeFor[string]()
	case *parse.BoolNode:
		return reflect.TypeFor[bool]()
	}
	return nil
}

func result(f reflect.Type) reflect.Type {
	if f == nil || f.Kind() != reflect.Func || f.NumOut() == 0 {
		return nil
	}
	return f.Out(0)
}

// chain follows fields and methods from a type.
func (c *nameChecker) chain(n parse.Node, t reflect.Type, names []string) reflect.Type {
	for _, name := range names {
		if t == nil || t.Kind() == reflect.Interface && t.NumMethod() == 0 {
			return nil
		}
		holder := t
		if t.Kind() != reflect.Pointer && t.Kind() != reflect.Interface {
			holder = reflect.PointerTo(t)
		}
		if m, ok := holder.MethodByName(name); ok {
			t = result(m.Type)
			continue
		}
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		switch {
		case t.Kind() == reflect.Map && t.Key().Kind() == reflect.String:
			t = t.Elem()
		case t.Kind() == reflect.Struct:
			f, ok := t.FieldByName(name)
			if !ok || !f.IsExported() {
				c.fail(n, "%s: a %v has no %s", n, t, name)
				return nil
			}
			t = f.Type
		default:
			c.fail(n, "%s: a %v has no %s", n, t, name)
			return nil
		}
	}
	return t
}

// spelt gives what a string argument is, a star for each verb or part that is
// known only when the template runs.
func spelt(n parse.Node) (string, bool) {
	switch n := n.(type) {
	case *parse.StringNode:
		return n.Text, true
	case *parse.PipeNode:
		if len(n.Cmds) == 1 && len(n.Cmds[0].Args) > 0 {
			if len(n.Cmds[0].Args) == 1 {
				return spelt(n.Cmds[0].Args[0])
			}
			f, ok := n.Cmds[0].Args[0].(*parse.IdentifierNode)
			format, isText := n.Cmds[0].Args[1].(*parse.StringNode)
			if ok && isText && f.Ident == "printf" {
				return verb.ReplaceAllString(format.Text, "*"), true
			}
		}
	}
	return "*", false
}

var verb = regexp.MustCompile(`%[+# 0-9.]*[a-z]`)

// takesIDs are the functions and methods whose arguments are quantities; the
// number is that of the first argument that is one.
var takesIDs = map[string]int{"q": 0, "have": 0, "value": 0, "table": 0, "twoColumns": 0, "Hold": 0, "InMinutes": 0}

// takesStages are those whose arguments are stages.
var takesStages = []string{"derivation", "derivations", "ratings", "findings", "parts"}

// takesNames are those whose first argument is a name of another kind.
var takesNames = []string{"note", "photos", "figure", "Situation"}

// takesWindows are those whose arguments are parts of the bring-up.
var takesWindows = []string{"Windows", "WindowsToFill"}

// designator is the form of a part's name in the parts list.
var designator = regexp.MustCompile(`^[A-Z]+[0-9]+[A-Z]?$`)

// takesText are those whose string arguments are no names.
var takesText = []string{"printf", "print", "eq", "ne", "or", "and", "capital", "lower", "list", "show", "bandName", "address", "len"}

// names checks what a call names.
func (c *nameChecker) names(n parse.Node, function string, args []parse.Node, s scope) {
	var given []string
	for _, a := range args {
		text, known := spelt(a)
		if !known {
			text = "*"
		}
		given = append(given, text)
	}
	use := func(kind string, from, to int) {
		for i := from; i < to && i < len(given); i++ {
			c.used[kind] = append(c.used[kind], given[i])
		}
	}
	if from, ok := takesIDs[function]; ok {
		use("quantity", from, len(given))
		for _, id := range given[min(from, len(given)):] {
			c.quantity(n, strings.TrimSuffix(id, "?"), strings.HasSuffix(id, "?"), function, s)
		}
		return
	}
	switch {
	case function == "perBand":
		for _, column := range given[1:] {
			name, _, _ := strings.Cut(column, "=")
			c.quantity(n, given[0]+"."+ids.Band+"."+strings.TrimSuffix(name, "?"), strings.HasSuffix(name, "?"), function, s)
		}
	case slices.Contains(takesStages, function):
		use(function, 0, len(given))
		if len(given) == 0 {
			c.used[function] = append(c.used[function], "all")
		}
		for i, stage := range given {
			if function == "derivation" && i == 1 { // the band, or none
				if stage != "" && stage != "*" && !slices.Contains(spec.BandNames, stage) {
					c.fail(n, "%s of the band %q", function, stage)
				}
				continue
			}
			if stage != "*" && !ids.IsStage(stage) {
				c.fail(n, "%s of the stage %q, which there is not", function, stage)
			}
		}
	case slices.Contains(takesNames, function):
		use(function, 0, 1)
	case slices.Contains(takesWindows, function):
		use("windows", 0, len(given))
	case function == "Listed":
		if len(given) != 1 || !designator.MatchString(given[0]) {
			c.fail(n, "%s takes %q, which is no designator", function, given)
		}
	default:
		for i, a := range args {
			if s, ok := a.(*parse.StringNode); ok && !slices.Contains(takesText, function) {
				c.fail(n, "%s takes %q (argument %d): say in this test what kind of name that is", function, s.Text, i+1)
			}
		}
	}
}

// quantity checks an ID.
func (c *nameChecker) quantity(n parse.Node, id string, optional bool, function string, s scope) {
	if id == "*" {
		c.fail(n, "%s takes a quantity that cannot be read from the template", function)
		return
	}
	q, ok := ids.Lookup(id)
	switch {
	case !ok:
		c.fail(n, "%s asks for the quantity %s, which no stage declares", function, id)
	case optional && !q.Optional():
		c.fail(n, "%s asks for %s?, which every design has", function, id)
	case !optional && q.Optional() && function != "have" && !slices.Contains(s.sure, q.When):
		c.fail(n, "%s asks for %s, which some designs lack (it exists where %s), and no have stands around it", function, id, q.When)
	}
}

// reportNames checks all templates of the report.
func reportNames(t *testing.T) *nameChecker {
	funcs := map[string]any{}
	for k, f := range (&writer{}).functions() {
		funcs[k] = f
	}
	c := newNameChecker(parseAll(t, templates.FS, "report/*.md", funcs), funcs)
	for _, name := range []string{"report.md", string(Article) + ".md", string(Bench) + ".md"} {
		c.run(name, reflect.TypeFor[*writer]())
	}
	return c
}

// TestTemplatesNameWhatExists walks the parse trees of the report's templates:
// every quantity is declared, also one that few designs have; one that not all
// have is asked for with a "?" or behind a question for it; every stage is one,
// every field and method exists.
func TestTemplatesNameWhatExists(t *testing.T) {
	c := reportNames(t)
	for _, p := range c.problems {
		t.Error(p)
	}
	for name := range c.trees {
		assert.True(t, c.reached[name], "no form of the report includes %s", name)
	}
	assert.Greater(t, len(c.used["quantity"]), 300, "the walk reads the IDs")
}

// TestTemplatesNameFigures: every figure that a template shows is drawn.
func TestTemplatesNameFigures(t *testing.T) {
	known := []string{"winding"}
	for _, d := range drawings {
		known = append(known, d.name)
	}
	used := reportNames(t).used["figure"]
	for _, name := range used {
		if name != "*" { // .Figure of a tuning map
			testhelp.Contains(t, known, name, "figure")
		}
	}
	for _, name := range known {
		testhelp.Contains(t, used, name, "a figure that no template shows")
	}
}

// sectionNames are the sections that a photograph may stand in, as the spec
// lists them.
func sectionNames(t *testing.T) []string {
	f, ok := reflect.TypeFor[spec.Photo]().FieldByName("Section")
	require.True(t, ok)
	list := strings.Fields(f.Tag.Get("oneof"))
	require.NotEmpty(t, list)
	return list
}

// TestTemplatesPlaceNotes: every section that the spec can name, for a note or a
// photograph, has its place in a template, and the templates know no other.
func TestTemplatesPlaceNotes(t *testing.T) {
	c := reportNames(t)
	sections := sectionNames(t)
	placed := append(slices.Clone(c.used["note"]), c.used["photos"]...)
	for _, s := range sections {
		testhelp.Contains(t, placed, s, "photographs of a section that no template has")
	}
	for _, s := range c.used["photos"] {
		testhelp.Contains(t, sections, s)
	}
	notes, ok := reflect.TypeFor[spec.Spec]().FieldByName("Note")
	require.True(t, ok)
	assert.ElementsMatch(t, strings.Fields(notes.Tag.Get("oneof")), c.used["note"],
		"the sections that take notes, in the spec and in the templates")
}

// TestTemplatesShowEveryStage: what a stage finds, derives and asks for is
// printed in some section.
func TestTemplatesShowEveryStage(t *testing.T) {
	c := reportNames(t)
	derived := append(slices.Clone(c.used["derivation"]), c.used["derivations"]...)
	for _, s := range ids.Stages {
		if len(s.Findings) > 0 {
			testhelp.Contains(t, c.used["findings"], s.Name, "findings of a stage that no template shows")
			assert.NotEmpty(t, sectionOf[s.Name], "the section of the findings of %s", s.Name)
		}
		if len(s.Quantities) > 0 {
			testhelp.Contains(t, derived, s.Name, "derivation that no template shows")
			assert.NotEmpty(t, stageNames[s.Name], "the name of %s in words", s.Name)
		}
	}
	for name := range sectionOf {
		assert.True(t, ids.IsStage(name), "the section of a stage %q, which there is not", name)
	}
	for name := range stageNames {
		assert.True(t, ids.IsStage(name), "the name of a stage %q, which there is not", name)
	}
}

// TestTemplatesNameWindowsAndSituations: the parts of the bring-up and the
// situations of the tune-up.
func TestTemplatesNameWindowsAndSituations(t *testing.T) {
	c := reportNames(t)
	for _, w := range c.used["windows"] {
		testhelp.Contains(t, windows, w)
	}
	for w := range windows {
		testhelp.Contains(t, c.used["windows"], w, "readings that no template shows")
	}
	for _, s := range c.used["Situation"] {
		testhelp.Contains(t, []string{tuning.Nominal, tuning.PlateDip, tuning.OutputPeak, tuning.TooLight, tuning.TooHeavy,
			tuning.OffBelow, tuning.OffAbove, tuning.FarBelow,
			tuning.FarAbove, tuning.Overdriven1, tuning.Overdriven3, tuning.Reduced, tuning.ReducedTuned,
			tuning.ReducedThenFull}, s, "situation")
	}
	for _, part := range windows {
		for _, r := range part {
			for _, id := range []string{r.expect, r.low, r.high} {
				if id != "" {
					_, ok := ids.Lookup(id)
					assert.True(t, ok, "the bring-up reads %s, which no stage declares", id)
				}
			}
		}
	}
}

// TestConditionsAreThose: the conditions that this test names are conditions of
// quantities.
func TestConditionsAreThose(t *testing.T) {
	known := map[string]bool{}
	for _, s := range ids.Stages {
		for _, q := range s.Quantities {
			known[q.When] = true
		}
	}
	for _, when := range askedBy {
		assert.True(t, known[when], when)
	}
	for when, more := range implied {
		for _, w := range append(more, when) {
			assert.True(t, known[w], w)
		}
	}
}

// TestNameCheckerSees shows it what it is there for.
func TestNameCheckerSees(t *testing.T) {
	funcs := map[string]any{}
	for k, f := range (&writer{}).functions() {
		funcs[k] = f
	}
	for src, want := range map[string]string{
		`{{q "supply.no_load_voltag"}}`: "supply.no_load_voltag, which no stage " +
			"declares",
		`{{if have "supply.step_start_tiem"}}x{{end}}`:                                      "supply.step_start_tiem",
		`{{table "tubes.plate_current" "bias.standby_curent?"}}`:                            "bias.standby_curent",
		`{{table "tubes.plate_current?"}}`:                                                  "which every design has",
		`{{perBand "tank" "tune_capacitance=C1" "load_capacity?=C2"}}`:                      "tank.BAND.load_capacity",
		`{{if have (printf "antenna.%s.power_limt" (index bands 0))}}x{{end}}`:              "antenna.*.power_limt",
		`{{if or (have "supply.nothing") true}}x{{end}}`:                                    "supply.nothing",
		`{{with .Spec}}{{if $.Bled}}{{else}}{{q "tank.nothing"}}{{end}}{{end}}`:             "tank.nothing",
		`{{q "supply.step_start_time"}}`:                                                    "no have stands around it",
		`{{if have "supply.step_start_time"}}{{else}}{{q "supply.step_start_time"}}{{end}}`: "no have stands around it",
		`{{findings "tanks"}}`:                                                              `stage "tanks"`,
		`{{derivation "tank" "85m"}}`:                                                       `band "85m"`,
		`{{.Wayt}}`:                                                                         "has no Wayt",
		`{{range .TuneGroups}}{{.Nam}}{{end}}`:                                              "has no Nam",
		`{{range $i, $b := .Tank.Bands}}{{$b.OnHiCoil}}{{end}}`:                             "has no OnHiCoil",
		`{{.Hold "bring_up.stick"}}`:                                                        "bring_up.stick,",
		`{{.Spec.Tank.Netwrk.Value}}`:                                                       "has no Netwrk",
		`{{template "nothing.md" .}}`:                                                       `no template "nothing.md"`,
		`{{$x := .Spec}}{{$x.Tnk}}`:                                                         "has no Tnk",
		`{{.Situation "nominal" | printf "%v"}}{{.BandList.Length}}`:                        "has no Length",
	} {
		all := map[string]any{"and": 1, "or": 1, "not": 1, "index": 1, "printf": 1}
		for k, f := range funcs {
			all[k] = f
		}
		trees, err := parse.Parse("x", src, "", "", all)
		require.NoError(t, err, src)
		c := newNameChecker(trees, funcs)
		c.run("x", reflect.TypeFor[*writer]())
		require.Len(t, c.problems, 1, src)
		testhelp.Contains(t, c.problems[0], want, src)
	}
}
