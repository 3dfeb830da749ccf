package render

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// dressed is the layout of the site as if it were level and free of anything in
// the ground, with what the site says about that added by hand: posts stay
// where they are, so that a drawing can be judged apart from the layout.
// post=what,... marks posts by ID: "P4=kept".
func dressed(t testing.TB, text, posts string) (site.Site, *layout.Layout) {
	t.Helper()
	st := mustSite(text)
	bare := mustSite(text)
	bare.Obstacles = nil
	for i := range bare.Runs {
		r := bare.Runs[i]
		bare.Runs[i] = site.Run{ID: r.ID, Vertices: r.Vertices, Closed: r.Closed, Start: r.Start, End: r.End, Face: r.Face, Gates: r.Gates}
	}
	l := planned(t, bare)
	marks := map[string]string{}
	for mark := range strings.FieldsSeq(posts) {
		id, what, _ := strings.Cut(mark, "=")
		marks[id] = what
	}
	for i := range l.Posts {
		p := &l.Posts[i]
		p.Ground = groundAt(st.Runs[p.Visits[0].Run], p.Visits[0].Station)
		switch marks[p.ID] {
		case "kept":
			p.Existing, p.Role, p.Stock, p.Hole = true, layout.Pinned, 0, layout.Hole{}
		case "pinned":
			p.Role = layout.Pinned
		case "pull":
			p.Role, p.Because = layout.Pull, layout.ByPull
		case "anchor":
			p.Role, p.Because = layout.Pull, layout.ByAnchor
		case "concrete":
			p.Because = layout.ByConcrete
		}
	}
	for i, r := range st.Runs {
		for _, k := range r.KeepOuts {
			l.Barred = append(l.Barred, layout.Barred{Run: i, ID: k.ID, From: k.From, To: k.To})
		}
		for j := range l.Stretches {
			s := &l.Stretches[j]
			for _, part := range r.Slopes {
				s.Stepped = s.Stepped || s.Run == i && s.Start >= part.From && s.End <= part.To
			}
		}
	}
	for i := range l.Bays {
		b := &l.Bays[i]
		s := l.Stretches[b.Stretch]
		b.Rise = l.Posts[b.End].Ground - l.Posts[b.Start].Ground
		b.LeastGap, b.MostGap = 2*measure.Inch, 2*measure.Inch
		b.Top = l.Posts[b.Start].Ground + 6*measure.Foot
		if s.Stepped {
			b.MostGap += b.Rise.Abs()
			b.Top = max(b.Top, b.Top+b.Rise)
		}
		if b.MostGap > 4*measure.Inch {
			b.Fill = b.MostGap - 2*measure.Inch
		}
	}
	return st, l
}

// groundAt is linear between the ground's points, level beyond.
func groundAt(r site.Run, station measure.Length) measure.Length {
	for i, g := range r.Ground {
		if station <= g.Station {
			if i == 0 {
				return g.Elevation
			}
			a := r.Ground[i-1]
			k := float64(station-a.Station) / float64(g.Station-a.Station)
			return a.Elevation + measure.Length(math.Round(k*float64(g.Elevation-a.Elevation)))
		}
	}
	if n := len(r.Ground); n > 0 {
		return r.Ground[n-1].Elevation
	}
	return 0
}

// arc are the vertices of n chords around a centre, from one angle to another
// in degrees, but for the first; those between the ends are inside the arc.
func arc(east, north, radius, from, to float64, n int) string {
	var b strings.Builder
	for i := 1; i <= n; i++ {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		mark := "~"
		if i == n {
			mark = ""
		}
		fmt.Fprintf(&b, " %s%.4f,%.4f", mark, east+radius*cos, north+radius*sin)
	}
	return b.String()
}

// dressedPlans are drawn with everything a site may have.
var dressedPlans = map[string]struct{ text, posts string }{
	"slope-ten": {"a: 0,0 10,0 ground=0:0,10:1.2 keep=gas@3.5-6.5 near=0-10@2 stepped=0-10", "P2=kept"},
	"hill-yard": {"yard: wall 0,0 0,45 60,45 " + arc(60, 20, 25, 90, 0, 12) + " 85,0 wall" +
		" gate=drive@70x10x2 keep=gas@21-24 keep=culvert@57-62 near=48-66@3 stepped=0-45" +
		" ground=0:100,45:104.5,70:104.5,105:104.5,164:101\nside: 0,20 -28,20 ground=0:102,28:99.2\n" +
		"obstacle water 2.5: -40,8 30,14 100,8\nobstacle oak 6: 40,28",
		"P4=kept P6=pinned P10=concrete P15=pull P30=anchor P26=kept"},
	"ranch": {"north: 0,0 0,420 780,430 " + arc(780, 310, 120, 90, 0, 40) + " 900,0" +
		" gate=lane@500x16x2 keep=gas@300-306 keep=creek@900-906 near=0-420@4 near=430-800@12" +
		" ground=0:5000,420:5021,800:5015,1200:5070,1690:5033 stepped=0-420\n" +
		"south: 0,0 900,0 ground=0:5000,300:5014,600:4996,900:5033\nobstacle pipeline 2.5: -100,200 450,250 1500,120", "P30=pull P90=pull P140=kept"},
}

func TestDressedPlan(t *testing.T) {
	for name, c := range dressedPlans {
		t.Run(name, func(t *testing.T) {
			st, l := dressed(t, c.text, c.posts)
			for _, paper := range []string{"letter", "a4"} {
				o := PlanOptions{Title: "The " + name + " job", Paper: paper}
				checkPlan(t, st, l, o)
				var first, again bytes.Buffer
				if err := PlanSVG(&first, st, l, o); err != nil {
					t.Fatal(err)
				}
				if err := PlanSVG(&again, st, l, o); err != nil || !bytes.Equal(first.Bytes(), again.Bytes()) {
					t.Errorf("drawn twice it differs, %v", err)
				}
				golden(t, "plan-"+name+"-"+paper+".svg", first.Bytes())
			}
		})
	}
}
