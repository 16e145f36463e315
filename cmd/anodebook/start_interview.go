package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// interview asks for the facts. An empty answer takes the default in brackets;
// one that the spec code refuses is asked for again.
func interview(in io.Reader, out io.Writer, f facts) error {
	lines := bufio.NewScanner(in)
	fmt.Fprint(out, "A new spec. Enter takes what stands in brackets.\n\n")
	base, err := starterFacts()
	if err != nil {
		return err
	}
	for _, q := range append([]question{purposeQuestion}, questions...) {
		usual, err := f.proposal(base, q.key)
		if err != nil {
			return err
		}
		for {
			if usual == "" {
				fmt.Fprintf(out, "%s: ", q.ask)
			} else {
				fmt.Fprintf(out, "%s [%s]: ", q.ask, usual)
			}
			if !lines.Scan() {
				fmt.Fprintln(out)
				broken := errors.New("start: the questions were broken off; nothing is written")
				if err := lines.Err(); err != nil {
					broken = fmt.Errorf("%w: %w", broken, err)
				}
				return hinted{broken, "flags answer them beforehand: anodebook start --help"}
			}
			text := strings.TrimSpace(lines.Text())
			if text == "" {
				break
			}
			p, wrong := slip(base, q, text)
			if !wrong {
				f[q.key] = text
				break
			}
			fmt.Fprintf(out, "  %s\n", oneLine(p.What))
			if p.Hint != "" {
				fmt.Fprintf(out, "  hint: %s\n", oneLine(p.Hint))
			}
		}
		if f[q.key] == "" && usual != "" {
			f[q.key] = usual
		}
	}
	fmt.Fprintln(out)
	return nil
}

// proposal is the default of a question after the answers so far.
func (f facts) proposal(base facts, key string) (string, error) {
	whole, _, err := f.completed()
	if err != nil {
		return "", err
	}
	if whole[key] != "" {
		return whole[key], nil
	}
	return base[key], nil
}
