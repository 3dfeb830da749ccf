package quote

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/govalues/decimal"
	"github.com/gowebpki/jcs"
	"pgregory.net/rapid"

	"wattle/internal/arc"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// hilly is yard with every field that came with rules version 2.
func hilly() site.Site {
	s := yard()
	r := &s.Runs[0]
	r.Chords = []int{1}
	r.Ground = []site.GroundPoint{{Station: 0, Elevation: ft(1)}, {Station: ft(100), Elevation: ft(3)}}
	r.KeepOuts = []site.KeepOut{{ID: "gas", From: ft(80), To: ft(82)}}
	r.Pins = []site.Pin{{Station: ft(90), Existing: true}}
	r.Slopes = []site.SlopePart{{From: ft(100), To: ft(110), Stepped: true}}
	r.Neighbours = []site.Neighbour{{From: ft(1), To: ft(9), Side: site.Right, Gap: ft(3)}}
	r.Start, r.End = site.Terminus{LinePostOf: "other"}, site.Terminus{LinePostOf: "other"}
	s.Obstacles = []site.Obstacle{{ID: "oak", Path: []measure.Point{at(20, -40)}, Clearance: ft(2)}}
	return s
}

func TestVersionOneKnowsNothingOfTheGround(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	r.RulesVersion, r.Site = 1, hilly()
	r.Spec.Access = new(ft(3))
	r.Spec.Curves = arc.ChainLink
	r.Spec.Alignment.PullSpacing = ft(100)
	r.Spec.Slope.Mode = spec.Stepped
	_, err := Plan(r)
	for _, field := range []string{
		"site.obstacles", "site.runs[0].chords", "site.runs[0].ground", "site.runs[0].keep_outs", "site.runs[0].pins",
		"site.runs[0].slopes", "site.runs[0].neighbours", "site.runs[0].start.line_post_of", "site.runs[0].end.line_post_of",
		"spec.curves", "spec.access", "spec.alignment", "spec.slope",
	} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": needs rules version 2; this quote is of version 1") {
			t.Errorf("%s is not refused in: %v", field, err)
		}
	}
}

// What a version 1 document leaves unsaid is what its rules did.
func TestVersionOneReadsAsLevel(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	r.RulesVersion = 1
	doc := Document(r, build(t, r))
	for _, key := range []string{"access", "alignment", "curves", "slope", "obstacles", "ground", "barred", "most_gap", "top", "stepped"} {
		if bytes.Contains(doc, []byte(`"`+key+`":`)) {
			t.Errorf("a document of version 1 has %q", key)
		}
	}
	back, _, err := ParseDocument(doc)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(r.Spec, back.Spec, decimals); d != "" {
		t.Error(d)
	}
	if diff, err := Replay(doc); err != nil || len(diff) > 0 {
		t.Errorf("replay: %v %v", diff, err)
	}
}

// A quote of version 2 over sloping ground, with something in the way, replays.
func TestVersionTwoReplays(t *testing.T) {
	s := straight(ft(100))
	s.Runs[0].Ground = []site.GroundPoint{{Station: 0, Elevation: ft(1)}, {Station: ft(100), Elevation: ft(5)}}
	s.Runs[0].KeepOuts = []site.KeepOut{{ID: "gas", From: ft(50), To: ft(51)}}
	s.Obstacles = []site.Obstacle{{ID: "oak", Path: []measure.Point{at(20, 0)}, Clearance: ft(1)}}
	f := privacy()
	f.Slope.Mode = spec.Stepped
	r := ask(t, s, f, Pricing{ProfitPercent: dec("25")})
	doc := Document(r, build(t, r))
	for _, key := range []string{"ground", "keep_outs", "obstacles", "barred", "stepped", "top", "most_gap"} {
		if !bytes.Contains(doc, []byte(`"`+key+`":`)) {
			t.Errorf("the document has no %q", key)
		}
	}
	if diff, err := Replay(doc); err != nil || len(diff) > 0 {
		t.Errorf("replay: %v %v", diff, err)
	}
	if RulesVersion != layout.Rules {
		t.Errorf("quotes are made by rules version %d, layouts by %d", RulesVersion, layout.Rules)
	}
}

func TestEveryIDIsNormalised(t *testing.T) {
	const loose, nfc = "e\u0301", "\u00e9"
	s := hilly()
	s.Runs[0].KeepOuts[0].ID, s.Obstacles[0].ID = loose, loose
	s.Runs[0].Start.LinePostOf, s.Runs[0].End.LinePostOf = loose, loose
	got := Request{Site: s}.Normalised().Site
	for name, id := range map[string]string{
		"keep-out": got.Runs[0].KeepOuts[0].ID, "obstacle": got.Obstacles[0].ID,
		"start": got.Runs[0].Start.LinePostOf, "end": got.Runs[0].End.LinePostOf,
	} {
		if id != nfc {
			t.Errorf("%s: %q is not in NFC", name, id)
		}
	}
	if s.Obstacles[0].ID != loose || s.Runs[0].KeepOuts[0].ID != loose {
		t.Error("the caller's site was changed")
	}
}

var decimals = cmp.Comparer(func(a, b decimal.Decimal) bool { return a.Cmp(b) == 0 })

// Whatever a request and a layout hold is read back to the letter, and written
// again to the byte.
func TestDocumentLaw(t *testing.T) {
	base := ask(t, straight(ft(24)), privacy(), Pricing{})
	priced := build(t, base)
	rapid.Check(t, func(t *rapid.T) {
		r, q := base, *priced
		r.Site, q.Layout = drawSite(t), drawLayout(t)
		counted := *priced.Takeoff
		counted.Faces = some(t, drawFace)
		q.Takeoff = &counted
		drawGround(t, &r.Spec)
		doc := Document(r, &q)
		if want, err := jcs.Transform(doc); err != nil || !bytes.Equal(doc, want) {
			t.Fatalf("not canonical (%v): %s", err, doc)
		}
		back, again, err := ParseDocument(doc)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(r.Site, back.Site) + cmp.Diff(r.Spec, back.Spec, decimals) + cmp.Diff(q.Layout, again.Layout) +
			cmp.Diff(q.Takeoff.Faces, again.Takeoff.Faces, cmpopts.IgnoreUnexported(takeoff.Boarding{})); d != "" {
			t.Fatal(d)
		}
		if !bytes.Equal(Document(back, again), doc) {
			t.Fatalf("written again it is another document than %s", doc)
		}
	})
}

func drawLength(t *rapid.T) measure.Length {
	return measure.Length(rapid.Int64Range(-1_000, 1_000).Draw(t, "length"))
}

func drawAngle(t *rapid.T) measure.Angle { return measure.Angle(drawLength(t)) }
func drawText(t *rapid.T) string         { return rapid.StringN(0, 8, 32).Draw(t, "text") }
func drawBool(t *rapid.T) bool           { return rapid.Bool().Draw(t, "bool") }
func drawIndex(t *rapid.T) int           { return rapid.IntRange(0, 99).Draw(t, "index") }
func drawSide(t *rapid.T) site.Side {
	return rapid.SampledFrom([]site.Side{site.Left, site.Right}).Draw(t, "side")
}
func drawPoint(t *rapid.T) measure.Point {
	return measure.Point{East: drawLength(t), North: drawLength(t)}
}
func drawEnd(t *rapid.T) site.Terminus {
	return site.Terminus{TieIn: drawBool(t), WallGap: drawLength(t), LinePostOf: drawText(t)}
}

// some draws up to two of a thing; nil for none.
func some[T any](t *rapid.T, draw func(*rapid.T) T) []T {
	var all []T
	for range rapid.IntRange(0, 2).Draw(t, "some") {
		all = append(all, draw(t))
	}
	return all
}

func drawSite(t *rapid.T) site.Site {
	return site.Site{
		Obstacles: some(t, func(t *rapid.T) site.Obstacle {
			return site.Obstacle{ID: drawText(t), Path: some(t, drawPoint), Clearance: drawLength(t)}
		}),
		Runs: some(t, func(t *rapid.T) site.Run {
			return site.Run{
				ID: drawText(t), Vertices: some(t, drawPoint), Chords: some(t, drawIndex), Closed: drawBool(t),
				Start: drawEnd(t), End: drawEnd(t), Face: drawSide(t),
				Gates: some(t, func(t *rapid.T) site.Gate {
					return site.Gate{ID: drawText(t), Station: drawLength(t), Width: drawLength(t), Leaves: drawIndex(t), Swing: drawSide(t)}
				}),
				Ground: some(t, func(t *rapid.T) site.GroundPoint {
					return site.GroundPoint{Station: drawLength(t), Elevation: drawLength(t)}
				}),
				KeepOuts: some(t, func(t *rapid.T) site.KeepOut {
					return site.KeepOut{ID: drawText(t), From: drawLength(t), To: drawLength(t)}
				}),
				Pins: some(t, func(t *rapid.T) site.Pin {
					return site.Pin{Station: drawLength(t), Existing: drawBool(t)}
				}),
				Slopes: some(t, func(t *rapid.T) site.SlopePart {
					return site.SlopePart{From: drawLength(t), To: drawLength(t), Stepped: drawBool(t)}
				}),
				Neighbours: some(t, func(t *rapid.T) site.Neighbour {
					return site.Neighbour{From: drawLength(t), To: drawLength(t), Side: drawSide(t), Gap: drawLength(t)}
				}),
			}
		}),
	}
}

func drawGround(t *rapid.T, s *spec.Spec) {
	s.Access = new(drawLength(t))
	s.Curves = some(t, func(t *rapid.T) arc.Limit { return arc.Limit{Radius: drawLength(t), Spacing: drawLength(t)} })
	s.Alignment = spec.Alignment{
		Rules: drawText(t), Above: new(drawBool(t)), AnchorAngle: drawAngle(t), ConcreteAngle: drawAngle(t),
		PullSpacing: drawLength(t), GradeBreak: drawAngle(t),
	}
	s.Slope = spec.Slope{
		Mode:     rapid.SampledFrom([]spec.SlopeMode{spec.Racked, spec.Stepped}).Draw(t, "mode"),
		RailEnds: rapid.SampledFrom([]spec.RailEnds{spec.SquareEnds, spec.PlumbEnds}).Draw(t, "ends"),
		MaxRack:  drawLength(t), AlongGrade: new(drawBool(t)), MaxGroundGap: new(drawLength(t)),
		Fill:     rapid.SampledFrom([]spec.Fill{spec.LongerBoards, spec.KickBoard, spec.Refuse}).Draw(t, "fill"),
		KickSize: "2x8",
	}
}

func drawFace(t *rapid.T) takeoff.Face {
	return takeoff.Face{
		Stretch: drawIndex(t), Stepped: drawBool(t), Bay: drawIndex(t), StartReach: drawLength(t), FromFinish: drawBool(t),
		Boarding: takeoff.Boarding{Boards: drawIndex(t), Gap: drawLength(t)},
		Longer: some(t, func(t *rapid.T) takeoff.Longer {
			return takeoff.Longer{Bay: drawIndex(t), Boards: drawIndex(t), Stock: drawLength(t)}
		}),
	}
}

func drawLayout(t *rapid.T) *layout.Layout {
	return &layout.Layout{
		Barred: some(t, func(t *rapid.T) layout.Barred {
			return layout.Barred{Run: drawIndex(t), ID: drawText(t), From: drawLength(t), To: drawLength(t)}
		}),
		Posts: some(t, func(t *rapid.T) layout.Post {
			return layout.Post{
				ID: drawText(t), At: drawPoint(t), Role: rapid.SampledFrom(layout.Roles()).Draw(t, "role"),
				AboveGrade: drawLength(t), Ground: drawLength(t), Existing: drawBool(t),
				Because: layout.Because(drawText(t)), Hole: layout.Hole{Depth: drawLength(t)},
				Visits: some(t, func(t *rapid.T) layout.Visit { return layout.Visit{Run: drawIndex(t), Station: drawLength(t)} }),
			}
		}),
		Stretches: some(t, func(t *rapid.T) layout.Stretch {
			return layout.Stretch{
				Run: drawIndex(t), Start: drawLength(t), End: drawLength(t), Bays: drawIndex(t), Stepped: drawBool(t),
				StartEnd: layout.StretchEnd{Post: drawIndex(t), Corner: layout.InsideCorner, Wall: drawLength(t)},
			}
		}),
		Bays: some(t, func(t *rapid.T) layout.Bay {
			return layout.Bay{
				Stretch: drawIndex(t), Width: drawLength(t), Rise: drawLength(t), Top: drawLength(t),
				MostGap: drawLength(t), LeastGap: drawLength(t), Fill: drawLength(t),
			}
		}),
	}
}
