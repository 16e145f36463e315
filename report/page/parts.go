package page

import (
	"bytes"
	"sync"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
)

// A long document is parsed and rendered in parts, one beside the other. The
// outcome is that of one piece: a heading of level 2 ends whatever is open, and
// the report has no reference that is defined elsewhere.
const (
	partSize = 32 << 10 // of Markdown [bytes], at least
	partMark = "\n## "
)

// parse is the tree of the document; its segments count from the front of the
// whole.
func parse(markdown []byte) ast.Node {
	cuts := []int{0}
	for {
		from := cuts[len(cuts)-1] + partSize
		if from >= len(markdown) {
			break
		}
		i := bytes.Index(markdown[from:], []byte(partMark))
		if i < 0 {
			break
		}
		cuts = append(cuts, from+i+1)
	}
	trees := make([]ast.Node, len(cuts))
	var all sync.WaitGroup
	for i, start := range cuts {
		end := len(markdown)
		if i+1 < len(cuts) {
			end = cuts[i+1]
		}
		all.Go(func() {
			r := text.NewReader(markdown[:end])
			if line := bytes.IndexByte(markdown[start:end], '\n'); start > 0 && line >= 0 {
				r.SetPosition(0, text.NewSegment(start, start+line+1))
			}
			trees[i] = converter.Parser().Parse(r)
		})
	}
	all.Wait()
	doc := trees[0]
	for _, t := range trees[1:] {
		for n := t.FirstChild(); n != nil; n = t.FirstChild() {
			doc.AppendChild(doc, n)
		}
	}
	return doc
}

// renderParts writes the nodes of the document's first level, in pieces.
func renderParts(doc ast.Node, source []byte) ([][]byte, error) {
	const (
		share = 64       // nodes
		usual = 64 << 10 // of HTML [bytes]
	)
	var nodes []ast.Node
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		nodes = append(nodes, n)
	}
	out := make([]bytes.Buffer, (len(nodes)+share-1)/share)
	errs := make([]error, len(out))
	var all sync.WaitGroup
	for i := range out {
		all.Go(func() {
			out[i].Grow(usual)
			for _, n := range nodes[i*share : min((i+1)*share, len(nodes))] {
				if errs[i] = converter.Renderer().Render(&out[i], source, n); errs[i] != nil {
					return
				}
			}
		})
	}
	all.Wait()
	pieces := make([][]byte, len(out))
	for i := range out {
		if errs[i] != nil {
			return nil, errs[i]
		}
		pieces[i] = out[i].Bytes()
	}
	return pieces, nil
}
