package report

import (
	"anodebook/compute"
	"anodebook/report/setting"
)

// forReport sets sentences for Markdown: quantities as text, words of the
// builder's own escaped.
func forReport(d *compute.Design) *setting.Setter {
	s := setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value)
	s.Word = escapePlain
	return s
}
