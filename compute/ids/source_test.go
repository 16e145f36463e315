package ids_test

import (
	"fmt"
	"go/ast"
	"go/token"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ids"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// dotted is the form of a path, with stars where the syntax says no more.
var dotted = regexp.MustCompile(`^[a-z][a-z_]*(\.[A-Za-z0-9_*]+)+$`)

// names are the names that a string with dots in it can be.
type names struct {
	keys map[string]bool // of the spec, and the tables above them
}

func newNames() names {
	n := names{map[string]bool{}}
	for _, k := range spec.Keys(compute.Names()) {
		for path := k.Table + "." + k.Name; path != ""; {
			n.keys[path] = true
			i := strings.LastIndexByte(path, '.')
			if i < 0 {
				break
			}
			path = path[:i]
		}
	}
	return n
}

// never are IDs that the syntax allows and no caller makes.
var never = map[string]string{
	"supply.secondary_current": "mainsCurrent takes this branch only with a suffix",
}

// quantity says whether a pattern can be the ID of a declared quantity.
func quantity(pattern string) bool {
	if never[pattern] != "" {
		return true
	}
	if _, ok := ids.Lookup(pattern); ok {
		return true
	}
	for _, s := range ids.Stages {
		for _, q := range s.Quantities {
			if glob(pattern, q.Path) {
				return true
			}
		}
	}
	return false
}

func finding(pattern string) bool {
	if _, ok := ids.Finding(pattern); ok {
		return true
	}
	for _, s := range ids.Stages {
		for _, f := range s.Findings {
			if glob(pattern, f) {
				return true
			}
		}
	}
	return false
}

func (n names) key(pattern string) bool {
	if n.keys[pattern] {
		return true
	}
	for k := range n.keys {
		if glob(pattern, k) || ids.Matches(band.ReplaceAllString(k, ".BAND$1"), pattern) {
			return true
		}
	}
	return false
}

var band = regexp.MustCompile(`\.(?:160|80|60|40|30|20|17|15|12|10)m(\.|$)`)

// glob matches a pattern in which a star is any text, dots as well.
func glob(pattern, s string) bool {
	if !strings.Contains(pattern, "*") {
		return pattern == s
	}
	parts := strings.Split(regexp.QuoteMeta(pattern), `\*`)
	return regexp.MustCompile("^" + strings.Join(parts, ".*") + "$").MatchString(s)
}

// checks is the package of the published checks, which has books of its own
// with quantities of a stage "check", and methods with dots in their names.
const checks = "compute/reference"

// enters are the methods whose first argument becomes the ID of a quantity.
var enters = []string{"Compute", "Solved", "Take", "TakeOr", "TakeRatio", "TakeCount", "Catalogue", "Spec", "Assume"}

// looksUp are those that find one.
var looksUp = []string{"Get", "Lookup"}

// check reads one package and returns what is wrong in it, and how many names
// it held against the declarations.
func (n names) check(dir string, r *reader) (problems []string, checked int) {
	say := func(at token.Pos, format string, args ...any) {
		problems = append(problems, r.set.Position(at).String()+": "+fmt.Sprintf(format, args...))
	}
	// named is what a text is, where its form is that of a path of a stage
	each := func(e ast.Expr, in *ast.FuncDecl, use func(pattern string)) {
		for _, p := range r.texts(e, in, nil, depth) {
			head, _, ok := strings.Cut(p, ".")
			if ok && dotted.MatchString(p) && !strings.Contains(head, "*") && (dir != checks || head != "check") {
				checked++
				use(p)
			}
		}
	}
	for _, f := range r.files {
		for _, d := range f.Decls {
			in, _ := d.(*ast.FuncDecl)
			within := map[ast.Node]bool{} // parts of an expression that was read whole
			skip := func(e ast.Node) {
				ast.Inspect(e, func(n ast.Node) bool { within[n] = true; return true })
			}
			ast.Inspect(d, func(node ast.Node) bool {
				if node == nil {
					return true
				}
				switch x := node.(type) {
				case *ast.ImportSpec:
					return false
				case *ast.Field: // tags
					if x.Tag != nil {
						within[x.Tag] = true
					}
				case *ast.KeyValueExpr:
					if dir == checks { // the names of its methods
						within[x.Key] = true
					}
				case *ast.AssignStmt: // of a variable to what it was and more
					for i, l := range x.Lhs {
						if id, ok := l.(*ast.Ident); ok && len(x.Lhs) == len(x.Rhs) && mentions(x.Rhs[i], id.Name) {
							skip(x.Rhs[i])
						}
					}
				case *ast.CompositeLit:
					n.literal(r, x, in, each, say)
				case *ast.CallExpr:
					name := called(x)
					n.sentence(dir, r, x, in, say, &checked)
					if slices.Contains(wants, name) && len(x.Args) > 0 {
						each(x.Args[len(x.Args)-1], in, func(p string) {
							if lacking(dir, p) {
								say(x.Pos(), "%s of %s, which some designs lack: use Lookup", name, p)
							}
						})
					}
					n.assumption(r, x, in, say, &checked)
					if _, method := x.Fun.(*ast.SelectorExpr); !method || len(x.Args) == 0 {
						break
					}
					switch {
					case slices.Contains(looksUp, name) && len(x.Args) == 1, slices.Contains(enters, name) && len(x.Args) > 2:
						verb := map[bool]string{true: "looks up", false: "enters"}[len(x.Args) == 1]
						each(x.Args[0], in, func(p string) {
							if !quantity(p) {
								say(x.Pos(), "%s %s the quantity %s, which compute/ids does not declare", name, verb, p)
							}
						})
						skip(x.Args[0])
					}
				case ast.Expr:
					if within[node] || !textual(x) {
						break
					}
					each(x, in, func(p string) {
						head, _, _ := strings.Cut(p, ".")
						if strings.HasSuffix(p, "_") { // the beginning of one
							p += "*"
						}
						if ids.IsStage(head) && !quantity(p) && !finding(p) && !n.key(p) {
							say(x.Pos(), "%s is no quantity, no finding and no key of the spec", p)
						}
					})
					if _, sum := x.(*ast.BinaryExpr); sum {
						skip(x)
					}
				}
				return true
			})
		}
	}
	slices.Sort(problems)
	return slices.Compact(problems), checked
}

// mentions says that an expression reads a variable.
func mentions(e ast.Expr, name string) (found bool) {
	ast.Inspect(e, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && id.Name == name {
			found = true
		}
		return !found
	})
	return found
}

// textual says that an expression can be read as a whole.
func textual(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.BasicLit:
		return e.Kind == token.STRING
	case *ast.BinaryExpr:
		return e.Op == token.ADD
	}
	return false
}

// wants are the functions that cannot do without the quantity they name.
var wants = []string{"Get", "get", "text", "q"}

// packageOf is the package of a stage where it has not the stage's name.
var packageOf = map[string]string{"tubes": "operating", "plate_feed": "platefeed",
	"bring_up": "bringup", "antenna": "exposure", "protection": "metering"}

// lacking says that some designs lack a quantity, and that the package is not
// that of the stage which knows whether it has entered it.
func lacking(dir, id string) bool {
	q, ok := ids.Lookup(id)
	if !ok || !q.Optional() {
		return false
	}
	home := packageOf[q.Stage()]
	if home == "" {
		home = q.Stage()
	}
	return dir != "compute/stage/"+home
}

// refers are the words before the colon of a place that names something else
// than a quantity.
var refers = []string{"band", "part", "section"}

// binders are the functions that bind a value to a place, all by its name.
var binders = []string{"Of", "OfDigits", "Fixed", "Short", "Signed", "Times", "Counted",
	"Q", "OnBand", "Int", "Called", "Between", "In", "All"}

// sentence checks a form against what is bound beside it.
func (n names) sentence(dir string, r *reader, x *ast.CallExpr, in *ast.FuncDecl, say func(token.Pos, string, ...any), checked *int) {
	if called(x) != "Say" || len(x.Args) == 0 {
		return
	}
	bound, open := map[string]bool{}, x.Ellipsis != token.NoPos
	for _, a := range x.Args[1:] {
		c, ok := a.(*ast.CallExpr)
		if !ok || !slices.Contains(binders, called(c)) || len(c.Args) == 0 {
			open = true // a binding made elsewhere
			continue
		}
		list := r.texts(c.Args[0], in, nil, depth)
		if len(list) != 1 || strings.Contains(list[0], "*") {
			open = true
			continue
		}
		bound[list[0]] = true
	}
	used := map[string]bool{}
	for _, form := range r.texts(x.Args[0], in, nil, depth) {
		whole := !strings.Contains(form, "*")
		for _, p := range ledger.Pieces(form) {
			if p.Text != "" && whole && strings.ContainsAny(p.Text, "{}") {
				say(x.Pos(), "a brace without its like in %q", form)
			}
			if p.Place == "" {
				continue
			}
			*checked++
			name, ref, _ := strings.Cut(p.Place, ":")
			used[name] = true
			switch {
			case bound[name], strings.HasPrefix(name, "*"):
			case slices.Contains(refers, name):
				n.reference(name, ref, p.Place, func(what string) { say(x.Pos(), "%s", what) })
			case strings.Contains(name, "."):
				if !quantity(name) {
					say(x.Pos(), "{%s}: no stage declares that quantity", p.Place)
				}
				if lacking(dir, name) {
					say(x.Pos(), "{%s} stands in a sentence of another stage, and some designs lack it: bind it", p.Place)
				}
			case !open:
				say(x.Pos(), "nothing is bound to {%s}", p.Place)
			}
		}
		if strings.Contains(form, "*") {
			open = true // parts of the form are made elsewhere
		}
	}
	for b := range bound {
		if !used[b] && !open {
			say(x.Pos(), "no place for %s", b)
		}
	}
}

// part is the form of a designator.
var part = regexp.MustCompile(`^[A-Z]+[0-9*]+[a-zA-Z*]?(-[0-9*]+m?)?$`)

// reference checks {band:…}, {part:…} and {section:…}; what only the running
// program knows is let through.
func (n names) reference(kind, ref, place string, say func(string)) {
	ok := ref != ""
	if strings.HasPrefix(ref, "*") {
		return
	}
	switch kind {
	case "band":
		ok = slices.Contains(spec.BandNames, ref)
	case "part":
		ok = part.MatchString(ref)
	case "section":
		ok = ids.IsStage(ref) || slices.Contains(sections, ref)
	}
	if !ok {
		say(fmt.Sprintf("{%s} names nothing", place))
	}
}

// sections are the sections of the report that belong to no stage.
var sections = []string{"verdict", "glance", "safety", "parts", "margins", "card", "checks", "assumptions", "terms", "symbols",
	"sources"}

// assumption checks that an assumption is listed under a key that overrides it.
func (n names) assumption(r *reader, x *ast.CallExpr, in *ast.FuncDecl, say func(token.Pos, string, ...any), checked *int) {
	var key ast.Expr
	switch name := called(x); {
	case name == "Assume" && len(x.Args) == 6:
		key = x.Args[4]
	case name == "Suppose" && len(x.Args) == 3:
		key = x.Args[0]
	default:
		return
	}
	for _, k := range r.texts(key, in, nil, depth) {
		if strings.HasPrefix(k, "*") {
			continue
		}
		*checked++
		if !n.key(k) {
			say(key.Pos(), "the assumption is listed under %q, which is no key of the spec", k)
		}
	}
}

// literal checks findings, ratings and parts where they are written down.
func (n names) literal(r *reader, x *ast.CompositeLit, in *ast.FuncDecl, each func(ast.Expr, *ast.FuncDecl, func(string)),
	say func(token.Pos, string, ...any)) {
	kind := ""
	switch t := x.Type.(type) {
	case *ast.Ident:
		kind = t.Name
	case *ast.SelectorExpr:
		kind = t.Sel.Name
	}
	if !slices.Contains([]string{"Finding", "Rating", "Part"}, kind) {
		return
	}
	for _, e := range x.Elts {
		kv, ok := e.(*ast.KeyValueExpr)
		if !ok {
			continue
		}
		key, _ := kv.Key.(*ast.Ident)
		switch {
		case key == nil:
		case key.Name == "Stage":
			for _, s := range r.texts(kv.Value, in, nil, depth) {
				if s != "*" && !ids.IsStage(s) {
					say(kv.Pos(), "%s of the stage %q, which there is not", kind, s)
				}
			}
		case key.Name == "ID" && kind == "Finding":
			each(kv.Value, in, func(p string) {
				if !finding(p) {
					say(kv.Pos(), "the finding %s, which compute/ids does not declare", p)
				}
			})
		case key.Name == "Quantities" && kind == "Finding", key.Name == "StressID":
			list, ok := kv.Value.(*ast.CompositeLit)
			if !ok {
				return
			}
			for _, q := range list.Elts {
				each(q, in, func(p string) {
					if !quantity(p) {
						say(q.Pos(), "a finding names the quantity %s, which compute/ids does not declare", p)
					}
				})
			}
		}
	}
}

// TestGoNamesWhatIsDeclared reads the syntax trees of all packages: every path
// that is entered or looked up is a declared quantity, every finding is
// declared, and every other text in the form of a path is one of both or a key
// of the spec.
func TestGoNamesWhatIsDeclared(t *testing.T) {
	n := newNames()
	all := 0
	for dir, r := range readPackages(t) {
		if dir == "compute/ids" || dir == "spec/testhelp" { // the one declares, the other knows of no quantity
			continue
		}
		problems, checked := n.check(dir, r)
		for _, p := range problems {
			t.Error(p)
		}
		all += checked
	}
	t.Logf("%d names read", all)
	assert.Greater(t, all, 1500, "the walk reads the names")
}

// TestEveryFindingIsMade: each declared finding is one that some package makes.
func TestEveryFindingIsMade(t *testing.T) {
	var made []string
	for dir, r := range readPackages(t) {
		if dir == "compute/ids" || dir == "spec/testhelp" { // the one declares, the other knows of no quantity
			continue
		}
		for _, f := range r.files {
			for _, d := range f.Decls {
				in, _ := d.(*ast.FuncDecl)
				ast.Inspect(d, func(n ast.Node) bool {
					if e, ok := n.(ast.Expr); ok && (textual(e) || isCall(e)) {
						for _, p := range r.texts(e, in, nil, depth) {
							if head, _, ok := strings.Cut(p, "."); ok && ids.IsStage(head) {
								made = append(made, p)
							}
						}
					}
					return true
				})
			}
		}
	}
	for _, s := range ids.Stages {
		for _, f := range s.Findings {
			if !slices.ContainsFunc(made, func(p string) bool { return ids.Matches(f, p) || glob(p, f) }) {
				t.Errorf("no package spells the finding %s: take it out of compute/ids", f)
			}
		}
	}
}

func isCall(e ast.Expr) bool { _, ok := e.(*ast.CallExpr); return ok }

// TestReaderSees shows it what it is there for.
func TestReaderSees(t *testing.T) {
	for _, x := range []struct{ src, want string }{
		{`func f(d *Desk) { d.Get("supply.no_load_voltag") }`,
			"supply.no_load_voltag"},
		{`func f(d *Desk, b Band) { d.Get("tank." + b.Name + ".inductanse") }`,
			"tank.*.inductanse"},
		{`func f(d *Desk, b Band) { id := "tank." + b.Name + "."; d.Get(id + "inductanse") }`,
			"tank.*.inductanse"},
		{`func f(d *Desk, b Band) { id := func(s string) string { return "tank." + b.Name + "." + s }; d.Get(id("inductanse")) }`,
			"tank.*.inductanse"},
		{`func f(d *Desk, b Band) { d.Lookup(fmt.Sprintf("tank.%s.inductanse", b.Name)) }`,
			"tank.*.inductanse"},
		{`func f(d *Desk) { g(d, "inductanse") }; func g(d *Desk, which string) { d.Get("tank.80m." + which) }`,
			"tank.80m.inductanse"},
		{`func f(d *Desk) { for _, k := range []string{"tune", "lode"} { d.Get("tank.80m." + k + "_capacitance") } }`,
			"tank.80m.lode_capacitance"},
		{`const c = "tubes.plate_curent"; func f(d *Desk) { d.Get(c) }`,
			"tubes.plate_curent"},
		{`var list = []string{"tubes.plate_curent"}`,
			"tubes.plate_curent"},
		{`func f(d *Desk) { d.Compute("tubes.plate_curent", "", nil, nil) }`,
			"tubes.plate_curent"},
		{`func f(d *Desk) { d.Find(ledger.Finding{ID: "tank.outptu", Stage: "tank"}) }`,
			"tank.outptu"},
		{`func f(d *Desk) { d.Find(ledger.Finding{ID: "tank.efficiency", Stage: "tanks"}) }`,
			`stage "tanks"`},
		{`func f(d *Desk) { d.Part(ledger.Part{Stage: "platefeed"}) }`,
			`stage "platefeed"`},
		{`func f(d *Desk) { d.Find(ledger.Finding{Quantities: []string{"tank.nothing"}}) }`,
			"tank.nothing"},
		{`func f() { ledger.Say("{tubes.plate_curent} flow") }`,
			"{tubes.plate_curent}: no stage"},
		{`func f() { x := d.Get("supply.step_start_time") }`,
			"some designs lack"},
		{`func f() { ledger.Say("after {supply.step_start_time}") }`,
			"some designs lack it"},
		{`func f() { ledger.Say("{volts} stand there") }`,
			"nothing is bound to {volts}"},
		{`func f() { ledger.Say("it stands there", ledger.Of("volts", 3, "V")) }`,
			"no place for volts"},
		{`func f() { ledger.Say("{volts stand there", ledger.Of("volts", 3, "V")) }`,
			"a brace without its like"},
		{`func f() { ledger.Say("on {band:85m}") }`,
			"{band:85m} names nothing"},
		{`func f() { ledger.Say("see {section:tanks}") }`,
			"{section:tanks} names nothing"},
		{`func f() { ledger.Say("fit {part:six}") }`,
			"{part:six} names nothing"},
		{`func f(d *Desk) { d.Assume("tubes.plate_current", "", 1, "A", "supply.volts", "so") }`,
			"supply.volts"},
		{`func f(d *Desk) { x := get("supply.nothing") }`,
			"supply.nothing"},
	} {
		problems, _ := newNames().check("x", source(t, "package x; "+x.src))
		require.NotEmpty(t, problems, x.src)
		assert.Contains(t, problems[0], x.want, x.src)
	}
	problems, checked := newNames().check("x", source(t, `package x
		func f(d *Desk) { d.Get("tubes.plate_current"); say("supply.transformer.voltage") }
		func g(b string) { ledger.Say("{tubes.plate_current} flow in {part:R6} on {band:"+b+"}, {watts}; see {section:bias}",
			ledger.Of("watts", 3, "W")) }`))
	assert.Empty(t, problems)
	assert.Equal(t, 8, checked)
}
