package takeoff_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

const ft = measure.Foot

// run is a fence line through the points, each "east,north" in feet.
func run(points string, gates ...site.Gate) site.Run {
	r := site.Run{ID: "yard", Gates: gates}
	for p := range strings.FieldsSeq(points) {
		east, north, _ := strings.Cut(p, ",")
		r.Vertices = append(r.Vertices, measure.Point{East: measure.Must(east + " ft"), North: measure.Must(north + " ft")})
	}
	return r
}

// yard is three sides of a yard, tied in to a house at both ends, with a walk
// gate and a double drive gate.
//
//	     60 ft
//	+--[ drive ]--+
//	|             |
//	[walk]        | 40 ft
//	|             |
//	=== house =====
func yard() site.Site {
	r := run("0,0 0,40 60,40 60,0",
		site.Gate{ID: "walk", Station: 10 * ft, Width: 3 * ft, Leaves: 1},
		site.Gate{ID: "drive", Station: 70 * ft, Width: 10 * ft, Leaves: 2})
	r.Start, r.End = site.Terminus{TieIn: true}, site.Terminus{TieIn: true}
	return site.Site{Runs: []site.Run{r}}
}

func sixFoot(change ...func(*spec.Spec)) spec.Spec {
	s := spec.Spec{Height: 6 * ft}
	for _, c := range change {
		c(&s)
	}
	return s.WithDefaults()
}

func plan(t testing.TB, st site.Site, s spec.Spec) *layout.Layout {
	t.Helper()
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func count(t testing.TB, st site.Site, s spec.Spec, offers map[string]takeoff.Offer) *takeoff.Takeoff {
	t.Helper()
	k, err := takeoff.Count(plan(t, st, s), s, offers)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// prices reads offers from lines of "item price unit [pack]".
func prices(text string) map[string]takeoff.Offer {
	offers := make(map[string]takeoff.Offer)
	for line := range strings.Lines(text) {
		f := strings.Fields(line)
		if len(f) < 3 {
			continue
		}
		o := takeoff.Offer{Price: decimal.MustParse(f[1]), Unit: takeoff.Unit(f[2]), Pack: decimal.One}
		if len(f) > 3 {
			o.Pack = decimal.MustParse(f[3])
		}
		offers[f[0]] = o
	}
	return offers
}

// table is the take-off a line each: item, net, waste, pack, order, unit.
func table(k *takeoff.Takeoff) string {
	var b strings.Builder
	for _, l := range k.Lines {
		fmt.Fprintf(&b, "%s %s +%s%% /%s = %s %s\n", l.Item, l.Net, l.WastePercent, l.Pack, l.Order, l.Unit)
	}
	return b.String()
}

// A fence of 22 ft, 6 ft high, between free ends: three bays of 7 ft 4 in.
// Every figure by hand, beside it (common practice where no source is named).
func TestThreeBays(t *testing.T) {
	st := site.Site{Runs: []site.Run{run("0,0 22,0")}}
	offers := prices(`
		rail-2x4-8ft   5.00 each
		rail-2x4-12ft  9.00 each
		rail-2x4-16ft  9.00 each
		board-1x6-6ft  3.10 each 10
		nail-8d-ring   4.20 lb 5
		crew-hour     65.00 hour
		rate-fence     0.15 hour/ft`)
	got := table(count(t, st, sixFoot(), offers))
	want := `
post-4x4-8ft 4 +0% /1 = 4 each`[1:] + // 72 in above grade + 24 in below
		// End bays' rails run 1-3/4 in past: 6 of 89-3/4 in and 3 of 88 in. Two
		// fit a 16 ft stick (180 in at most), so 4 x 9.00 + 1 x 5.00.
		`
rail-2x4-16ft 4 +0% /1 = 4 each
rail-2x4-8ft 1 +0% /1 = 1 each` +
		// 264 + 3-1/2 in / 5-1/2 in = 48.6: 49 (LUM-4); x 1.05 = 51.45: 52, by 10.
		`
board-1x6-6ft 49 +5% /10 = 60 each` +
		// pi/4 x 12^2 x 24 - 3.5^2 x 24 = 1.4007 ft3 (AS-11a), x 4 / 0.6 (CON-1).
		`
concrete-80lb 9.338 +0% /1 = 10 bag` +
		// pi/4 x 12^2 x 6 = 0.3927 ft3, x 4 = 1.5708, x 1.10 = 1.73.
		`
gravel 1.5708 +10% /1 = 2 ft3` +
		// 9 rails x 2 ends x 2 = 36 / 49 (FAS-1) = 0.735, x 1.05 = 0.777.
		`
nail-16d 0.74 +5% /1 = 1 lb` +
		// 49 x 3 x 2 = 294 (FAS-3) / 106 (FAS-1) = 2.774, x 1.05 = 2.92: 3, by 5.
		`
nail-8d-ring 2.78 +5% /5 = 5 lb
cap-4x4 4 +0% /1 = 4 each` +
		`
crew-hour 3.3 +0% /0.01 = 3.3 hour
` // 22 ft x 0.15 h/ft
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}

// FAS-3 (common practice): 2 nails per board per rail, so 6 in each board on 3
// rails. FAS-2 (US Navy 14119): a board of 3/4 in takes 8d.
func TestNails(t *testing.T) {
	k := count(t, site.Site{Runs: []site.Run{run("0,0 22,0")}}, sixFoot(), nil)
	var nails takeoff.Step
	for _, l := range k.Lines {
		if l.Default == "nail-8d-ring" {
			nails = l.Derivation.Steps[0]
		}
	}
	if want := fmt.Sprintf("%d nails", k.Faces[0].Boards*6); nails.Result != want || nails.Source != "FAS-3" {
		t.Errorf("%s [%s], want %s", nails.Result, nails.Source, want)
	}
}

// A walk gate of 3 ft: the leaf is 35 in wide and 58 in high (70 in of board
// less two reveals of 6 in); its brace is the diagonal, 67.74 in. A pair over
// 10 ft: leaves of 59 in.
func TestLeaves(t *testing.T) {
	k := count(t, yard(), sixFoot(), nil)
	for i, want := range []string{
		"1 of 35 in: stiles 58 in, 3 rails 28 in, brace 67.75 in, 3 hinges, 7 boards",
		"2 of 59 in: stiles 58 in, 3 rails 52 in, brace 82.75 in, 3 hinges, 11 boards",
	} {
		f := k.Leaves[i]
		got := fmt.Sprintf("%d of %s: stiles %s, %d rails %s, brace %s, %d hinges, %d boards", f.Leaves, f.Width.Inches(3),
			f.Stile.Inches(3), f.Rails, f.Rail.Inches(3), f.Brace.Inches(3), f.Hinges, f.Boards)
		if got != want {
			t.Errorf("%s\nwant %s", got, want)
		}
	}
	want := map[string]string{"gate-hinge": "9", "gate-latch": "2", "gate-drop-rod": "1"}
	for _, l := range k.Lines {
		if n, is := want[l.Item]; is && l.Order.String() != n {
			t.Errorf("%s: %s, want %s", l.Item, l.Order, n)
		}
		delete(want, l.Item)
	}
	if len(want) > 0 {
		t.Errorf("no line for %v", want)
	}
}

// Fence and gates share a line: its derivation tells of both.
func TestOneLineForOneItem(t *testing.T) {
	k := count(t, yard(), sixFoot(), nil)
	seen := make(map[string]bool)
	for _, l := range k.Lines {
		if seen[l.Item] {
			t.Errorf("%s stands on two lines", l.Item)
		}
		seen[l.Item] = true
		words := strings.Join(l.Derivation.Sentences(), "\n")
		if l.Category == takeoff.Boards && !(strings.Contains(words, "P1 to P3") && strings.Contains(words, "at gate walk")) {
			t.Errorf("the boards' derivation leaves something out:\n%s", words)
		}
	}
}

func TestNetAndGateLength(t *testing.T) {
	k := count(t, yard(), sixFoot(), nil)
	// 140 ft between the walls, less 1-3/4 in to each tie-in post's centre.
	if got, want := k.NetLength+k.GateLength, 140*ft-measure.Must("3.5 in"); got != want {
		t.Errorf("net and gates are %s, want %s", got, want)
	}
	// 36 + 3.5 in between 4x4 centres, 120 + 5.5 in between 6x6 centres.
	if want := measure.Must("165 in"); k.GateLength != want {
		t.Errorf("gate spans are %s, want %s", k.GateLength, want)
	}
}

func TestCandidates(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) { s.Items = map[string]string{"rail-2x4-12ft": "R12", "cap-4x4": "CAP"} })
	got := takeoff.Candidates(plan(t, yard(), s), s)
	want := strings.Fields(`CAP R12 board-1x6-6ft cap-6x6 concrete-80lb crew-hour gate-drop-rod gate-hinge gate-latch
		gravel nail-16d nail-8d-ring post-4x4-10ft post-4x4-8ft post-6x6-10ft rail-2x4-16ft rail-2x4-8ft rate-fence rate-gate`)
	if !slices.Equal(got, want) {
		t.Errorf("%v\nwant %v", got, want)
	}
	none := func(s *spec.Spec) {
		var zero measure.Length
		off := false
		s.Labour.Exclude, s.Concrete.Set, s.Holes.Gravel, s.Posts.Caps = true, spec.NoSet, &zero, &off
	}
	s = sixFoot(none)
	got = takeoff.Candidates(plan(t, site.Site{Runs: []site.Run{run("0,0 22,0")}}, s), s)
	want = strings.Fields("board-1x6-6ft nail-16d nail-8d-ring post-4x4-10ft rail-2x4-12ft rail-2x4-16ft rail-2x4-8ft")
	if !slices.Equal(got, want) {
		t.Errorf("%v\nwant %v", got, want)
	}
}

// The take-off buys only candidates, so that a quote that has all their prices
// has all its prices.
func TestLinesAreCandidates(t *testing.T) {
	s := sixFoot()
	candidates := takeoff.Candidates(plan(t, yard(), s), s)
	for _, l := range count(t, yard(), s, prices("rate-fence 0.1 hour/ft\nrate-gate 2 hour/leaf")).Lines {
		if !slices.Contains(candidates, l.Item) {
			t.Errorf("%s is bought and was no candidate", l.Item)
		}
	}
}

// 125 ft 11-1/2 in of fence at 0.12 h and 3 leaves at 2.5 h: 15.115 + 7.5.
func TestLabour(t *testing.T) {
	k := count(t, yard(), sixFoot(), prices("rate-fence 0.12 hour/ft\nrate-gate 2.5 hour/leaf"))
	l := k.Lines[len(k.Lines)-1]
	want := "125 ft 11-1/2 in x 0.12 hour/ft + 3 leaves x 2.5 hour/leaf = 22.615 hours, rounded half up to 0.01 hour: 22.62 hours."
	if got := l.Derivation.Sentences()[0]; l.Item != "crew-hour" || got != want {
		t.Errorf("%s: %s\nwant %s", l.Item, got, want)
	}
	for _, c := range []struct{ have, missing string }{
		{"", "rate-fence and rate-gate"},
		{"rate-fence 0.12 hour/ft", "rate-gate"},
	} {
		k = count(t, yard(), sixFoot(), prices(c.have))
		if text := caution(k, "labour-not-counted"); !strings.Contains(text, "rate of "+c.missing+" from") {
			t.Errorf("with %q: %q", c.have, text)
		}
	}
	k = count(t, yard(), sixFoot(func(s *spec.Spec) { s.Labour.Exclude = true }), nil)
	if text := caution(k, "labour-not-counted"); text != "" {
		t.Errorf("labour is excluded, and yet: %s", text)
	}
}

func caution(k *takeoff.Takeoff, code string) string {
	for _, c := range k.Cautions {
		if c.Code == code {
			return c.Text
		}
	}
	return ""
}

func TestCautions(t *testing.T) {
	for _, c := range []struct {
		code   string
		change func(*spec.Spec)
		want   string
	}{
		{"ripped-boards", func(*spec.Spec) {},
			"1 board to rip, the narrowest to 3-1/2 in."},
		{"ripped-boards", func(s *spec.Spec) { s.Boards.Width = measure.Must("5.35 in") }, ""}, // 50 x 5.35 in is the face
		{"narrow-rip", func(s *spec.Spec) { rip := measure.Must("5 in"); s.Boards.MinRip = &rip },
			"A board is ripped to 4-1/2 in, which is under the least rip of 5 in."},
		{"board-nail-long", func(*spec.Spec) {},
			"Board nails of 8d are 2-1/2 in long and come out 1/4 in behind a board of 3/4 in on a rail of 1-1/2 in."},
		{"board-nail-long", func(s *spec.Spec) { s.Fasteners.BoardNail = "6d" }, ""},
		{"board-nail-short", func(s *spec.Spec) { s.Fasteners.BoardNail = "6d" },
			"A nail of 6d (2 in) is shorter than three times the board's thickness of 3/4 in."},
		{"wide-reveal", func(s *spec.Spec) { wide := measure.Must("8 in"); s.Rails.TopReveal = &wide },
			"Boards run 8 in past the top rail; past 6 in they tend to warp."},
		{"wide-reveal", func(*spec.Spec) {}, ""},
		{"post-over-concrete", func(s *spec.Spec) { s.Holes.Float = measure.Must("2 in") },
			"Posts float 2 in above the gravel, so concrete runs under them; a wood post lasts longer standing on gravel."},
	} {
		k := count(t, site.Site{Runs: []site.Run{run("0,0 22,0")}}, sixFoot(c.change), nil)
		if got := caution(k, c.code); got != c.want {
			t.Errorf("%s: %q\nwant %q", c.code, got, c.want)
		}
	}
}

func TestRenamingWhatIsNeverBought(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) { s.Items = map[string]string{"gravle": "G1", "post-6x6-14ft": "P14"} })
	_, err := takeoff.Count(plan(t, site.Site{Runs: []site.Run{run("0,0 24,0")}}, s), s, nil)
	if err == nil || !strings.Contains(err.Error(), "spec.items[gravle]: expected the name of something") || strings.Contains(err.Error(), "post-6x6-14ft") {
		t.Errorf("a name no take-off gives must be told, and no other: %v", err)
	}
}

// Every name that the take-off gives can be renamed.
func TestRenamingEverything(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) {
		s.Rails.Stock = []measure.Length{measure.Must("92-5/8 in"), measure.Must("2438 mm"), measure.Must("16 ft")}
	})
	l := plan(t, yard(), s)
	s.Items = map[string]string{}
	for _, name := range takeoff.Candidates(l, s) {
		s.Items[name] = "own-" + name
	}
	k, err := takeoff.Count(l, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range k.Lines {
		if line.Item != "own-"+line.Default {
			t.Errorf("%s is bought as %s", line.Default, line.Item)
		}
	}
}

func TestBadOffers(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) { s.Items = map[string]string{"nail-16d": "gravel"} })
	_, err := takeoff.Count(plan(t, yard(), s), s, prices("post-4x4-8ft 9 bag\nconcrete-80lb -1 bag -2\ngravel 3 ft3"))
	want := `the request has 4 thing(s) to put right
  prices[post-4x4-8ft].unit: is priced per bag, which is no fixed number of each; expected per each or pair, dozen, hundred, gross, thousand
  prices[concrete-80lb].pack: expected a pack above zero, found -2
  prices[concrete-80lb].price: expected zero or more, found -1
  spec.items[nail-16d]: expected a name of its own, found "gravel", which is also the name of gravel`
	if fmt.Sprint(err) != want || fault.KindOf(err) != fault.Invalid {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestStickTooShort(t *testing.T) {
	st := site.Site{Runs: []site.Run{run("0,0 40,0", site.Gate{ID: "wide", Station: 10 * ft, Width: 16 * ft, Leaves: 1})}}
	s := sixFoot()
	_, err := takeoff.Count(plan(t, st, s), s, nil)
	if err == nil || !strings.Contains(err.Error(), "site.runs[0].gates[0]: gate wide: expected leaves whose brace is cut from a stick of at most 16 ft, found one of 16 ft 7-") {
		t.Errorf("a brace longer than every stick: %v", err)
	}
}
