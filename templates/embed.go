// Package templates holds the text that is poured round the notebook's
// content: the HTML shell and the style sheet, embedded in the binary.
package templates

import "embed"

// FS holds page.html and style.css.
//
//go:embed page.html style.css
var FS embed.FS
