// Command anodebook turns a short description of a grounded-grid linear
// amplifier into a complete build notebook.
package main

import (
	"os"
	"runtime/debug"
)

func main() {
	shortLived()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// shortLived lets the heap grow before it is collected: a run needs some tens
// of megabytes once and ends.
func shortLived() { debug.SetGCPercent(400) }
