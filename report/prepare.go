package report

import (
	"sync"

	"anodebook/compute/reference"
	"anodebook/report/figure"
	"anodebook/report/page"
)

// Prepare reads what every report needs and no spec changes: templates,
// glossary, published checks, the letters of the figures. It may run beside
// the reading and computing of the spec; what is not ready then is made when it
// is needed, so an error shows there.
func Prepare() {
	var all sync.WaitGroup
	for _, make := range []func(){
		func() { _, _ = parsed() },
		func() { _, _ = glossary() },
		reference.Prepare,
		page.Prepare,
		figure.Prepare,
	} {
		all.Go(make)
	}
	all.Wait()
}
