package paper

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
	"testing"

	"github.com/ledongthuc/pdf"
)

// readPage is a page as a reader of PDF has it.
type readPage struct {
	width, height float64
	texts         []pdf.Text // of a character each, y upwards
}

// readPages takes a PDF apart with somebody else's library.
func readPages(t testing.TB, data []byte) []readPage {
	t.Helper()
	r, err := pdf.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var pages []readPage
	for i := 1; i <= r.NumPage(); i++ {
		p := r.Page(i)
		box := p.V.Key("MediaBox")
		if box.IsNull() {
			box = p.V.Key("Parent").Key("MediaBox")
		}
		pages = append(pages, readPage{box.Index(2).Float64(), box.Index(3).Float64(), p.Content().Text})
	}
	return pages
}

// lines are the texts of a page from top to bottom, those of one height on one
// line with gaps between cells.
func (p readPage) lines() []string {
	texts := slices.Clone(p.texts)
	slices.SortStableFunc(texts, func(a, b pdf.Text) int {
		return cmp.Or(cmp.Compare(b.Y, a.Y), cmp.Compare(a.X, b.X))
	})
	var lines []string
	var b strings.Builder
	for i, x := range texts {
		if i > 0 {
			last := texts[i-1]
			switch gap := x.X - last.X - last.W; {
			case last.Y != x.Y:
				lines = append(lines, strings.TrimSpace(b.String()))
				b.Reset()
			case gap > 2.5:
				b.WriteString("  ")
			}
		}
		b.WriteString(x.S)
	}
	return append(lines, strings.TrimSpace(b.String()))
}

func (p readPage) text() string { return strings.Join(p.lines(), "\n") }
