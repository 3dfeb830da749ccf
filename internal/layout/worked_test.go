package layout_test

import (
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

func TestWorked(t *testing.T) {
	off := false
	for _, c := range []struct {
		name, source, run string
		layout            spec.Layout
		want              string
		printed           bool
	}{
		{"54 ft 6 in, remainder", "common practice", "0,0 54'6\",0", spec.Layout{Method: spec.Remainder, TerminalLimit: &off}, "6 x 8 ft, 6 ft 6 in", false},
		{"54 ft 6 in, even", "common practice", "0,0 54'6\",0", spec.Layout{TerminalLimit: &off}, "3 x 7 ft 9-7/16 in, 7 ft 9-3/8 in, 3 x 7 ft 9-7/16 in", true},
		{"54 ft 6 in, feathered", "common practice", "0,0 54'6\",0", spec.Layout{Method: spec.Feathered, Feather: 3, TerminalLimit: &off}, "4 x 8 ft, 3 x 7 ft 6 in", false},
		{"664", "", "0,0 664in,0", spec.Layout{}, "7 ft 10-1/4 in, 5 x 2415.54 mm, 7 ft 10-1/4 in", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := layout.Plan(mustSite("a: "+c.run), spec.Spec{Height: 6 * measure.Foot, Layout: c.layout})
			if err != nil {
				t.Fatal(err)
			}
			get := exact
			if c.printed {
				get = printed
			}
			if got := widths(l.Bays, get); got != c.want {
				t.Errorf("%s\nwant %s", got, c.want)
			}
			t.Log(posts(l), l.Cautions)
		})
	}
}

func TestYard(t *testing.T) {
	l, err := layout.Plan(mustSite("yard: wall 0,0 0,40 60,40 60,0 wall right gate=walk@10x3.5 gate=drive@55x10x2"), spec.Spec{Height: 6 * measure.Foot})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(posts(l))
	t.Log(widths(l.Bays, exact))
	t.Log(widths(l.Bays, rail))
	for _, s := range l.Stretches {
		t.Logf("%+v", s)
	}
	t.Log(l.Openings, l.Cautions)
}
