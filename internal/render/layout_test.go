package render

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

func TestDressedLayout(t *testing.T) {
	c := dressedPlans["hill-yard"]
	st, l := dressed(t, c.text, c.posts)
	l.Barred = append(l.Barred, layout.Barred{Run: 0, ID: "water", From: 9 * measure.Foot, To: 15 * measure.Foot})
	for name, write := range map[string]func(io.Writer, site.Site, *layout.Layout) error{"layout-hill.txt": LayoutText, "layout-hill.csv": LayoutCSV} {
		var b bytes.Buffer
		if err := write(&b, st, l); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.Bytes())
		if strings.HasSuffix(name, ".csv") {
			if _, err := csv.NewReader(&b).ReadAll(); err != nil {
				t.Error(err)
			}
		}
	}
}

// A column is there where a site needs it, and only there.
func TestLayoutColumns(t *testing.T) {
	for _, c := range []struct {
		name  string
		posts []layout.Post
		want  string
	}{
		{"level", []layout.Post{{}, {}}, ""},
		{"level, high up", []layout.Post{{Ground: measure.Foot}, {Ground: measure.Foot}}, ""},
		{"a slope", []layout.Post{{}, {Ground: measure.Foot}}, "ground ft,top ft"},
		{"kept", []layout.Post{{}, {Existing: true}}, "keeps"},
		{"pulled", []layout.Post{{Because: layout.ByPull}}, "because"},
		{"all", []layout.Post{{Because: layout.ByPull, Existing: true}, {Ground: -1}}, "ground ft,top ft,keeps,because"},
	} {
		var b bytes.Buffer
		if err := LayoutCSV(&b, site.Site{}, &layout.Layout{Posts: c.posts}); err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(b.String(), "\n")
		_, more, _ := strings.Cut(head, "depth governed by")
		if strings.TrimPrefix(more, ",") != c.want {
			t.Errorf("%s: further columns %q, want %q", c.name, more, c.want)
		}
	}
}
