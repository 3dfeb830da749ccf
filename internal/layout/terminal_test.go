package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// heavyPosts are the posts that are no line posts, in words.
func heavyPosts(l *layout.Layout) string {
	var all []string
	for _, p := range l.Posts {
		if p.Role != layout.Line {
			all = append(all, fmt.Sprintf("%s %s at %s", p.Role, p.Size, p.Visits[0].Station.Imperial()))
		}
	}
	return strings.Join(all, "; ")
}

// Terminal posts are of the terminal section (trade 3), known before they are
// placed: beside a wall one stands off by half of it.
func TestTerminalSections(t *testing.T) {
	for _, c := range []struct {
		name, site string
		rules      string
		want       string
	}{
		{"ends and a bend", "a: 0,0 50,0 100,2", "", "end 3sq at 0 in; bend 2sq at 50 ft; end 3sq at 100 ft 0-1/2 in"},
		{"a corner and a wall", "a: wall+2in 0,0 50,0 50,40", "", "tie-in 3sq at 3-1/2 in; corner 3sq at 50 ft; end 3sq at 90 ft"},
		{"an anchor is a pull post", "a: 0,0 50,0 100,5", "woven-wire", "end 3sq at 0 in; pull 3sq at 50 ft; end 3sq at 100 ft 3 in"},
		{"a long straight", "a: 0,0 700,0", "highway-chain-link", "end 3sq at 0 in; pull 3sq at 350 ft; end 3sq at 700 ft"},
		{"a long straight past a pin", "a: 0,0 700,0 pin=348", "highway-chain-link", "end 3sq at 0 in; pull 3sq at 348 ft; pull 3sq at 524 ft; end 3sq at 700 ft"},
		{"a pin", "a: 0,0 50,0 pin=20", "", "end 3sq at 0 in; pinned 2sq at 20 ft; end 3sq at 50 ft"},
		{"a vertex in an arc", "a: 0,0 50,0 80,40 90,90 chord=1 chord=2", "", "end 3sq at 0 in; bend 2sq at 50 ft; bend 2sq at 100 ft; end 3sq at 150 ft 11-7/8 in"},
		{"an end on a leg", "a: 0,0 50,0\nb: 21,0 21,40", "", "end 3sq at 0 in; junction 3sq at 21 ft; end 3sq at 50 ft; end 3sq at 40 ft"},
		{"a crossing", "a: 0,0 50,0\nb: 21,-10 21,40", "", "end 3sq at 0 in; junction 3sq at 21 ft; end 3sq at 50 ft; end 3sq at 0 in; end 3sq at 50 ft"},
		{"two ends that go on", "a: 0,0 50,0\nb: 50,0 100,2", "", "end 3sq at 0 in; bend 2sq at 50 ft; end 3sq at 50 ft 0-1/2 in"},
		{"two ends that turn", "a: 0,0 50,0\nb: 50,0 50,50", "", "end 3sq at 0 in; corner 3sq at 50 ft; end 3sq at 50 ft"},
		{"two bends that meet", "a: 0,0 50,0 100,2\nb: 47,-50 50,0 50,50", "", "end 3sq at 0 in; junction 3sq at 50 ft; end 3sq at 100 ft 0-1/2 in; end 3sq at 0 in; end 3sq at 100 ft 1-1/16 in"},
		// Beside a wall a gate's post stands off by as much.
		{"a gate beside a wall", "a: wall+2in 0,0 50,0 gate=g@5inx4", "", "gate hinge 3sq at 3-1/2 in; gate latch 3sq at 4 ft 6-1/2 in; end 3sq at 50 ft"},
		{"a gate at a corner", "a: 0,0 50,0 50,40 gate=g@50.125x4", "", "end 3sq at 0 in; gate hinge 3sq at 50 ft; gate latch 3sq at 54 ft 3 in; end 3sq at 90 ft"},
		{"a loop", "a: 0,0 50,0 50,40 0,40 closed", "", "corner 3sq at 0 in; corner 3sq at 50 ft; corner 3sq at 90 ft; corner 3sq at 140 ft"},
	} {
		f := mesh(free(10*ft), spec.Posts{Size: "2sq", TerminalSize: "3sq"})
		f.Alignment.Rules = c.rules
		if got := heavyPosts(plan(t, c.site, f)); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// Posts that only their terminal section brings into one another are refused.
func TestTerminalsOverlap(t *testing.T) {
	f := mesh(free(10*ft), spec.Posts{Size: "2sq", TerminalSize: "6sq"})
	for _, c := range []struct{ site, rules, want string }{
		{"a: 0,0 50,0 50,5in 90,5in", "", "site.runs[0].vertices[2]: the post at vertex 1 and the post at vertex 2 would overlap: their centres are 5 in apart along the run and need 6 in"},
		{"a: 0,0 50,0 pin=3in", "", "site.runs[0].pins[0].station: the post at 3 in would stand in the end post at 0 in: their centres are 3 in apart and need 4 in"},
		// The first pin becomes a pull post, and so a terminal one.
		{"a: 0,0 700,0 pin=350 pin=350'3\"", "highway-chain-link", "site.runs[0]: the pinned post at 350 ft and the pinned post at 350 ft 3 in would overlap: their centres are 3 in apart along the run and need 4 in"},
	} {
		f.Alignment.Rules = c.rules
		l, err := layout.Plan(mustSite(c.site), f)
		if err == nil {
			t.Errorf("%s: planned %s", c.site, heavyPosts(l))
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %v\nwant %s", c.site, err, c.want)
		}
	}
}

// Line T posts are driven between wood posts in holes: a driven post makes a hole
// of its own width, and a keep-out bars no more (common practice).
func TestDrivenBetweenSetPosts(t *testing.T) {
	f := mesh(free(14*ft), spec.Posts{Size: "tee", TerminalSize: "6rd"})
	f.Holes = spec.Holes{MinDepth: 24 * in, ByHeight: new(false)}
	l := plan(t, "a: 0,0 28,0 28,28 gate=g@40x4 keep=gas@14'1\"..27", f)
	var all []string
	for _, p := range l.Posts {
		h := p.Hole
		all = append(all, fmt.Sprintf("%s %s in %s x %s by %s, gravel %s", p.Role, p.Size, h.Diameter.Imperial(), h.Depth.Imperial(), h.Governs, h.Gravel.Imperial()))
	}
	const want = "end 6rd in 1 ft 6 in x 2 ft by minimum, gravel 6 in; line tee in 1-3/8 in x 2 ft by driven, gravel 0 in; corner 6rd in 1 ft 6 in x 2 ft by minimum, gravel 6 in; " +
		"gate hinge 6rd in 1 ft 6 in x 2 ft 6 in by minimum+gate, gravel 6 in; gate latch 6rd in 1 ft 6 in x 2 ft 6 in by minimum+gate, gravel 6 in; end 6rd in 1 ft 6 in x 2 ft by minimum, gravel 6 in"
	if got := strings.Join(all, "; "); got != want {
		t.Errorf("posts %s\nwant  %s", got, want)
	}
	if l.Posts[1].Visits[0].Station != measure.Must("14 ft") {
		t.Errorf("the keep-out moved the driven post to %s", l.Posts[1].Visits[0].Station)
	}
}
