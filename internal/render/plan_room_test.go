package render

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/layout"
)

// A yard of 110 by 70 ft is drawn at the largest round scale that fits, on
// letter paper across, and no post of a gate or an arc goes without its name.
func TestYardFillsTheSheet(t *testing.T) {
	st, l := dressed(t, "north: 0,0 60,0"+arc(60, 50, 50, -90, -36.87, 6)+" 100,70 gate=walk@30x3.5 gate=drive@125x10x2>"+
		" ground=0:100,40:104,60:104,150:95 keep=gas@12-15 near=40-60@1.17 stepped=0-22\n"+
		"branch: 50,0 50,40 wall\nobstacle oak 2: 84,8", "P4=kept")
	p, err := drawPlan(st, l, PlanOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if p.feetPerInch != 15 || p.sheet.size.x < p.sheet.size.y || p.size != p.sheet.size {
		t.Errorf("%s on a paper of %v, in all %v", p.scaleText(), p.sheet.size, p.size)
	}
	for _, post := range l.Posts {
		told := []layout.Role{layout.GateHinge, layout.GateLatch, layout.Bend, layout.End, layout.Corner}
		if slices.Contains(told, post.Role) && !names(p, post.ID) {
			t.Errorf("no name at %s, %s", post.ID, post.Role)
		}
	}
}

func names(p *plan, id string) bool {
	return slices.ContainsFunc(p.labels, func(l label) bool { return strings.HasPrefix(l.text, id+" ") })
}

// What has no room beside the fence is listed on the drawing where the sheet is
// blank, and on a sheet below only where it is not.
func TestListHasRoom(t *testing.T) {
	st, l := mustPlan(t, "a: 0,0 40,0")
	for _, c := range []struct{ lines, sheets int }{{0, 1}, {1, 1}, {20, 1}, {60, 1}, {300, 3}} {
		l.Barred = nil
		for range c.lines {
			l.Barred = append(l.Barred, layout.Barred{Run: 3}) // of no run, so it is listed
		}
		checkPlan(t, st, l, PlanOptions{})
		p, err := drawPlan(st, l, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if got := int(p.size.y / p.sheet.size.y); got != c.sheets {
			t.Errorf("%d lines are listed on %d sheets, want %d", c.lines, got, c.sheets)
		}
		for _, l := range p.labels {
			if strings.HasPrefix(l.text, "Keep-out") && c.sheets == 1 && !p.mask.within(l.box) {
				t.Errorf("%q leaves the drawing at %v", l.text, l.box.centre)
			}
		}
	}
}

// A stretch whose length has no room is not listed where the width of its only
// bay has.
func TestOneBayTellsItsStretch(t *testing.T) {
	st, l := mustPlan(t, "a: 0,0 40,0 gate=g@5x4")
	for _, c := range []struct {
		name         string
		free         float64 // on either side of the fence
		byBay, lines int
	}{{"room for the width of the bay", 16, 1, 0}, {"no room", 0, 0, 1}} {
		p, err := drawPlan(st, l, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		first := p.pieces[0]
		a, b := p.bayEnds(first.bays[0])
		p.mask, p.listed, p.byBay = newMask(p.low, p.high, p.size), nil, nil
		p.mask.fill(lineBox(a, a.sub(vec{500, 0}), 40), ink|text) // the fence goes on
		p.mask.fill(lineBox(b, b.add(vec{500, 0}), 40), ink|text)
		for _, side := range []float64{1, -1} {
			off := vec{0, side * (c.free + 500)}
			p.mask.fill(lineBox(a.add(off).sub(vec{500, 0}), b.add(off).add(vec{500, 0}), 1000), ink|text)
		}
		p.tellShort([]piece{first})
		if len(first.bays) != 1 || len(p.byBay) != c.byBay || len(p.listed) != c.lines {
			t.Errorf("%s: of %d bays, told by %d, listed %q", c.name, len(first.bays), len(p.byBay), p.listed)
		}
	}
}
