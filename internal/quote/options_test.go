package quote

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

func optionOf(name, cost, total, hours string) Option {
	return Option{Name: name, Figures: Figures{CrewHours: dec(hours), Totals: Totals{Cost: dec(cost), Net: dec(total), Total: dec(total)}}}
}

func failed(name, reason string, violations ...fault.Violation) Option {
	e := fault.New(fault.Invalid, reason, "no good")
	e.Violations = violations
	return Option{Name: name, Err: e}
}

func TestSideBySide(t *testing.T) {
	cedar, pine, spruce := optionOf("cedar", "900.00", "1250.40", "18.5"), optionOf("pine", "700.00", "1001.10", "20"), optionOf("spruce", "650.00", "1001.10", "16.25")
	out, err := SideBySide(PricedAt{}, []Option{cedar, failed("oak", "INVALID_REQUEST"), pine, spruce})
	if err != nil {
		t.Fatal(err)
	}
	// Pine and spruce have one total; spruce costs less.
	if out.Cheapest != 3 || *out.All[3].ToCheapest != (Difference{dec("0.00"), dec("0.00"), dec("0.00"), dec("0.00")}) {
		t.Errorf("cheapest %d, by %+v", out.Cheapest, out.All[3].ToCheapest)
	}
	if d := *out.All[2].ToFirst; d != (Difference{dec("-200.00"), dec("-249.30"), dec("-249.30"), dec("1.5")}) {
		t.Errorf("pine less cedar: %+v", d)
	}
	if d := *out.All[0].ToCheapest; d != (Difference{dec("250.00"), dec("249.30"), dec("249.30"), dec("2.25")}) {
		t.Errorf("cedar less spruce: %+v", d)
	}
	if o := out.All[1]; o.ToFirst != nil || o.ToCheapest != nil {
		t.Errorf("an option with an error has differences: %+v", o)
	}
	// Without a first there is nothing to differ from; of equals the earlier is the cheapest.
	out, err = SideBySide(PricedAt{}, []Option{failed("oak", "INVALID_REQUEST"), pine, pine})
	if err != nil || out.Cheapest != 1 || out.All[2].ToFirst != nil || out.All[2].ToCheapest == nil {
		t.Errorf("without a first: %+v, %v", out, err)
	}
}

func TestNoOption(t *testing.T) {
	shared, own := fault.Violation{Field: "site.runs", Description: "none"}, fault.Violation{Field: "site.runs[0].gates[0]", Description: "no room"}
	height := func(option string) fault.Violation {
		return fault.Violation{Field: option + ".spec.height", Description: "expected"}
	}
	for name, c := range map[string]struct {
		all    []Option
		kind   fault.Kind
		reason string
		want   []string
	}{
		"alike is told once": {[]Option{failed("a", "INVALID_REQUEST", shared, shared), failed("b", "INVALID_REQUEST", shared)},
			fault.Invalid, "INVALID_REQUEST", []string{"site.runs"}},
		"each its own": {[]Option{failed("a", "INVALID_REQUEST", shared, height("options[0]")), failed("b", "INVALID_REQUEST", shared, height("options[1]"), own)},
			fault.Invalid, "INVALID_REQUEST", []string{"site.runs", "options[0].spec.height", "options[1].spec.height", "options[1].site.runs[0].gates[0]"}},
		"several reasons": {[]Option{failed("a", "INVALID_REQUEST", height("options[0]")), failed("b", "AMOUNT_OUT_OF_RANGE")},
			fault.Refused, "NO_OPTION_STANDS", []string{"options[0].spec.height", "options[1]"}},
	} {
		_, err := SideBySide(PricedAt{}, c.all)
		e, ok := errors.AsType[*fault.Error](err)
		if !ok {
			t.Fatalf("%s: %v", name, err)
		}
		var fields []string
		for _, v := range e.Violations {
			fields = append(fields, v.Field)
		}
		if e.Kind != c.kind || e.Reason != c.reason || !slices.Equal(fields, c.want) {
			t.Errorf("%s: %v %s %q, want %v %s %q", name, e.Kind, e.Reason, fields, c.kind, c.reason, c.want)
		}
	}
}

func TestNoOptionsAtAll(t *testing.T) {
	if _, err := SideBySide(PricedAt{}, nil); fault.KindOf(err) != fault.Refused {
		t.Errorf("no options: %v", err)
	}
}

func TestOptionError(t *testing.T) {
	v := &fault.List{}
	v.Add("spec.posts.size", "a")
	v.Add("site.runs[0]", "b")
	e := OptionError(3, v.Err())
	if e.Violations[0].Field != "options[3].spec.posts.size" || e.Violations[1].Field != "site.runs[0]" {
		t.Errorf("%v", e)
	}
	if e := OptionError(0, errors.New("secret")); e.Kind != fault.Internal || strings.Contains(e.Error(), "secret") {
		t.Errorf("an error of elsewhere: %v", e)
	}
}

// Crew hours are the labour lines' own, whatever else is sold by the hour.
func TestFiguresOf(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{})
	q, err := Build(r)
	if err != nil {
		t.Fatal(err)
	}
	q.Takeoff.Lines = append(q.Takeoff.Lines, takeoff.Line{Category: takeoff.GateParts, Unit: takeoff.Hour, Order: dec("5")})
	f, err := FiguresOf(q)
	if err != nil || f.CrewHours != hours(q) || !f.CrewHours.IsPos() || f.Totals != q.Totals || f.Posts != len(q.Layout.Posts) {
		t.Errorf("%+v, %v; labour is %s", f, err, hours(q))
	}
}

// hours is the quantity of the line of crew hours.
func hours(q *Quote) decimal.Decimal {
	i := slices.IndexFunc(q.Lines, func(l Line) bool { return l.Item == "crew-hour" })
	return q.Lines[i].Quantity
}

// Layouts that differ in nothing a count reads have one key.
func TestWorkKey(t *testing.T) {
	keyOf := func(change func(*spec.Spec)) [32]byte {
		s := spec.Spec{Height: ft(6)}
		change(&s)
		s = s.WithDefaults()
		r := ask(t, straight(ft(40)), s, Pricing{})
		l, err := Plan(r)
		if err != nil {
			t.Fatal(err)
		}
		key, err := WorkKey(r.Job(l))
		if err != nil {
			t.Fatal(err)
		}
		return key
	}
	even := keyOf(func(*spec.Spec) {})
	narrower := func(inches measure.Length) func(*spec.Spec) {
		return func(s *spec.Spec) { s.Layout.MaxBay = ft(8) - inches*measure.Inch }
	}
	// 40 ft in bays of at most 8 ft, ends lapped: six either way.
	if keyOf(narrower(3)) != even || keyOf(narrower(6)) != even {
		t.Error("six bays of at most 8 ft, 7 ft 9 in or 7 ft 6 in have several keys")
	}
	for name, change := range map[string]func(*spec.Spec){
		"seven bays":    narrower(18),
		"another share": func(s *spec.Spec) { s.Layout.Method = spec.Remainder },
		"other rails":   func(s *spec.Spec) { s.Rails.Count = 2 },
		"other items":   func(s *spec.Spec) { s.Items = map[string]string{"gravel": "stone"} },
		"other waste":   func(s *spec.Spec) { s.Waste.Boards = new(dec("7")) },
		"hung free":     func(s *spec.Spec) { s.Layout.Hang = spec.Free },
		"butted rails":  func(s *spec.Spec) { s.Layout.TerminalLimit = new(false) },
	} {
		if keyOf(change) == even {
			t.Errorf("%s: the same key", name)
		}
	}
}

// The two roller posts of a sliding gate are posts to set, one of them outside
// the layout's.
func TestFiguresCountRollerPosts(t *testing.T) {
	q := &Quote{Takeoff: &takeoff.Takeoff{}, Layout: &layout.Layout{
		Posts: make([]layout.Post, 5), Openings: []layout.Opening{{}, {Slides: true, Roller: &layout.Post{ID: "P2R"}}},
	}}
	if f, err := FiguresOf(q); err != nil || f.Posts != 6 {
		t.Errorf("%d posts, %v; want 6", f.Posts, err)
	}
}
