package report

import (
	"maps"

	"anodebook/compute"
	"anodebook/report/figure"
)

// FilesOf makes the files of the notebook, and of the short forms asked for,
// by path below its folder.
func FilesOf(d *compute.Design, o Options) (map[string][]byte, error) {
	doc, err := Build(d)
	if err != nil {
		return nil, err
	}
	doc.Paper = o.Paper
	// The other files are made while the page is.
	data := make(chan error, 1)
	var rest map[string][]byte
	go func() {
		var err error
		rest, err = dataFiles(d, doc)
		data <- err
	}()
	html, err := doc.HTML()
	if err != nil {
		return nil, err
	}
	if err := <-data; err != nil {
		return nil, err
	}
	out := map[string][]byte{"report.html": html, "report.md": doc.Markdown}
	maps.Copy(out, rest)
	for _, form := range o.Forms {
		if form == Full {
			continue
		}
		short, err := Shorten(d, doc, form)
		if err != nil {
			return nil, err
		}
		if out[form.name()+".html"], err = short.HTML(); err != nil {
			return nil, err
		}
		out[form.name()+".md"] = short.Markdown
	}
	return out, nil
}

// dataFiles are the files beside the page: numbers, parts, networks, photos
// and figures.
func dataFiles(d *compute.Design, doc *Document) (map[string][]byte, error) {
	results, err := JSON(d)
	if err != nil {
		return nil, err
	}
	parts, err := PartsCSV(d)
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{"results.json": results, "parts.csv": parts}
	networks, err := networkFiles(d)
	if err != nil {
		return nil, err
	}
	maps.Copy(out, networks)
	for path, photo := range doc.Images {
		out[path] = photo.Bytes
	}
	for path, svg := range doc.Figures {
		out[path] = []byte(figure.Standalone(unlinked(svg)))
	}
	return out, nil
}
