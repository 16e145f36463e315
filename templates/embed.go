// Package templates holds the text that is poured round the notebook's
// content: the sections of the report in Markdown, the HTML shell, the style
// sheet and the starter spec, embedded in the binary.
package templates

import "embed"

// FS holds page.html, style.css, forms.css, glossary.toml, starter.toml and report/*.md.
//
//go:embed page.html style.css forms.css glossary.toml starter.toml report/*.md
var FS embed.FS
