// Mutations plants faults in the physics, one at a time, and holds the tests
// to catching every one of them.
//
//	go run .ci/mutations/main.go              every fault, about three minutes
//	go run .ci/mutations/main.go -only tank   those of one package
//	go run .ci/mutations/main.go -check       plants nothing: every old text still
//	                                          stands once in its file, and the table
//	                                          in .ci/mutations/FAULTS.md is that of the list
//	go run .ci/mutations/main.go -table       writes that table anew
//	go run .ci/mutations/main.go -find        with all tests of the packages: lists
//	                                          which ones fail, to choose from
//
// The tree is copied to a temporary folder; the one it stands in is only read.
// A fault counts as caught when one of the tests named beside it fails. One
// that does not build, or whose formula is refused at start, counts for
// nothing and is an error, as is a test that fails without any fault.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

// Fault is one change of the physics that somebody could make by mistake.
type Fault struct {
	File  string // from the root of the repository
	Old   string // stands exactly once there
	New   string
	What  string // in plain English
	Kind  string // one of kinds
	Tests string // regular expression of the tests that must catch it
	In    string // package of those tests; that of the file unless said
}

// kinds are the mistakes of the trade.
var kinds = []string{
	"sign", "factor 2", "peak/rms", "unit prefix", "sin/cos", "exponent", "per tube/all", "degrees/radians",
	"dB 10/20", "root", "ratio", "missing term",
}

const (
	list = ".ci/mutations/faults.toml"
	page = ".ci/mutations/FAULTS.md"
)

func main() {
	check := flag.Bool("check", false, "plant nothing; hold list and table against the tree")
	table := flag.Bool("table", false, "write the table, "+page)
	find := flag.Bool("find", false, "run all tests of the packages and list those that fail")
	only := flag.String("only", "", "faults whose file has this text in its name")
	workers := flag.Int("workers", 2, "faults at the same time")
	flag.Parse()
	if err := run(*check, *table, *find, *only, *workers); err != nil {
		fmt.Fprintln(os.Stderr, "mutations:", err)
		os.Exit(1)
	}
}

func run(check, table, find bool, only string, workers int) error {
	faults, err := read()
	if err != nil {
		return err
	}
	switch {
	case table:
		return writeTable(faults)
	case check:
		return checkTable(faults)
	}
	if only != "" {
		faults = slices.DeleteFunc(faults, func(f Fault) bool { return !strings.Contains(f.File, only) })
	}
	if len(faults) == 0 {
		return errors.New("no fault is left to plant")
	}
	return plantAll(faults, find, max(workers, 1))
}

// read reads the list and holds every fault against the tree.
func read() ([]Fault, error) {
	var file struct{ Fault []Fault }
	meta, err := toml.DecodeFile(list, &file)
	if err != nil {
		return nil, fmt.Errorf("%w (start it in the root of the repository)", err)
	}
	if rest := meta.Undecoded(); len(rest) > 0 {
		return nil, fmt.Errorf("%s: what is %v?", list, rest)
	}
	var wrong []error
	for i := range file.Fault {
		f := &file.Fault[i]
		text, err := os.ReadFile(f.File)
		switch count := strings.Count(string(text), f.Old); {
		case err != nil:
			wrong = append(wrong, err)
		case f.Old == "" || f.Old == f.New || f.What == "" || f.Tests == "":
			wrong = append(wrong, fmt.Errorf("%s: fault %d is not whole", list, i+1))
		case count != 1:
			wrong = append(wrong, fmt.Errorf("%s: the old text of “%s” stands %d times there", f.File, f.What, count))
		case !slices.Contains(kinds, f.Kind):
			wrong = append(wrong, fmt.Errorf("%s: no kind %q", f.What, f.Kind))
		}
		if f.In == "" {
			f.In = filepath.ToSlash(filepath.Dir(f.File))
		}
	}
	return file.Fault, errors.Join(wrong...)
}

// verdict is what became of one fault.
type verdict struct {
	caught []string // names of the tests that failed
	err    error
}

// plantAll plants one fault after the other, each worker in a copy of its own.
func plantAll(faults []Fault, find bool, workers int) error {
	home, err := os.MkdirTemp("", "mutations-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(home)
	trees := make([]string, workers)
	for w := range trees {
		trees[w] = filepath.Join(home, fmt.Sprint(w))
		if err := copyTree(".", trees[w]); err != nil {
			return err
		}
	}
	if !find {
		fmt.Println("without any fault:")
		if err := sound(trees[0], faults); err != nil {
			return err
		}
		fmt.Println("all tests named pass")
	}
	verdicts := make([]verdict, len(faults))
	next := make(chan int)
	var group sync.WaitGroup
	var print sync.Mutex
	for _, tree := range trees {
		group.Go(func() {
			for i := range next {
				verdicts[i] = plant(tree, faults[i], find)
				print.Lock()
				fmt.Printf("%-10s %-22s %s%s\n", verdicts[i].word(), faults[i].In, faults[i].What, verdicts[i].by())
				print.Unlock()
			}
		})
	}
	for i := range faults {
		next <- i
	}
	close(next)
	group.Wait()
	var wrong []error
	for i, v := range verdicts {
		switch {
		case v.err != nil:
			wrong = append(wrong, fmt.Errorf("%s: %s: %w", faults[i].File, faults[i].What, v.err))
		case len(v.caught) == 0:
			wrong = append(wrong, fmt.Errorf("%s: %s: not caught by %s", faults[i].File, faults[i].What, faults[i].Tests))
		}
	}
	fmt.Printf("%d faults, %d caught\n", len(faults), len(faults)-len(wrong))
	return errors.Join(wrong...)
}

func (v verdict) word() string {
	switch {
	case v.err != nil:
		return "ERROR"
	case len(v.caught) == 0:
		return "NOT CAUGHT"
	}
	return "caught"
}

func (v verdict) by() string {
	if len(v.caught) == 0 {
		return ""
	}
	return " — " + strings.Join(v.caught, ", ")
}

// sound holds the tests themselves: all must pass, and every expression must
// name one.
func sound(tree string, faults []Fault) error {
	tests := map[string][]string{}
	for _, f := range faults {
		tests[f.In] = append(tests[f.In], f.Tests)
	}
	var wrong []error
	for pkg, names := range tests {
		listed, err := goTest(tree, "-list", ".", "./"+pkg)
		if err != nil {
			return fmt.Errorf("%s: %w\n%s", pkg, err, listed)
		}
		for _, n := range names {
			if !regexp.MustCompile(`(?m)^(` + n + `)$`).MatchString(listed) {
				wrong = append(wrong, fmt.Errorf("%s has no test %s", pkg, n))
			}
		}
		if out, err := goTest(tree, "-run", "^("+strings.Join(names, "|")+")$", "./"+pkg); err != nil {
			wrong = append(wrong, fmt.Errorf("%s fails without any fault: %w\n%s", pkg, err, out))
		}
	}
	return errors.Join(wrong...)
}

var failed = regexp.MustCompile(`(?m)^--- FAIL: (\S+)`)

// plant puts one fault into the tree, runs the tests, and takes it out again.
func plant(tree string, f Fault, find bool) (v verdict) {
	path := filepath.Join(tree, filepath.FromSlash(f.File))
	text, err := os.ReadFile(path)
	if err != nil {
		return verdict{err: err}
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(text), f.Old, f.New, 1)), 0o644); err != nil {
		return verdict{err: err}
	}
	defer func() {
		if err := os.WriteFile(path, text, 0o644); err != nil && v.err == nil {
			v.err = err
		}
	}()
	names := "^(" + f.Tests + ")$"
	if find {
		names = "."
	}
	out, err := goTest(tree, "-run", names, "./"+f.In)
	if err == nil {
		return verdict{}
	}
	for _, m := range failed.FindAllStringSubmatch(out, -1) {
		v.caught = append(v.caught, m[1])
	}
	if len(v.caught) == 0 {
		v.err = fmt.Errorf("no test failed, and yet: %w\n%s", err, out)
	}
	return v
}

// goTest runs go test in a tree. The build knows nothing of the folder, so that
// all copies share what is compiled.
func goTest(tree string, args ...string) (string, error) {
	c := exec.Command("go", append([]string{"test", "-vet=off", "-trimpath", "-timeout=180s"}, args...)...)
	c.Dir = tree
	c.Env = append(os.Environ(), "GOFLAGS=-buildvcs=false", "GOMAXPROCS=2", "LONG=1")
	out, err := c.CombinedOutput()
	return string(out), err
}

// copyTree copies all but what git and this program keep for themselves.
func copyTree(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if path != from && strings.HasPrefix(d.Name(), ".") {
				return filepath.SkipDir
			}
			return os.MkdirAll(filepath.Join(to, path), 0o755)
		}
		if !d.Type().IsRegular() {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, path), text, 0o644)
	})
}

// pageText is the list as a table to read.
func pageText(faults []Fault) string {
	var b strings.Builder
	b.WriteString("# Seeded faults\n\nWritten by `go run .ci/mutations/main.go -table` from `faults.toml`; " +
		"[DEVELOPERS.md](../../DEVELOPERS.md) tells what they are for.\n\n")
	b.WriteString("| package | kind | fault | caught by |\n|:--|:--|:--|:--|\n")
	for _, f := range faults {
		tests := f.Tests
		if f.In != filepath.ToSlash(filepath.Dir(f.File)) {
			tests = f.In + ": " + tests
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", filepath.ToSlash(filepath.Dir(f.File)), f.Kind, f.What,
			strings.ReplaceAll(tests, "|", ", "))
	}
	return b.String()
}

func checkTable(faults []Fault) error {
	have, err := os.ReadFile(page)
	if err != nil {
		return err
	}
	if string(have) != pageText(faults) {
		return fmt.Errorf("%s is not that of %s; write it anew: go run .ci/mutations/main.go -table", page, list)
	}
	return nil
}

func writeTable(faults []Fault) error {
	return os.WriteFile(page, []byte(pageText(faults)), 0o644)
}
