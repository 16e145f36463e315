package spec

import "strings"

// currency checks the word that stands behind prices.
func (r *reader) currency() {
	c := r.spec.Notebook.Currency
	if len([]rune(c.Value)) > 20 || strings.ContainsAny(c.Value, "\r\n\t") || c.Given && strings.TrimSpace(c.Value) == "" &&
		!r.failed(c.Key) {
		r.problem(c.Origin, quote(c.Value)+" is not a word for a currency", `one short word, such as currency = "EUR"`)
	}
}
