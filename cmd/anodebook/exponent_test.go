package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNoVerbWritesExponents looks through the sources: a number of a sentence
// goes through quantity.Format, Short, Fixed, Signed or Times, never through a
// verb or a format that turns to exponents by itself. What is no sentence is
// named here.
func TestNoVerbWritesExponents(t *testing.T) {
	drawing := []string{"report/figure/", "report/schematic/", "report/figure_", "report/drawing.go"}
	data := map[string]string{
		"compute/physics/tube/cmd/":          "writes and lists fitted parameters",
		"compute/format/touchstone/write.go": "a file of numbers",
		"report/study.go":                    "values of a CSV file",
		"compute/ledger/texcheck/":           "a tool of the tests",
		"compute/ledger/expression.go":       "exponents of a formula, at start",
		"compute/physics/tube/compare.go":    "names of columns, a bias in volts",
		"compute/reference/tubes.go":         "names of columns, a bias in volts",
		"compute/stage/metering/metering.go": "margins of 1 to 10",
		"cmd/anodebook/compare.go":           "the default of a flag",
	}
	var found []string
	verb := regexp.MustCompile(`%[-+# 0]*\d*(\.\d+)?[geGE]`)
	used := map[string]bool{}
	for _, top := range []string{"cmd", "compute", "report", "spec"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(root, top), func(path string, e fs.DirEntry, err error) error {
			name, _ := filepath.Rel(root, path)
			name = filepath.ToSlash(name)
			if err != nil || e.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") ||
				strings.HasPrefix(name, "spec/spectest/") {
				return err
			}
			for _, p := range drawing {
				if strings.HasPrefix(name, p) {
					return nil
				}
			}
			for p := range data {
				if strings.HasPrefix(name, p) {
					used[p] = true
					return nil
				}
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				switch x := n.(type) {
				case *ast.CallExpr:
					if f, ok := x.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "FormatFloat" && len(x.Args) == 4 {
						l, ok := x.Args[1].(*ast.BasicLit)
						if !ok || l.Value != "'f'" {
							found = append(found, set.Position(x.Pos()).String()+": FormatFloat")
						}
					}
				case *ast.BasicLit:
					if text, err := strconv.Unquote(x.Value); x.Kind == token.STRING && err == nil && verb.MatchString(text) {
						found = append(found, set.Position(x.Pos()).String()+": "+text)
					}
				case *ast.Field:
					return false // tags
				}
				return true
			})
			return nil
		}))
	}
	assert.Empty(t, found, "write these with quantity.Short or Format:\n%s", strings.Join(found, "\n"))
	for p, why := range data {
		assert.True(t, used[p], "%s (%s) is gone", p, why)
	}
}
