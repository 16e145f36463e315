package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"anodebook/compute"
	"anodebook/report"
	"anodebook/spec"
	"anodebook/templates"
)

// starterName is how messages call the embedded starter spec.
const starterName = "starter.toml"

// design reads a spec and computes it: a file, "-" for standard input, or ""
// for the embedded starter spec.
func (e *environment) design(path string) (*compute.Design, error) {
	s, err := e.load(path)
	if err != nil {
		return nil, err
	}
	return compute.Run(s)
}

func (e *environment) load(path string) (*spec.Spec, error) {
	names := compute.Names()
	switch path {
	case "":
		src, err := templates.FS.ReadFile("starter.toml")
		if err != nil {
			return nil, err
		}
		return spec.Read(starterName, src, names)
	case "-":
		src, err := io.ReadAll(io.LimitReader(e.stdin, spec.MaxSize+1))
		if err != nil {
			return nil, err
		}
		s, err := spec.Read("standard-input", src, names)
		if err != nil {
			return nil, err
		}
		return s, attach(s, "")
	}
	s, err := spec.Load(path, names)
	if err != nil {
		return nil, err
	}
	return s, attach(s, filepath.Dir(path))
}

// attach reads the files that a spec names into it. They must lie in the
// spec's own folder or below; a link that leads out of it is refused, and so
// is everything but a plain file. A spec without a folder has none.
func attach(s *spec.Spec, folder string) error {
	const noFolder, save = "a spec from standard input has no folder beside which the file could lie", "save the spec in a file and " +
		"name that"
	err := attachFrom(s, func(name string) ([]byte, string, string) {
		if folder == "" {
			return nil, noFolder, save
		}
		return readBeside(folder, name)
	})
	var problems spec.Problems
	if err != nil && !errors.As(err, &problems) {
		return err
	}
	for _, n := range slices.Sorted(maps.Keys(s.Photo)) {
		p := s.Photo[n]
		what, hint := noFolder, save
		if folder != "" {
			p.File.Content, what, hint = readLimited(folder, p.File.Name, spec.MaxPhoto,
				"save it smaller: the notebook shows 1600 points across")
		}
		if p.File.Content != nil {
			if what, hint = report.CheckPhoto(p.File.Content); what != "" {
				what = strconv.Quote(p.File.Name) + ": " + what
			}
		}
		if what != "" {
			problems = append(problems, spec.Problem{File: s.File, Position: p.File.Position, Key: p.File.Key, What: what, Hint: hint})
		}
		s.Photo[n] = p
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// attachFrom fills in the content of the files that a spec names. Where read
// has none it says why.
func attachFrom(s *spec.Spec, read func(name string) (content []byte, what, hint string)) error {
	names := slices.Sorted(maps.Keys(s.Measured))
	var problems spec.Problems
	for _, n := range names {
		m := s.Measured[n]
		var what, hint string
		m.File.Content, what, hint = read(m.File.Name)
		if m.File.Content == nil {
			problems = append(problems, spec.Problem{File: s.File, Position: m.File.Position, Key: m.File.Key, What: what, Hint: hint})
		}
		s.Measured[n] = m
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// readBeside reads a file below the folder. Where it cannot, it says why.
func readBeside(folder, name string) (content []byte, what, hint string) {
	return readLimited(folder, name, spec.MaxAttachment, "measure fewer points: some hundred over the band are plenty")
}

// readLimited is readBeside with a limit in bytes and the hint for a file that
// is larger.
func readLimited(folder, name string, limit int64, smaller string) (content []byte, what, hint string) {
	quoted := strconv.Quote(name)
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err.Error(), ""
	}
	defer root.Close()
	info, err := root.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "no file " + quoted + " beside the spec", "the path counts from the spec's own folder"
	case err != nil:
		return nil, quoted + " cannot be read, or leads out of the spec's folder", "copy the file itself beside the spec"
	case !info.Mode().IsRegular():
		return nil, quoted + " is not a plain file", ""
	case info.Size() > limit:
		return nil, fmt.Sprintf("%s has %d bytes; the limit is %d", quoted, info.Size(), limit), smaller
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, quoted + " cannot be read", "look at the permissions of the file"
	}
	defer f.Close()
	content, err = io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, quoted + " cannot be read", ""
	}
	if content == nil {
		content = []byte{}
	}
	return content, "", ""
}
