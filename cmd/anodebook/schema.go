package main

import (
	"flag"
	"fmt"

	"anodebook/compute"
	"anodebook/report"
	"anodebook/spec"
)

var schemaCommand = &command{
	name:    "schema",
	args:    "[--results]",
	summary: "the JSON Schema of a spec, for editors; or that of results.json",
	help: `Prints the JSON Schema (draft 2020-12) of the spec format: every key with its
meaning, its units, its words and what is assumed without it. An editor with a
TOML language server completes keys and words from it, shows what they mean, and
marks mistakes while you type. Save it beside the spec:
  anodebook schema > anodebook.schema.json
and write as the first line of the spec:
  #:schema ./anodebook.schema.json

A schema cannot tell whether a voltage is plausible or whether two keys fit each
other; "check" can. With --results it is the schema of results.json, for
programs that read it. Both formats carry a version, "schema": this program
refuses a spec that is newer than it knows, and so should a reader of
results.json.`,
	example: "anodebook schema",
	flags: func(fs *flag.FlagSet) any {
		return fs.Bool("results", false, "print the schema of results.json")
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		if len(args) > 0 {
			return exitError, hinted{fmt.Errorf("schema: nothing is to be named, got %q", args[0]),
				"anodebook schema > anodebook.schema.json"}
		}
		text, err := spec.Schema(compute.Names())
		if *flags.(*bool) {
			text, err = report.ResultsSchema()
		}
		if err != nil {
			return exitError, err
		}
		_, err = e.stdout.Write(text)
		return exitGood, err
	},
}
