package main

import (
	"io"
	"strings"
	"sync"
	"unicode/utf8"
)

// console is standard output or standard error. Whatever a command prints, no
// control character of a strange spec, file name or git repository reaches the
// terminal, and the first failure to write is remembered: a command that does
// not look for it cannot report success.
type console struct {
	to   io.Writer
	mu   sync.Mutex
	err  error  // of the first write that failed
	rest []byte // begin of a character whose end has not come yet
}

// Write never splits a character.
func (c *console) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.err != nil {
		return 0, c.err
	}
	all := append(c.rest, p...)
	whole := len(all) - unfinished(all)
	c.rest = append([]byte(nil), all[whole:]...)
	if err := c.pass(all[:whole]); err != nil {
		return 0, err
	}
	return len(p), nil
}

// pass writes whole characters.
func (c *console) pass(p []byte) error {
	if _, err := io.WriteString(c.to, clean(string(p))); err != nil {
		c.err = &outputError{err}
	}
	return c.err
}

// end writes what is left and returns the first failure.
func (c *console) end() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.rest) > 0 && c.err == nil {
		_ = c.pass(c.rest)
		c.rest = nil
	}
	return c.err
}

// outputError is a failure to write to the terminal, a pipe or a device.
type outputError struct{ error }

func (e *outputError) Unwrap() error { return e.error }

// unfinished is how many bytes at the end of p begin a character that is not
// whole.
func unfinished(p []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(p); n++ {
		if b := p[len(p)-n]; utf8.RuneStart(b) {
			if !utf8.FullRune(p[len(p)-n:]) {
				return n
			}
			return 0
		}
	}
	return 0
}

// clean takes control characters, and those that turn the direction of
// writing, out of a text; lines and tabulators stay.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
		case r < ' ' || r >= 0x7f && r < 0xa0, r == 0x61c || r == 0x200e || r == 0x200f,
			r == 0x2028 || r == 0x2029, r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return utf8.RuneError
		}
		return r
	}, s)
}

// oneLine is clean for a name or a sentence that must not look like two lines.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return utf8.RuneError
		}
		return r
	}, clean(s))
}
