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
	return attachFrom(s, func(name string) ([]byte, string, string) {
		if folder == "" {
			return nil, "a spec from standard input has no folder beside which the file could lie", "save the spec in a file and name that"
		}
		return readBeside(folder, name)
	})
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
	case info.Size() > spec.MaxAttachment:
		return nil, fmt.Sprintf("%s has %d bytes; the limit is %d", quoted, info.Size(), spec.MaxAttachment), "measure fewer points: some hundred over the band are plenty"
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, quoted + " cannot be read", "look at the permissions of the file"
	}
	defer f.Close()
	content, err = io.ReadAll(io.LimitReader(f, spec.MaxAttachment+1))
	if err != nil {
		return nil, quoted + " cannot be read", ""
	}
	if content == nil {
		content = []byte{}
	}
	return content, "", ""
}
