package takeoff

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// straight is a fence of 24 ft with a walk gate of 4 ft in it, in rocky ground,
// where two old fences stand.
func straight() site.Site {
	return site.Site{
		Runs: []site.Run{{ID: "front", Vertices: []measure.Point{{}, {East: 30 * ft}},
			Gates: []site.Gate{{ID: "walk", Station: 12 * ft, Width: 4 * ft, Leaves: 1}}}},
		Conditions: site.Conditions{Digging: "rocky", Access: "narrow", Grade: "steep", Season: "winter", TearOut: []site.OldFence{
			{Length: 40 * ft, Footings: 6, PoundsPerFoot: decimal.MustParse("5"), CubicFeetPerFoot: decimal.MustParse("0.8"),
				FootingPounds: decimal.MustParse("90"), FootingCubicFeet: decimal.MustParse("1.5")},
			{Length: 10 * ft, CubicFeetPerFoot: decimal.One},
		}},
	}
}

// dressed is a spec with every option that runs along the fence.
func dressed(s *spec.Spec) {
	s.Extras = spec.Extras{CapBoard: "2x6", Trim: "1x4", KickBoard: "2x6", Lattice: measure.Foot,
		Stain: spec.Stain{Coats: 2, Coverage: decimal.MustParse("150"), Edges: true}}
	s.Labour = spec.Labour{By: spec.ByTasks, Equipment: []string{"auger"}}
}

// countedAt counts a job at one unit of money for everything, a rate of a tenth
// and a factor of 1.5.
func countedAt(t *testing.T, st site.Site, s spec.Spec) *Takeoff {
	t.Helper()
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatal(err)
	}
	j := Job{Layout: l, Spec: s, Conditions: st.Conditions}
	offers := make(map[string]Offer)
	for _, it := range gather(&j).items() {
		price := decimal.One
		switch {
		case strings.HasPrefix(it.name, "rate-"):
			price = decimal.MustParse("0.1")
		case it.unit == Ratio:
			price = decimal.MustParse("1.5")
		}
		offers[it.name] = Offer{Price: price, Unit: it.unit}
	}
	k, err := j.Count(offers)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// withExtras are take-offs that use the rules of options, removal and tasks.
func withExtras(t *testing.T) []*Takeoff {
	comb := site.Site{}
	for i := range measure.Length(40) {
		comb.Runs = append(comb.Runs, site.Run{ID: "r" + number(whole(int(i))),
			Vertices: []measure.Point{{North: i * 10 * ft}, {North: i * 10 * ft, East: 20*ft + i*measure.Inch}}})
	}
	l, err := layout.Plan(straight(), sixFoot(dressed))
	if err != nil {
		t.Fatal(err)
	}
	lying := gather(&Job{Layout: l, Spec: sixFoot(dressed)}) // as of a family without upright boards
	lying.out.Faces, lying.needs = nil, nil
	lying.stain()
	line, err := lying.needs[0].line(lying.s, nil)
	if err != nil {
		t.Fatal(err)
	}
	steel := sixFoot(dressed, func(s *spec.Spec) { s.Posts.Size, s.Posts.TerminalSize = "2.375od", "2.375od" })
	return []*Takeoff{countedAt(t, straight(), sixFoot(dressed)), countedAt(t, straight(), steel), countedAt(t, comb, sixFoot(dressed)), {Lines: []Line{line}}}
}

func lineOf(t *testing.T, k *Takeoff, item string) Line {
	t.Helper()
	i := slices.IndexFunc(k.Lines, func(l Line) bool { return l.Default == item })
	if i < 0 {
		t.Fatalf("there is no line of %s", item)
	}
	return k.Lines[i]
}

// The figures are worked by hand (common practice).
func TestExtras(t *testing.T) {
	k := countedAt(t, straight(), sixFoot(dressed))
	for item, want := range map[string]string{
		// 40 ft x 5 lb + 6 footings x 90 lb; 40 x 0.8 + 6 x 1.5 + 10 x 1 ft3
		"haul-weight": "740", "haul-volume": "51",
		"equipment-auger": k.Work.Days.Ceil(0).String(),
	} {
		if got := lineOf(t, k, item).Net.String(); got != want {
			t.Errorf("%s: %s, want %s", item, got, want)
		}
	}
	boards := 0
	for _, f := range k.Faces {
		boards += f.Boards
	}
	boards += k.Leaves[0].Boards
	// Two sides of 5-1/2 in and two edges of 3/4 in, 4 ft 10 in long under the
	// lattice, two coats of 150 ft2 a gallon.
	want := measure.BoxFt3(measure.Inch*25/2, 58*measure.Inch, 2*ft).Mul(whole(boards)).Quo(whole(150))
	gallons, err := decimalOf(want)
	if got := lineOf(t, k, "stain"); err != nil || got.Net.Cmp(gallons) != 0 {
		t.Errorf("stain: %s gal of %d boards, want %s", got.Net, boards, gallons)
	}
	if k.Delivery.Pounds.Sign() <= 0 || !slices.Contains(k.Delivery.Unweighed, "gate-hinge") {
		t.Errorf("the delivery weighs %s, without %v", k.Delivery.Pounds, k.Delivery.Unweighed)
	}
}

// A factor makes the tasks that feel it longer, and no others; the hours of the
// tasks are the crew's.
func TestTasks(t *testing.T) {
	k := countedAt(t, straight(), sixFoot(dressed))
	all := decimal.Zero
	hours := make(map[string]Task)
	for _, task := range k.Work.Tasks {
		hours[task.Name] = task
		all, _ = all.Add(task.Hours)
	}
	if got := lineOf(t, k, "labour-hour"); got.Order.Cmp(all) != 0 || k.Work.Hours.Cmp(all) != 0 {
		t.Errorf("the tasks take %s hours, the crew's line has %s and the work %s", all, got.Order, k.Work.Hours)
	}
	for name, want := range map[string]string{
		"mobilisation": "0.15",  // 1 x 0.1 x 1.5 in winter
		"tear-out":     "11.25", // 50 ft x 0.1 x 1.5 x 1.5
		"footings":     "2.03",  // 6 x 0.1 x 1.5^3 = 2.025
		"haul-away":    "7.65",  // 51 ft3 x 0.1 x 1.5
	} {
		if got := hours[name].Hours.String(); got != want {
			t.Errorf("%s: %s hours, want %s", name, got, want)
		}
	}
	if n := len(hours["holes"].Factors); n != 4 {
		t.Errorf("holes feel %d factors", n)
	}
	if _, driven := hours["driving"]; driven {
		t.Error("posts are driven that stand in holes")
	}
	if _, hung := hours["hanging"]; hung {
		t.Error("boards are hung by the foot as well")
	}
}

// Without a rate there are no hours, and the caution names what is missing.
func TestTasksWithoutRates(t *testing.T) {
	s := sixFoot(dressed)
	l, err := layout.Plan(straight(), s)
	if err != nil {
		t.Fatal(err)
	}
	k, err := Job{Layout: l, Spec: s, Conditions: straight().Conditions}.Count(nil)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(k.Cautions, func(c layout.Caution) bool { return c.Code == "labour-not-counted" })
	if i < 0 || k.Work != nil || !strings.Contains(k.Cautions[i].Text, "rate-holes") || !strings.Contains(k.Cautions[i].Text, "factor-digging-rocky") {
		t.Errorf("work %v, cautions %v", k.Work, k.Cautions)
	}
}

// Needs of one item from two rules are one line, packed once.
func TestMerged(t *testing.T) {
	two := need{item: gravelItem(), net: whole(2), use: "posts"}
	three := need{item: gravelItem(), net: whole(3)}
	all := merged([]need{two, {item: stainItem(), net: whole(1)}, three})
	if len(all) != 2 || all[0].net.Cmp(whole(5)) != 0 || all[1].net.Cmp(whole(1)) != 0 || two.net.Cmp(whole(2)) != 0 {
		t.Errorf("merged to %v", all)
	}
	if got := all[0].steps[0].Sentence(); got != "2 ft3 for posts + 3 ft3 more = 5 ft3." {
		t.Error(got)
	}
}
