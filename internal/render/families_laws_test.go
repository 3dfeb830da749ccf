package render

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

var pathData = regexp.MustCompile(`<path d="([^"]*)"`)
var pathPart = regexp.MustCompile(`([MLHVAlhvzZ])([^MLHVAlhvzZ]*)`)

// checkShapes: no shape leaves its sheet. Shapes are drawn from the corner of
// their sheet.
func checkShapes(t failer, shapes string, size vec) {
	t.Helper()
	for _, path := range pathData.FindAllStringSubmatch(shapes, -1) {
		var at vec
		for _, part := range pathPart.FindAllStringSubmatch(path[1], -1) {
			var n []float64
			for text := range strings.FieldsSeq(part[2]) {
				f, err := strconv.ParseFloat(text, 64)
				if err != nil {
					t.Fatal(err)
				}
				n = append(n, f)
			}
			switch part[1] {
			case "M", "L":
				at = vec{n[0], n[1]}
			case "A":
				at = vec{n[5], n[6]}
			case "l":
				at = at.add(vec{n[0], n[1]})
			case "H":
				at.x = n[0]
			case "V":
				at.y = n[0]
			case "h":
				at.x += n[0]
			case "v":
				at.y += n[0]
			}
			if at.x < 0 || at.y < 0 || at.x > size.x || at.y > size.y {
				t.Errorf("a shape leaves the sheet at %v: %.80s", at, path[1])
				return
			}
		}
	}
}

// papersOf are all texts of a job that can be had without prices.
func papersOf(t *testing.T, name string) map[string]string {
	t.Helper()
	st, s, l := fences[name].plan(t)
	k, err := takeoff.Count(l, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	all := make(map[string]string)
	o := CrewOptions{Title: name, Spec: s, Cuts: k.Cuts}
	for kind, write := range map[string]func(*bytes.Buffer) error{
		"elevation": func(b *bytes.Buffer) error { return ElevationSVG(b, st, l, 0, ElevationOptions{Title: name, Spec: s}) },
		"plan":      func(b *bytes.Buffer) error { return PlanSVG(b, st, l, PlanOptions{Title: name, Spec: s}) },
		"sheet":     func(b *bytes.Buffer) error { return CrewSheetSVG(b, st, l, o) },
		"crew":      func(b *bytes.Buffer) error { return CrewSheetText(b, st, l, o) },
		"csv":       func(b *bytes.Buffer) error { return CrewSheetCSV(b, st, l, o) },
		"layout":    func(b *bytes.Buffer) error { return LayoutText(b, st, l) },
		"takeoff":   func(b *bytes.Buffer) error { return TakeoffText(b, k) },
		"cuts":      func(b *bytes.Buffer) error { return CutListText(b, k) },
		"scope": func(b *bytes.Buffer) error {
			p := newPage(b)
			p.paragraph("", name+": "+scope(quote.Request{Site: st, Spec: s}, &quote.Quote{Layout: l, Takeoff: k}, ImperialMeasures))
			return p.Flush()
		},
		"leaves": func(b *bytes.Buffer) error {
			p := newPage(b)
			writeLeaves(p, k.Leaves)
			return p.Flush()
		},
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		all[kind] = b.String()
	}
	return all
}

// boardScrews hold what fills gate leaves of any family.
var boardScrews = regexp.MustCompile(`(?m)^.*screw-board.*$`)

// Shapes stay on paper, and papers of fences without boards do not speak of any.
func TestFencePapers(t *testing.T) {
	for name, f := range fences {
		papers := papersOf(t, name)
		for _, kind := range []string{"elevation", "sheet"} {
			checkShapes(t, papers[kind], pageSize(t, papers[kind]))
		}
		checkShapes(t, papers["plan"], pageSize(t, papers["plan"]))
		filled := f.spec.WithDefaults()
		for kind, text := range papers {
			if !filled.HasBoards() && strings.Contains(boardScrews.ReplaceAllString(text, ""), "board") {
				t.Errorf("%s: the %s speaks of boards", name, kind)
			}
			if kind == "sheet" && strings.Contains(text, "...<") {
				t.Errorf("%s: a figure of the crew sheet is cut", name)
			}
		}
	}
}

var viewBox = regexp.MustCompile(`viewBox="0 0 (\S+) (\S+)"`)

func pageSize(t *testing.T, svg string) vec {
	t.Helper()
	m := viewBox.FindStringSubmatch(svg)
	wide, _ := strconv.ParseFloat(m[1], 64)
	tall, _ := strconv.ParseFloat(m[2], 64)
	return vec{wide, tall}
}

// Scopes, leaves and crew sheets of every family, as they read.
func TestFenceTexts(t *testing.T) {
	var scopes, leaves strings.Builder
	for _, name := range []string{"boards-spaced", "board-on-board", "shadow-box", "two-bays", "horizontal", "chain-link", "barbed-top", "panels", "vinyl-panels",
		"wood-panels", "split-rail", "barbed-wire", "woven-wire", "tensile-wire"} {
		papers := papersOf(t, name)
		scopes.WriteString(papers["scope"])
		leaves.WriteString(name + papers["leaves"])
		switch name {
		case "panels", "split-rail", "barbed-wire", "horizontal":
			golden(t, "crew-"+name+".csv", []byte(papers["csv"]))
		case "chain-link":
			golden(t, "layout-"+name+".txt", []byte(papers["layout"]))
		case "two-bays":
			golden(t, "crew-"+name+".txt", []byte(papers["crew"]))
			golden(t, "cuts-"+name+".txt", []byte(papers["cuts"]))
		}
	}
	golden(t, "scopes.txt", []byte(scopes.String()))
	golden(t, "leaves.txt", []byte(leaves.String()))
}

// A leaf that slides lies beside the fence, between it and its roller post, as
// long as it is.
func TestSlidingLeaves(t *testing.T) {
	for _, text := range []string{"a: 0,0 80,30 gate=g@40x10~", "a: 0,0 -30,80 gate=g@20x10~^", "a: 0,0 80,0 gate=g@40x10~>", "a: 80,0 0,0 gate=g@20x12~^>"} {
		st := mustSite(text)
		s := fences["chain-link"].spec.WithDefaults()
		l, err := layout.Plan(st, s)
		if err != nil {
			t.Fatal(err)
		}
		f, o := findLeaves(st, l)[0], l.Openings[0]
		a, b := l.Posts[o.Start].At, l.Posts[o.End].At
		near := func(got, want measure.Length) bool { return (got - want).Abs() < measure.Millimetre }
		if got := f.pivot.DistanceTo(f.open); !near(got, o.LeafWidth) {
			t.Errorf("%s: the leaf is drawn %s long, want %s", text, got.Imperial(), o.LeafWidth.Imperial())
		}
		if got := f.pivot.DistanceTo(f.shut); !near(got, o.Clear) {
			t.Errorf("%s: it slides %s, want %s", text, got.Imperial(), o.Clear.Imperial())
		}
		off, roller := offLine(a, b, f.pivot.Sub(a)), offLine(a, b, o.Roller.At.Sub(a))
		if far := offLine(a, b, f.open.Sub(a)); !near(off, far) || off <= l.Posts[o.Start].Width/2 || off >= roller-o.Roller.Width/2 {
			t.Errorf("%s: the leaf lies %s to %s off the fence, its roller post %s", text, off.Imperial(), far.Imperial(), roller.Imperial())
		}
		if step, to := f.pivot.Sub(a), o.Roller.At.Sub(a); !sameSide(b.Sub(a), step, to) {
			t.Errorf("%s: the leaf lies on the other side of the fence than its roller post", text)
		}
	}
}

func sameSide(along, a, b measure.Point) bool {
	cross := func(p measure.Point) float64 {
		return float64(along.East)*float64(p.North) - float64(along.North)*float64(p.East)
	}
	return cross(a)*cross(b) > 0
}

// Without the take-off a crew sheet of rails over two bays refers to the cut list
// and gives no lengths that are not cut.
func TestCrewWithoutCuts(t *testing.T) {
	st, s, l := fences["two-bays"].plan(t)
	var b bytes.Buffer
	if err := CrewSheetText(&b, st, l, CrewOptions{Spec: s}); err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(strings.Fields(b.String()), " "); !strings.Contains(text, "The cut list tells which rails go over two bays.") || strings.Contains(text, "bay cut to") {
		t.Error(b.String())
	}
}
