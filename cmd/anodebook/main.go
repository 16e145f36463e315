// Command anodebook turns a short description of a grounded-grid linear
// amplifier into a complete build notebook.
package main

import "os"

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
