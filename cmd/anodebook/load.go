package main

import (
	"io"

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
		return spec.Read("standard-input", src, names)
	}
	return spec.Load(path, names)
}
