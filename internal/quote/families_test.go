package quote

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/gowebpki/jcs"

	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// around is all that a job may find around a fence.
func around() site.Conditions {
	return site.Conditions{
		SoilClass: 4, Digging: "rocky", Access: "narrow", Season: "winter",
		Wind:    site.Wind{Speed: 115, Exposure: "C"},
		TearOut: []site.OldFence{{Length: ft(40), Height: ft(4), Footings: 5, PoundsPerFoot: dec("6.5"), CubicFeetPerFoot: dec("1"), FootingPounds: dec("90"), FootingCubicFeet: dec("0.75")}},
		Pool:    &site.Pool{BottomGap: new(2 * measure.Inch), SelfClosing: new(true)},
		Yard:    site.Yard{Name: "rear", MaxHeight: ft(6), PermitOver: ft(7)},
		Sights:  []site.Sight{{Name: "corner", Corners: [3]measure.Point{at(90, 0), at(99, 0), at(90, 9)}, MaxHeight: ft(3)}},
		Notice:  &site.Notice{Rule: "texas", Given: civil.Must("2026-03-02"), Hour: new(9), Holidays: []civil.Date{civil.Must("2026-03-03")}},
	}
}

// withOptions is vertical boards with everything that may be added.
func withOptions() spec.Spec {
	return spec.Spec{
		Name: "shadow box", Height: ft(6), Posts: spec.Posts{TerminalSize: "6x6"},
		Boards:   spec.Boards{Pattern: spec.ShadowBox, Gap: 3 * measure.Inch},
		Extras:   spec.Extras{CapBoard: "2x6", Trim: "1x4", KickBoard: "2x6", Stain: spec.Stain{Coats: 2, Coverage: dec("150")}},
		Moisture: spec.Moisture{Species: "western redcedar", Installed: "14 %", Temperature: new(dec("20")), Humidity: new(dec("50"))},
	}
}

// atMarket is the request at prices that market invents, by the units that the
// count asks for.
func atMarket(t testing.TB, r Request) Request {
	t.Helper()
	l, err := Plan(r)
	if err != nil {
		t.Fatal(err)
	}
	wanted := r.Job(l).Wanted()
	items := make([]string, len(wanted))
	for i, w := range wanted {
		items[i] = w.Item
	}
	r.Prices = market(items, "1")
	for i, w := range wanted {
		r.Prices[i].Offers[0].Unit = string(w.Unit)
	}
	return r
}

// Every family's quote, whatever its labour is counted by, is a canonical
// document that replays to the byte.
func TestEveryFamilyReplays(t *testing.T) {
	jobs := map[string]spec.Spec{"options": withOptions()}
	for _, family := range spec.Families() {
		for _, height := range family.Definition().Heights {
			jobs[fmt.Sprintf("%s %s", family, height)] = spec.Spec{Family: family, Height: measure.Must(height)}
		}
	}
	for name, f := range jobs {
		for _, by := range []spec.LabourBy{spec.ByFence, spec.ByTasks} {
			if f.Labour.By = by; by == spec.ByTasks {
				f.Labour.Equipment = []string{"auger"}
			}
			s := yard()
			s.Conditions = around()
			if drive := &s.Runs[0].Gates[1]; f.Family == spec.ChainLink {
				drive.Slides, drive.Leaves = true, 1
			}
			r := ask(t, straight(ft(24)), privacy(), Pricing{ProfitPercent: dec("25"), OverheadPercent: dec("10")})
			r.Site, r.Spec = s, f.WithDefaults()
			r = atMarket(t, r)
			doc := Document(r, build(t, r))
			if want, err := jcs.Transform(doc); err != nil || !bytes.Equal(doc, want) {
				t.Errorf("%s by %s: not canonical (%v)", name, by, err)
			}
			if diff, err := Replay(doc); err != nil || len(diff) > 0 {
				t.Errorf("%s by %s: replay: %v %v", name, by, diff, err)
			}
			for key, want := range map[string]bool{
				"conditions": true, "checks": true, "delivery": true, "work": by == spec.ByTasks, "movement": name == "options",
			} {
				if bytes.Contains(doc, []byte(`"`+key+`":`)) != want {
					t.Errorf("%s by %s: the document has %q: %t", name, by, key, !want)
				}
			}
		}
	}
}

// A document of a family that hangs no boards has nothing of theirs.
func TestPartsThatAFamilyLacksStandAtZero(t *testing.T) {
	doc := string(SpecDocument(spec.Spec{Family: spec.Wire, Height: ft(4)}))
	for _, part := range []string{
		`"boards":{"gap":"0","max_gap":"0","overlap":"0","pattern":"","size":"","start_at":"","stock":"0","thickness":"0","width":"0"}`,
		`"rails":{"count":"0","max_span":"0","size":"","stock":[]}`,
	} {
		if !bytes.Contains([]byte(doc), []byte(part)) {
			t.Errorf("no %s in %s", part, doc)
		}
	}
	back, err := ParseSpecDocument([]byte(doc))
	if err != nil || back.Boards != (spec.Boards{}) {
		t.Errorf("%v: %+v", err, back.Boards)
	}
}
