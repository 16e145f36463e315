package ids_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A reader evaluates the string expressions of a package as far as its syntax
// tells: literals, sums, constants, variables of a function, formats, small
// functions, and parameters by what the callers in the package hand over. A
// star stands for what only the running program knows.
type reader struct {
	set    *token.FileSet
	files  []*ast.File
	consts map[string]ast.Expr
	funcs  map[string]*ast.FuncDecl
	calls  map[string][]call // by name of the function called
	busy   map[string]bool   // variables being followed
}

// call is a call with the function in which it stands.
type call struct {
	*ast.CallExpr
	in *ast.FuncDecl
}

// packages are those that readPackages has read.
var packages map[string]*reader

// readPackages reads the Go files of all packages below the folder of the
// module that are no tests, a reader for each folder, once.
func readPackages(t *testing.T) map[string]*reader {
	t.Helper()
	if packages != nil {
		return packages
	}
	const root = "../.."
	out := map[string]*reader{}
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name := d.Name(); d.IsDir() && path != root && (strings.HasPrefix(name, ".") || name == "testdata") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		dir, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		r := out[dir]
		if r == nil {
			r = newReader()
			out[dir] = r
		}
		f, err := parser.ParseFile(r.set, path, nil, parser.SkipObjectResolution)
		if err == nil {
			r.add(f)
		}
		return err
	}))
	packages = out
	return out
}

func newReader() *reader {
	return &reader{set: token.NewFileSet(),
		consts: map[string]ast.Expr{}, funcs: map[string]*ast.FuncDecl{}, calls: map[string][]call{}, busy: map[string]bool{}}
}

// source is a reader of one file.
func source(t *testing.T, src string) *reader {
	r := newReader()
	f, err := parser.ParseFile(r.set, "test.go", src, parser.SkipObjectResolution)
	require.NoError(t, err)
	r.add(f)
	return r
}

func (r *reader) add(f *ast.File) {
	r.files = append(r.files, f)
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.GenDecl:
			for _, s := range d.Specs {
				if v, ok := s.(*ast.ValueSpec); ok && len(v.Values) == len(v.Names) {
					for i, n := range v.Names {
						if d.Tok == token.CONST {
							r.consts[n.Name] = v.Values[i]
						}
					}
				}
			}
		case *ast.FuncDecl:
			r.funcs[d.Name.Name] = d
			ast.Inspect(d, func(n ast.Node) bool {
				if c, ok := n.(*ast.CallExpr); ok {
					if name := called(c); name != "" {
						r.calls[name] = append(r.calls[name], call{c, d})
					}
				}
				return true
			})
		}
	}
}

// called is the name of the function or method of a call.
func called(c *ast.CallExpr) string {
	switch f := c.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	}
	return ""
}

// depth is how far expressions are followed; most is how many values one may
// have.
const (
	depth = 9
	most  = 64
)

var unknown = []string{"*"}

var verb = regexp.MustCompile(`%[+# 0-9.]*[a-zA-Z]`)

// texts are the values that a string expression can have in a function.
func (r *reader) texts(e ast.Expr, in *ast.FuncDecl, bound map[string][]string, left int) []string {
	if left == 0 {
		return unknown
	}
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			if s, err := strconv.Unquote(e.Value); err == nil {
				return []string{s}
			}
		}
	case *ast.ParenExpr:
		return r.texts(e.X, in, bound, left)
	case *ast.BinaryExpr:
		if e.Op == token.ADD {
			var out []string
			for _, a := range r.texts(e.X, in, bound, left-1) {
				for _, b := range r.texts(e.Y, in, bound, left-1) {
					out = append(out, a+b)
				}
			}
			return clip(out)
		}
	case *ast.Ident:
		return r.variable(e, in, bound, left)
	case *ast.CallExpr:
		return r.result(e, in, bound, left)
	}
	return unknown
}

func clip(list []string) []string {
	slices.Sort(list)
	list = slices.Compact(list)
	if len(list) == 0 || len(list) > most {
		return unknown
	}
	return list
}

// variable gives the values of a variable, a parameter or a constant.
func (r *reader) variable(e *ast.Ident, in *ast.FuncDecl, bound map[string][]string, left int) []string {
	if v, ok := bound[e.Name]; ok {
		return v
	}
	if in != nil {
		key := in.Name.Name + " " + e.Name
		if r.busy[key] { // set from itself
			return unknown
		}
		r.busy[key] = true
		defer delete(r.busy, key)
	}
	var out []string
	if in != nil {
		ast.Inspect(in, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.AssignStmt:
				for i, l := range n.Lhs {
					if id, ok := l.(*ast.Ident); !ok || id.Name != e.Name {
						continue
					}
					switch {
					case n.Tok == token.ADD_ASSIGN:
						out = append(out, "*")
					case len(n.Rhs) == len(n.Lhs):
						out = append(out, r.texts(n.Rhs[i], in, bound, left-1)...)
					default:
						out = append(out, "*")
					}
				}
			case *ast.ValueSpec:
				for i, name := range n.Names {
					if name.Name == e.Name && i < len(n.Values) {
						out = append(out, r.texts(n.Values[i], in, bound, left-1)...)
					}
				}
			case *ast.RangeStmt:
				if id, ok := n.Value.(*ast.Ident); ok && id.Name == e.Name {
					if list, ok := n.X.(*ast.CompositeLit); ok {
						for _, x := range list.Elts {
							out = append(out, r.texts(x, in, bound, left-1)...)
						}
					} else {
						out = append(out, "*")
					}
				}
				if id, ok := n.Key.(*ast.Ident); ok && id.Name == e.Name {
					out = append(out, "*")
				}
			case *ast.FuncLit:
				if place(n.Type, e.Name) >= 0 {
					out = append(out, "*")
				}
			}
			return true
		})
		if i := place(in.Type, e.Name); i >= 0 && len(out) == 0 {
			for _, c := range r.calls[in.Name.Name] {
				if i < len(c.Args) && c.Ellipsis == token.NoPos {
					out = append(out, r.texts(c.Args[i], c.in, nil, left-1)...)
				}
			}
			return clip(out)
		}
	}
	if len(out) == 0 {
		if c, ok := r.consts[e.Name]; ok {
			return r.texts(c, nil, nil, left-1)
		}
		return unknown
	}
	return clip(out)
}

// place is where a parameter stands, -1 where it does not; a variadic one is
// none.
func place(f *ast.FuncType, name string) int {
	i := 0
	for _, p := range f.Params.List {
		for _, n := range p.Names {
			if n.Name == name {
				if _, variadic := p.Type.(*ast.Ellipsis); variadic {
					return -1
				}
				return i
			}
			i++
		}
	}
	return -1
}

// result gives the values of a call: a format, or a function of one return.
func (r *reader) result(c *ast.CallExpr, in *ast.FuncDecl, bound map[string][]string, left int) []string {
	if s, ok := c.Fun.(*ast.SelectorExpr); ok {
		if x, ok := s.X.(*ast.Ident); ok && x.Name == "fmt" && s.Sel.Name == "Sprintf" {
			return clip(r.format(c, in, bound, left))
		}
	}
	var params *ast.FuncType
	var body *ast.BlockStmt
	inside := in
	if f, ok := c.Fun.(*ast.Ident); ok {
		if lit := closure(f.Name, in); lit != nil {
			params, body = lit.Type, lit.Body
		}
	}
	if body == nil {
		if f, ok := r.funcs[called(c)]; ok && f.Body != nil {
			params, body, inside = f.Type, f.Body, f
		}
	}
	if body == nil || len(body.List) != 1 {
		return unknown
	}
	ret, ok := body.List[0].(*ast.ReturnStmt)
	if !ok || len(ret.Results) != 1 {
		return unknown
	}
	inner := map[string][]string{}
	if inside == in {
		for k, v := range bound {
			inner[k] = v
		}
	}
	for _, p := range params.Params.List {
		for _, n := range p.Names {
			inner[n.Name] = unknown
			if i := place(params, n.Name); i >= 0 && i < len(c.Args) {
				inner[n.Name] = r.texts(c.Args[i], in, bound, left-1)
			}
		}
	}
	return r.texts(ret.Results[0], inside, inner, left-1)
}

// closure finds the function that a variable of a function holds.
func closure(name string, in *ast.FuncDecl) (out *ast.FuncLit) {
	if in == nil {
		return nil
	}
	ast.Inspect(in, func(n ast.Node) bool {
		if a, ok := n.(*ast.AssignStmt); ok && len(a.Lhs) == len(a.Rhs) {
			for i, l := range a.Lhs {
				if id, ok := l.(*ast.Ident); ok && id.Name == name {
					if f, ok := a.Rhs[i].(*ast.FuncLit); ok {
						out = f
					}
				}
			}
		}
		return true
	})
	return out
}

func (r *reader) format(c *ast.CallExpr, in *ast.FuncDecl, bound map[string][]string, left int) []string {
	if len(c.Args) == 0 {
		return unknown
	}
	var out []string
	for _, f := range r.texts(c.Args[0], in, bound, left-1) {
		list := []string{""}
		parts, verbs := verb.Split(f, -1), len(verb.FindAllString(f, -1))
		for i, p := range parts {
			for k := range list {
				list[k] += p
			}
			if i >= verbs {
				continue
			}
			values := unknown
			if i+1 < len(c.Args) {
				values = r.texts(c.Args[i+1], in, bound, left-1)
			}
			var next []string
			for _, l := range list {
				for _, v := range values {
					next = append(next, l+v)
				}
			}
			list = clip(next)
		}
		out = append(out, list...)
	}
	return out
}
