package report

import (
	"anodebook/compute"
	"anodebook/report/setting"
)

// forReport sets sentences for the Markdown of a report. Words that stand in
// them are those of catalogues, and names that the spec's reader has held to
// letters and digits.
func forReport(d *compute.Design) *setting.Setter {
	return setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value)
}
