package report

import (
	"maps"

	"anodebook/compute"
	"anodebook/report/figure"
)

// Files makes every file of the notebook, by path below its folder.
func Files(d *compute.Design) (map[string][]byte, error) {
	doc, err := Build(d)
	if err != nil {
		return nil, err
	}
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
	networks, err := networkFiles(d)
	if err != nil {
		return nil, err
	}
	maps.Copy(out, networks)
	for path, svg := range doc.Figures {
		out[path] = []byte(figure.Standalone(svg))
	}
	return out, nil
}
