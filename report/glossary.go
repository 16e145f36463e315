package report

import (
	"fmt"
	"sort"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"anodebook/templates"

	"github.com/BurntSushi/toml"
)

// term is a word of the trade with its meaning in one sentence.
type term struct{ word, meaning string }

// glossary lists the words of the trade in the order of the alphabet.
var glossary = sync.OnceValues(func() ([]term, error) {
	src, err := templates.FS.ReadFile("glossary.toml")
	if err != nil {
		return nil, err
	}
	var file struct{ Term map[string]string }
	if err := toml.Unmarshal(src, &file); err != nil {
		return nil, fmt.Errorf("glossary.toml: %w", err)
	}
	var out []term
	for word, meaning := range file.Term {
		out = append(out, term{word, meaning})
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := strings.ToLower(out[i].word), strings.ToLower(out[j].word)
		if a != b {
			return a < b
		}
		return out[i].word < out[j].word
	})
	return out, nil
})

// Terms explains those words of the trade that stand in the text so far.
func (w *writer) Terms() (string, error) {
	list, err := glossary()
	if err != nil {
		return "", err
	}
	text := small(w.written())
	var b strings.Builder
	b.WriteString("| word | meaning |\n|:--|:--|\n")
	for _, t := range list {
		if says(text, small(t.word)) {
			fmt.Fprintf(&b, "| %s | %s |\n", t.word, t.meaning)
		}
	}
	return b.String(), nil
}

// small puts ASCII letters into small ones; strings.ToLower looks at every rune
// of a text that holds others too.
func small(s string) string {
	b := []byte(s)
	for i, c := range b {
		if 'A' <= c && c <= 'Z' {
			b[i] = c + 'a' - 'A'
		}
	}
	return string(b)
}

// says reports whether a word, or one that begins with it, stands in a text;
// both in small letters.
func says(text, word string) bool {
	for at := 0; ; {
		i := strings.Index(text[at:], word)
		if i < 0 {
			return false
		}
		before, _ := utf8.DecodeLastRuneInString(text[:at+i])
		if !unicode.IsLetter(before) && before != '_' && before != '.' && before != '/' && before != '#' {
			return true
		}
		at += i + len(word)
	}
}
