package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// fixedPosts are all posts but the line posts: "corner a@20 ft b@0 in".
func fixedPosts(s site.Site, l *layout.Layout) string {
	var parts []string
	for _, p := range l.Posts {
		if p.Role == layout.Line {
			continue
		}
		part := p.Role.String()
		for _, v := range p.Visits {
			part += fmt.Sprintf(" %s@%s", s.Runs[v.Run].ID, v.Station)
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ")
}

// ends are the stretches, each from [ or ( to ] or ): a bracket is terminal, a
// parenthesis is passed by rails. o and i are an outside and an inside corner,
// + marks the leg that covers, g a gate on the other side, w a wall.
func ends(l *layout.Layout) string {
	end := func(e layout.StretchEnd) string {
		marks := []string{"", "o", "i"}[e.Corner]
		if e.Covers {
			marks += "+"
		}
		if e.Gate {
			marks += "g"
		}
		if e.Wall > 0 {
			marks += "w"
		}
		return marks
	}
	var parts []string
	for _, s := range l.Stretches {
		open, shut := "(", ")"
		if s.StartEnd.Terminal {
			open = "["
		}
		if s.FinishEnd.Terminal {
			shut = "]"
		}
		parts = append(parts, open+end(s.StartEnd)+"-"+end(s.FinishEnd)+shut)
	}
	return strings.Join(parts, " ")
}

func TestFixedPosts(t *testing.T) {
	for _, c := range []struct {
		name, site, posts, ends string
	}{
		{"free ends", "a: 0,0 20,0", "end a@0 in; end a@20 ft", "[-]"},
		{"walls", "a: wall 0,0 20,0 wall+2in", "tie-in a@1-3/4 in; tie-in a@19 ft 8-1/4 in", "[w-w]"},
		// The corner angle is 10 degrees by default: tan 10 = 0.17633.
		{"corner of 10.01 degrees", "a: 0,0 20,0 40,3.53", "end a@0 in; corner a@20 ft; end a@12286.223864 mm", "[-i+] [i-]"},
		{"bend of 9.99 degrees", "a: 0,0 20,0 40,3.523", "end a@0 in; bend a@20 ft; end a@12285.853373 mm", "[-) (-]"},
		{"straight vertex", "a: 0,0 20,0 40,0", "end a@0 in; bend a@20 ft; end a@40 ft", "[-) (-]"},

		// Boards on the left: a left turn is toward them.
		{"left turn, boards left", "a: 0,0 20,0 20,20", "end a@0 in; corner a@20 ft; end a@40 ft", "[-i+] [i-]"},
		{"left turn, boards right", "a: 0,0 20,0 20,20 right", "end a@0 in; corner a@20 ft; end a@40 ft", "[-o+] [o-]"},
		{"right turn, boards left", "a: 0,0 20,0 20,-20", "end a@0 in; corner a@20 ft; end a@40 ft", "[-o+] [o-]"},
		{"right turn, boards right", "a: 0,0 20,0 20,-20 right", "end a@0 in; corner a@20 ft; end a@40 ft", "[-i+] [i-]"},

		// A closed loop has no ends; its last leg is the earlier at its first vertex.
		{"loop", "a: 0,0 20,0 20,20 0,20 closed right", "corner a@0 in; corner a@20 ft; corner a@40 ft; corner a@60 ft", "[o-o+] [o-o+] [o-o+] [o-o+]"},
		{"loop from a bend", "a: 10,0 20,0 20,20 0,20 0,0.5 closed", "bend a@0 in; corner a@10 ft; corner a@30 ft; corner a@50 ft; corner a@69 ft 6 in", "(-i+] [i-i+] [i-i+] [i-i+] [i-)"},
		{"loop from within a side", "a: 10,0 20,0 20,20 0,20 0,0 closed", "corner a@10 ft; corner a@30 ft; corner a@50 ft; corner a@70 ft", "[i-i+] [i-i+] [i-i+] [i-i+]"},
		{"loop with a gate up to its first vertex", `a: 0,0 20,0 20,20 0,20 closed gate=g@76'10.25"x3`, "gate latch a@0 in; corner a@20 ft; corner a@40 ft; corner a@60 ft; gate hinge a@76 ft 8-1/2 in", "[ig-i+] [i-i+] [i-i+] [i-g]"},

		// Two runs' ends that meet; the one listed first covers.
		{"two runs, corner", "a: 0,0 20,0\nb: 20,0 20,20", "end a@0 in; corner a@20 ft b@0 in; end b@20 ft", "[-i+] [i-]"},
		{"two runs, corner, listed otherwise", "b: 20,0 20,20\na: 0,0 20,0", "corner b@0 in a@20 ft; end b@20 ft; end a@0 in", "[i+-] [-i]"},
		{"two runs, both from the corner", "a: 0,0 20,0 right\nb: 0,0 0,20", "corner a@0 in b@0 in; end a@20 ft; end b@20 ft", "[o+-] [o-]"},
		{"two runs, bend", "a: 0,0 20,0\nb: 20,0 40,1", "end a@0 in; bend a@20 ft b@0 in; end b@6103.615243 mm", "[-) (-]"},
		{"two runs, head on", "a: 0,0 20,0\nb: 40,0 20,0 right", "end a@0 in; bend a@20 ft b@20 ft; end b@0 in", "[-) [-)"},
		{"an end and a wall", "a: 0,0 20,0 wall\nb: 238.25in,0 238.25in,20", "end a@0 in; corner a@19 ft 10-1/4 in b@0 in; end b@20 ft", "[-i+w] [i-]"},
		{"one run's own ends", "a: 0,0 20,0 20,20 0,20 0,0 right", "corner a@0 in a@80 ft; corner a@20 ft; corner a@40 ft; corner a@60 ft", "[o-o+] [o-o+] [o-o+] [o-o+]"},

		// Three arms: a junction, terminal for the branch only.
		{"branch at a straight vertex", "a: 0,0 20,0 40,0\nb: 20,0 20,20", "end a@0 in; junction a@20 ft b@0 in; end a@40 ft; end b@20 ft", "[-) (-] [-]"},
		{"branch at a corner", "a: 0,0 20,0 20,20\nb: 20,0 40,0", "end a@0 in; corner a@20 ft b@0 in; end a@40 ft; end b@20 ft", "[-i+] [i-] [-]"},
		{"three ends", "a: 0,0 20,0\nb: 0,0 0,20\nc: 0,0 -20,0", "junction a@0 in b@0 in c@0 in; end a@20 ft; end b@20 ft; end c@20 ft", "(-] [-] (-]"},
		{"three ends, none in line", "a: 0,0 20,0\nb: 0,0 0,20\nc: 0,0 -20,-20", "junction a@0 in b@0 in c@0 in; end", "[-] [-] [-]"},
		{"four ends, the straighter pair", "a: 0,0 20,0\nb: 20,0 40,1\nc: 20,0 40,-0.5\nd: 20,0 20,20", "end a@0 in; junction a@20 ft b@0 in c@0 in d@0 in; end", "[-) [-] (-] [-]"},
		{"four ends that cross", "a: 0,0 20,0\nb: 20,-20 20,0\nc: 20,0 20,20\nd: 20,0 40,0", "end a@0 in; junction a@20 ft b@20 ft c@0 in d@0 in; end", "[-) [-] [-] (-]"},
		{"a gate ends in line", "a: 0,0 20,0\nb: 20,0 40,0 gate=g@1.75inx3\nc: 20,0 20,20", "end a@0 in; gate hinge a@20 ft b@0 in c@0 in; gate latch b@3 ft 3-1/2 in; end b@20 ft; end c@20 ft", "[-] [g-] [-]"},
		{"two runs cross at a vertex", "a: 0,0 20,0 40,0\nb: 20,-20 20,0 20,20", "end a@0 in; junction a@20 ft b@20 ft; end a@40 ft; end b@0 in; end b@40 ft", "[-) (-] [-) (-]"},
		{"a run that comes back to its vertex", "a: 0,0 20,0 40,0 40,20 20,20 20,0", "end a@0 in; junction a@20 ft a@100 ft; corner a@40 ft; corner a@60 ft; corner a@80 ft; end", ""},

		// An end on another run's leg shares a post there, terminal for it alone.
		{"end on a leg", "a: 0,0 20,0\nb: 7,0 7,20", "end a@0 in; junction a@7 ft b@0 in; end a@20 ft; end b@20 ft", "[-) (-] [-]"},
		{"end 1/8 in off a leg, listed first", "b: 7,20 7,0.125in\na: 0,0 20,0", "end b@0 in; junction b@19 ft 11-7/8 in a@7 ft; end a@0 in; end a@20 ft", "[-] [-) (-]"},
		{"ends on both sides of a leg", "a: 0,0 20,0\nb: 7,0 7,20\nc: 7.005,0 7,-20", "end a@0 in; junction a@7 ft b@0 in c@0 in; end", "[-) (-] [-] [-]"},
		{"ends along a leg", "a: 0,0 20,0\nb: 15,0 15,20\nc: 7,0 7,-20", "end a@0 in; junction a@7 ft c@0 in; junction a@15 ft b@0 in; end", "[-) (-) (-] [-] [-]"},
		{"end on a loop's last leg", "a: 0,0 20,0 20,20 0,20 closed\nb: 0,10 -20,10", "corner a@0 in; corner a@20 ft; corner a@40 ft; corner a@60 ft; junction a@70 ft b@0 in; end b@20 ft", "[i-i+] [i-i+] [i-i+] [i-) (-i+] [-]"},
		{"end on its own run", "a: 0,0 20,0 20,10 7,10 7,0", "end a@0 in; junction a@7 ft a@53 ft; corner a@20 ft; corner a@30 ft; corner a@43 ft", "[-) (-i+] [i-i+] [i-i+] [i-]"},
		{"end in a wall's gap", "a: 0,0 20,0 wall+2ft\nb: 19,0 19,20", "end a@0 in; tie-in a@17 ft 10-1/4 in; end b@0 in; end b@20 ft", "[-w] [-]"},
		{"end in a wall's gap at the start", "a: wall+2ft 0,0 20,0\nb: 1,0 1,20", "tie-in a@2 ft 1-3/4 in; end a@20 ft; end b@0 in; end b@20 ft", "[w-] [-]"},
		{"end on a leg with a gate", "a: 0,0 40,0 gate=g@10x3\nb: 20,0 20,20", "end a@0 in; gate hinge a@9 ft 10-1/4 in; gate latch a@13 ft 1-3/4 in; junction a@20 ft b@0 in; end", "[-g] [g-) (-] [-]"},

		// Within 1/8 in is one post, where the first run has it; further is not.
		{"1/8 in apart", "a: 0,0 20,0\nb: 20,0.125in 20,20", "end a@0 in; corner a@20 ft b@0 in; end b@19 ft 11-7/8 in", "[-i+] [i-]"},
		{"a chain of eighths", "a: 0,0 20,0\nb: 20,0.25in 20,20\nc: 20,0.125in 40,0.125in", "end a@0 in; junction a@20 ft b@0 in c@0 in; end b@19 ft 11-3/4 in; end c@20 ft", "[-) [-] (-]"},

		// Gate posts: the heavier role wins, the larger section.
		{"gate", "a: 0,0 40,0 gate=g@10x3", "end a@0 in; gate hinge a@9 ft 10-1/4 in; gate latch a@13 ft 1-3/4 in; end a@40 ft", "[-g] [g-]"},
		{"gate hung at the finish", "a: 0,0 40,0 gate=g@10x3^", "end a@0 in; gate latch a@9 ft 10-1/4 in; gate hinge a@13 ft 1-3/4 in; end a@40 ft", "[-g] [g-]"},
		{"pair", "a: 0,0 40,0 gate=g@10x10x2", "end a@0 in; gate hinge a@9 ft 9-1/4 in; gate hinge a@20 ft 2-3/4 in; end a@40 ft", "[-g] [g-]"},
		{"gate at a corner", `a: 0,0 20,0 20,20 gate=g@20'1-3/4"x3`, "end a@0 in; gate hinge a@20 ft; gate latch a@23 ft 3-1/2 in; end a@40 ft", "[-ig] [g-]"},
		{"gate 1/8 in from a corner's post", `a: 0,0 20,0 20,20 gate=g@20'1-7/8"x3`, "end a@0 in; gate hinge a@20 ft; gate latch a@23 ft 3-5/8 in; end a@40 ft", "[-ig] [g-]"},
		{"gate ends at a corner", `a: 0,0 20,0 20,20 gate=g@16'10-1/4"x3`, "end a@0 in; gate hinge a@16 ft 8-1/2 in; gate latch a@20 ft; end a@40 ft", "[-g] [ig-]"},
		{"gate at an end", `a: 0,0 20,0 gate=g@1.75inx3`, "gate hinge a@0 in; gate latch a@3 ft 3-1/2 in; end a@20 ft", "[g-]"},
		{"gate at a wall", `a: wall+2in 0,0 20,0 gate=g@5.5inx3`, "gate hinge a@3-3/4 in; gate latch a@3 ft 7-1/4 in; end a@20 ft", "[g-]"},
		{"wide gate at a wall", `a: wall 0,0 20,0 gate=g@5.5inx4`, "gate hinge a@2-3/4 in; gate latch a@4 ft 8-1/4 in; end a@20 ft", "[g-]"},
		{"wide gate up to a wall", `a: 0,0 20,0 wall gate=g@186.5inx4`, "end a@0 in; gate hinge a@15 ft 3-3/4 in; gate latch a@19 ft 9-1/4 in", "[-g]"},
		{"two gates share a post", `a: 0,0 40,0 gate=h@159.5inx3^ gate=g@10x3`, "end a@0 in; gate hinge a@9 ft 10-1/4 in; gate latch a@13 ft 1-3/4 in; gate hinge a@16 ft 5-1/4 in; end a@40 ft", "[-g] [g-]"},
		{"a walk gate shares a drive gate's post", `a: 0,0 40,0 gate=h@245.5inx3 gate=g@10x10x2`, "end a@0 in; gate hinge a@9 ft 9-1/4 in; gate hinge a@20 ft 2-3/4 in; gate latch a@23 ft 7-1/4 in; end a@40 ft", "[-g] [g-]"},
		{"a branch at a gate post", `a: 0,0 40,0 gate=g@10x3` + "\nb: 118.25in,0 118.25in,20", "end a@0 in; gate hinge a@9 ft 10-1/4 in b@0 in; gate latch a@13 ft 1-3/4 in; end a@40 ft; end b@20 ft", "[-g] [g-] [-]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustSite(c.site)
			l := plan(t, c.site, sixFoot(spec.Layout{}))
			want, partial := strings.CutSuffix(c.posts, "; end")
			got := fixedPosts(s, l)
			if partial {
				got = got[:min(len(got), len(want))]
			}
			if got != want {
				t.Errorf("posts %s\nwant  %s", got, want)
			}
			if got := ends(l); c.ends != "" && got != c.ends {
				t.Errorf("ends %s, want %s", got, c.ends)
			}
		})
	}
}

// The shared post takes the larger section, the longer stock, the deeper and
// wider hole, whichever run comes first.
func TestSharedPostIsTheHeavier(t *testing.T) {
	gate := `g: 0,0 40,0 gate=g@2.75inx4`
	for _, text := range []string{gate + "\nb: 0,0 0,20", "b: 0,0 0,20\n" + gate} {
		p := plan(t, text, sixFoot(spec.Layout{})).Posts[0]
		if p.Size != "6x6" || p.Width != in*11/2 || p.Stock != 10*ft || p.Hole.Depth != 36*in || p.Hole.Diameter != 18*in || p.Role != layout.GateHinge || len(p.Visits) != 2 {
			t.Errorf("%+v", p)
		}
	}
}

// A leg that covers an outside corner carries its rails on over the other leg's
// by their thickness, 1-1/2 in; an inside corner and the other leg do not (trade
// 5). All laps are 1-3/4 in.
func TestCornerRails(t *testing.T) {
	for _, c := range []struct{ site, bays, rails string }{
		{"a: 0,0 8,0 8,8 right", "2 x 8 ft", "8 ft 5 in, 8 ft 3-1/2 in"},
		{"a: 0,0 8,0 8,8", "2 x 8 ft", "2 x 8 ft 3-1/2 in"},
		{"b: 8,0 8,8 right\na: 0,0 8,0 right", "2 x 8 ft", "8 ft 5 in, 8 ft 3-1/2 in"},
		{"a: 0,0 8,0 8,8 0,8 closed right", "4 x 8 ft", "4 x 8 ft 5 in"},
		{"a: 0,0 8,0 8,8 right gate=g@97.75inx3", "8 ft, 4 ft 8-1/2 in", "8 ft 3-1/2 in, 5 ft"},
	} {
		l := plan(t, c.site, sixFoot(spec.Layout{RailStock: 10 * ft}))
		if got := widths(l.Bays, exact); got != c.bays {
			t.Errorf("%s: bays %s, want %s", c.site, got, c.bays)
		}
		if got := widths(l.Bays, rail); got != c.rails {
			t.Errorf("%s: rails %s, want %s", c.site, got, c.rails)
		}
	}
}

// Rails at an outside corner are cut from the stock too, the covering one and,
// so that the run may be walked either way, the other: beside it bays end at
// 96 - 1-3/4 - 1-1/2 = 92-3/4 in, beside an inside corner at 94-1/4.
func TestCornerRailsAreCutFromTheStock(t *testing.T) {
	remainder := spec.Layout{Method: spec.Remainder}
	for _, c := range []struct{ site, bays, rails string }{
		{"a: 0,0 187in,0 187in,187in right", "7 ft 10-1/4 in, 2 x 7 ft 8-3/4 in, 7 ft 10-1/4 in", "2 x 8 ft, 7 ft 10-1/2 in, 8 ft"},
		{"a: 187in,187in 187in,0 0,0", "7 ft 10-1/4 in, 2 x 7 ft 8-3/4 in, 7 ft 10-1/4 in", ""},
		{"a: 0,0 188.5in,0 188.5in,188.5in", "4 x 7 ft 10-1/4 in", "4 x 8 ft"},
	} {
		l := plan(t, c.site, sixFoot(remainder))
		if got := widths(l.Bays, exact); got != c.bays {
			t.Errorf("%s: bays %s, want %s", c.site, got, c.bays)
		}
		if got := widths(l.Bays, rail); c.rails != "" && got != c.rails {
			t.Errorf("%s: rails %s, want %s", c.site, got, c.rails)
		}
	}
}

// Three runs that end at one post, two of them in line, are one run with a
// vertex there and its branch (trade 2): the same bays and rails.
func TestThroughEndsAreOneRun(t *testing.T) {
	for _, f := range []spec.Spec{sixFoot(spec.Layout{}), sixFoot(spec.Layout{Method: spec.Remainder})} {
		one := plan(t, "a: 0,0 47,0 94,0\nc: 47,0 47,30", f)
		ends := plan(t, "a: 0,0 47,0\nb: 47,0 94,0\nc: 47,0 47,30", f)
		if got, want := widths(ends.Bays, exact), widths(one.Bays, exact); got != want {
			t.Errorf("bays %s\nwant %s", got, want)
		}
		if got, want := widths(ends.Bays, rail), widths(one.Bays, rail); got != want {
			t.Errorf("rails %s\nwant  %s", got, want)
		}
		if len(ends.Posts) != len(one.Posts) {
			t.Errorf("%d posts, want %d", len(ends.Posts), len(one.Posts))
		}
	}
}
