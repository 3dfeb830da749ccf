package layout_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// backwards is a run walked from its end. A loop starts where it did.
func backwards(r site.Run) site.Run {
	length, n := r.Length(), len(r.Vertices)
	back := r
	back.Vertices = slices.Clone(r.Vertices)
	slices.Reverse(back.Vertices)
	if r.Closed {
		back.Vertices = append(back.Vertices[n-1:], back.Vertices[:n-1]...)
	}
	back.Start, back.End, back.Face = r.End, r.Start, 1-r.Face
	back.Gates, back.KeepOuts, back.Pins, back.Slopes, back.Ground = nil, nil, nil, nil, nil
	for _, g := range r.Gates {
		g.Station, g.Hinge = length-g.Station-g.Width, 1-g.Hinge
		back.Gates = append(back.Gates, g)
	}
	for _, k := range r.KeepOuts {
		k.From, k.To = length-k.To, length-k.From
		back.KeepOuts = append(back.KeepOuts, k)
	}
	for _, p := range r.Pins {
		p.Station = length - p.Station
		back.Pins = append(back.Pins, p)
	}
	for _, part := range r.Slopes {
		part.From, part.To = length-part.To, length-part.From
		back.Slopes = append(back.Slopes, part)
	}
	for _, g := range slices.Backward(r.Ground) {
		g.Station = length - g.Station
		back.Ground = append(back.Ground, g)
	}
	return back
}

func otherEnd(end spec.End) spec.End {
	switch end {
	case spec.Start:
		return spec.Finish
	case spec.Finish:
		return spec.Start
	default:
		return end
	}
}

// The same run walked the other way has the same bays in the other order, to a
// nanometre, with the short end at the other end. Where keep-outs or the ground
// may move posts there are as many bays, but of two rows that depart as much
// the lower stations win, whichever way they count.
func TestReverseLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { reverses(t, drawSite(t), drawSpec(t)) })
}

// reverses notes where the first run of a site is not the same fence when it is
// walked the other way.
func reverses(t *rapid.T, s site.Site, f spec.Spec) {
	s.Runs = s.Runs[:1]
	s.Obstacles = nil                                       // what they bar is rounded outward, along the leg: bays that just fit one way may not the other
	f.Alignment.PullSpacing, f.Alignment.Rules = 0, "trade" // pull posts are set one from another
	l, err := layout.Plan(s, f)
	if err != nil {
		t.Skip("refused")
	}
	if slices.ContainsFunc(l.Posts, func(p layout.Post) bool { return len(p.Visits) > 1 }) {
		t.Skip("where a run crosses or touches itself is rounded along the leg, and of two grounds there the first counts")
	}
	r := s.Runs[0]
	length := r.Length()
	back := f
	back.Layout.ShortEnd = otherEnd(f.Layout.ShortEnd)
	m, err := layout.Plan(site.Site{Runs: []site.Run{backwards(r)}}, back)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Stretches) != len(l.Stretches) || len(m.Bays) != len(l.Bays) || len(m.Posts) != len(l.Posts) || len(m.Openings) != len(l.Openings) {
		t.Fatalf("%d stretches, %d bays and %d posts, were %d, %d and %d",
			len(m.Stretches), len(m.Bays), len(m.Posts), len(l.Stretches), len(l.Bays), len(l.Posts))
	}
	for _, st := range l.Stretches {
		start := length - st.End
		if start < -in/64 { // through the start, which may be a hair off its side
			start += length
		}
		i := slices.IndexFunc(m.Stretches, func(o layout.Stretch) bool {
			off := (o.Start - start).Abs()
			return min(off, length-off) <= in/64
		})
		if i < 0 {
			t.Fatalf("no stretch from %s the other way", start)
		}
		if m.Stretches[i].Length() != st.Length() {
			continue // what just fits in one may not in the other
		}
		mirrors(t, s, f.WithDefaults(), l, st, m, m.Stretches[i])
	}
}

// mirrors notes where the stretch o of m is not the stretch st of l, walked the
// other way; rises to a micrometre, within which a break of grade beside a vertex
// counts as at it.
func mirrors(t *rapid.T, s site.Site, f spec.Spec, l *layout.Layout, st layout.Stretch, m *layout.Layout, o layout.Stretch) {
	a, b := st.StartEnd, o.FinishEnd
	if a.Terminal != b.Terminal || a.Gate != b.Gate || a.Corner != b.Corner || a.Wall != b.Wall ||
		st.Method != o.Method || st.Bays != o.Bays || st.Stepped != o.Stepped {
		t.Errorf("stretch %+v\nthe other way %+v", st, o)
		return
	}
	if moved(s, f, l, st) {
		return
	}
	for i, bay := range l.Bays[st.FirstBay : st.FirstBay+st.Bays] {
		other := m.Bays[o.FirstBay+o.Bays-1-i]
		if (other.Width-bay.Width).Abs() > measure.Length(st.Bays) || (other.Limit-bay.Limit).Abs() > 1000 || (other.Rise+bay.Rise).Abs() > 1000 {
			t.Errorf("bay %d of %d is %d of %d rising %d, the other way %d of %d rising %d", i, st.Bays, bay.Width, bay.Limit, bay.Rise, other.Width, other.Limit, other.Rise)
		}
	}
}

// Even bays without terminal limits between level posts depart from even places
// by as much whichever way they are walked.
func TestReverseDepartureLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := site.Run{ID: "a", Vertices: []measure.Point{{}, {East: between(t, 20*ft, 60*ft, "length")}}}
		for range rapid.IntRange(1, 4).Draw(t, "keep-outs") {
			from := within(t, 0, r.Length()-3*ft, "from")
			r.KeepOuts = append(r.KeepOuts, site.KeepOut{From: from, To: from + between(t, 1, 3*ft, "wide")})
		}
		l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, bare())
		m, back := layout.Plan(site.Site{Runs: []site.Run{backwards(r)}}, bare())
		if (err == nil) != (back == nil) {
			t.Fatalf("%v, the other way %v", err, back)
		}
		if err != nil {
			t.Skip("refused")
		}
		if len(l.Bays) != len(m.Bays) {
			t.Fatalf("%d bays, the other way %d", len(l.Bays), len(m.Bays))
		}
		if a, b := departure(l, r.Length()), departure(m, r.Length()); (a - b).Abs() > measure.Length(2*len(l.Bays)) {
			t.Errorf("posts depart by %s, the other way by %s", a, b)
		}
	})
}

// departure is the sum of how far posts stand off even places.
func departure(l *layout.Layout, length measure.Length) (sum measure.Length) {
	n := measure.Length(len(l.Bays))
	for i, p := range l.Posts {
		sum += (p.Visits[0].Station - (length*measure.Length(i)+n/2)/n).Abs()
	}
	return sum
}
