package render

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// fence is a job of some family.
type fence struct {
	site string
	spec spec.Spec
}

const (
	// kinds of gates, on ground that falls and rises, its first leg stepped.
	swinging = "yard: wall 0,0 0,45 70,45 70,10 gate=walk@60x4 gate=drive@90x10x2"
	slidingY = "yard: 0,0 0,45 70,45 70,10 gate=walk@60x4 gate=drive@88x10~"
	hilly    = " ground=0:12,45:9.5,58:8,66:8,88:4.25,102:4,115:3,130:5.5,150:7"
	gentle   = " ground=0:4,60:6,102:6,150:9"
	stepping = " stepped=0-45"
)

// fences are jobs of every family, with gates of every kind.
var fences = map[string]fence{
	"boards-spaced": {slidingY, spec.Spec{Height: 4 * measure.Foot, Boards: spec.Boards{Size: "1x4", Pattern: spec.Spaced, Gap: 5 * measure.Inch / 2},
		Gates: spec.Gates{Frame: spec.SteelFrame}}},
	"board-on-board": {swinging + hilly + stepping, spec.Spec{Height: 6 * measure.Foot, Boards: spec.Boards{Pattern: spec.BoardOnBoard, Overlap: measure.Inch}}},
	"shadow-box":     {swinging, spec.Spec{Height: 6 * measure.Foot, Boards: spec.Boards{Pattern: spec.ShadowBox, Gap: 3 * measure.Inch}}},
	"two-bays": {swinging, spec.Spec{Height: 6 * measure.Foot, Layout: spec.Layout{MaxBay: 6 * measure.Foot},
		Rails: spec.Rails{MaxSpan: 2, Stock: []measure.Length{12 * measure.Foot}}}},
	"horizontal": {slidingY, spec.Spec{Family: spec.HorizontalBoards, Height: 6 * measure.Foot, Details: spec.Details{"span": "2", "rip_top": "true"}}},
	"chain-link": {slidingY + hilly, spec.Spec{Family: spec.ChainLink, Height: 6 * measure.Foot}},
	"barbed-top": {swinging, spec.Spec{Family: spec.ChainLink, Height: 8 * measure.Foot,
		Details: spec.Details{"barb_arms": "single", "top": "wire", "bottom": "rail", "mid_rail": "true"}}},
	"panels":       {slidingY + hilly + stepping, spec.Spec{Family: spec.Panels, Height: 5 * measure.Foot}},
	"vinyl-panels": {swinging, spec.Spec{Family: spec.Panels, Height: 6 * measure.Foot, Details: spec.Details{"material": "vinyl"}}},
	"wood-panels":  {swinging, spec.Spec{Family: spec.Panels, Height: 6 * measure.Foot, Details: spec.Details{"material": "wood"}}},
	"split-rail":   {slidingY + gentle, spec.Spec{Family: spec.SplitRail, Height: 4 * measure.Foot}},
	"barbed-wire":  {swinging + hilly, spec.Spec{Family: spec.Wire, Height: 4 * measure.Foot}},
	"woven-wire":   {swinging, spec.Spec{Family: spec.Wire, Height: 5 * measure.Foot, Details: spec.Details{"kind": "woven"}}},
	"tensile-wire": {"field: 0,0 0,200 900,200 gate=lane@420x14", spec.Spec{Family: spec.Wire, Height: 4 * measure.Foot, Details: spec.Details{"kind": "high-tensile", "stays": "true"}}},
}

func (f fence) plan(t testing.TB) (site.Site, spec.Spec, *layout.Layout) {
	t.Helper()
	st, s := mustSite(f.site), f.spec.WithDefaults()
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatalf("%+v", err)
	}
	return st, s, l
}

// Drawings of every family keep the laws of drawings.
func TestFenceDrawings(t *testing.T) {
	for name, f := range fences {
		t.Run(name, func(t *testing.T) {
			st, s, l := f.plan(t)
			for _, paper := range []string{"letter", "a4"} {
				for run := range st.Runs {
					checkElevation(t, st, l, run, ElevationOptions{Title: name, Paper: paper, Spec: s})
				}
				checkCrewSheet(t, st, l, CrewOptions{Title: name, Paper: paper, Spec: s})
				checkPlan(t, st, l, PlanOptions{Title: name, Paper: paper, Spec: s})
			}
		})
	}
}

// Every roller post is drawn and named once, on whichever strip it stands.
func TestRollersDrawn(t *testing.T) {
	for name, f := range fences {
		st, s, l := f.plan(t)
		e, err := drawElevation(st, l, 0, ElevationOptions{Spec: s})
		if err != nil {
			t.Fatal(err)
		}
		want, found := 0, 0
		for _, o := range l.Openings {
			if o.Roller != nil {
				want++
			}
		}
		for _, label := range e.labels {
			if strings.HasPrefix(label.text, "roller post") {
				found++
			}
		}
		if found != want {
			t.Errorf("%s: %d roller posts are named, want %d", name, found, want)
		}
	}
}
