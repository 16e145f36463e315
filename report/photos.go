package report

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"anodebook/compute"
	"anodebook/report/page"
	"anodebook/spec"
)

// photoPath is where a photograph lies beside the report.
func photoPath(name string) string { return "photos/" + name + ".jpg" }

// developPhotos makes the pictures of the notebook out of the files that the
// spec names. The error is spec.Problems, all of them.
func developPhotos(d *compute.Design) (map[string]page.Image, error) {
	names := slices.Sorted(maps.Keys(d.Spec.Photo))
	made, errs := make([][]byte, len(names)), make([]error, len(names))
	var all sync.WaitGroup
	free := make(chan bool, 2) // a picture of the greatest size takes a hundred megabytes for a moment
	for i, n := range names {
		all.Go(func() {
			free <- true
			defer func() { <-free }()
			made[i], errs[i] = developPhoto(d.Spec.Photo[n].File.Content)
		})
	}
	all.Wait()
	out := map[string]page.Image{}
	var problems spec.Problems
	for i, n := range names {
		f := d.Spec.Photo[n].File
		var bad photoError
		switch {
		case errors.As(errs[i], &bad):
			problems = append(problems, spec.Problem{File: d.Spec.File, Position: f.Position, Key: f.Key,
				What: fmt.Sprintf("%q: %s", f.Name, bad.what), Hint: bad.hint})
		case errs[i] != nil:
			return nil, errs[i]
		default:
			out[photoPath(n)] = page.Image{Type: "image/jpeg", Bytes: made[i]}
		}
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return out, nil
}

// photos places the photographs of a section, in the order of the spec.
func (w *writer) photos(section string) string {
	var names []string
	for n, p := range w.Spec.Photo {
		if p.Place() == section {
			names = append(names, n)
		}
	}
	slices.SortFunc(names, func(a, b string) int {
		x, y := w.Spec.Photo[a].File, w.Spec.Photo[b].File
		if x.Line != y.Line {
			return x.Line - y.Line
		}
		return strings.Compare(a, b)
	})
	var b strings.Builder
	for _, n := range names {
		p := w.Spec.Photo[n]
		alt := escapePlain(p.Alt.Value)
		caption := escapePlain(p.Caption.Value)
		if caption == "" {
			caption = alt
		}
		fmt.Fprintf(&b, "\n![%s](%s \"%s\")\n", caption, photoPath(n), alt)
	}
	return b.String()
}
