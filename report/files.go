package report

import (
	"maps"

	"anodebook/compute"
	"anodebook/report/figure"
)

// Files makes every file of the notebook, by path below its folder.
func Files(d *compute.Design) (map[string][]byte, error) { return FilesOf(d, Options{}) }

// FilesOf makes the files of the notebook, and of the short forms asked for,
// by path below its folder.
func FilesOf(d *compute.Design, o Options) (map[string][]byte, error) {
	doc, err := Build(d)
	if err != nil {
		return nil, err
	}
	doc.Paper = o.Paper
	html, err := doc.HTML()
	if err != nil {
		return nil, err
	}
	results, err := JSON(d)
	if err != nil {
		return nil, err
	}
	parts, err := PartsCSV(d)
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{
		"report.html": html, "report.md": doc.Markdown, "results.json": results, "parts.csv": parts,
	}
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
