package takeoff

import (
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Boards of 5 ft 10 in, two from a stick of 12 ft: where a pair from 12 ft costs
// less than two of 6 ft, all pairs come from there; else none (common practice).
func TestBoardsCutFromLongerOnes(t *testing.T) {
	st := site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: 24 * ft}}}}}
	s := sixFoot(func(s *spec.Spec) {
		s.Waste.Boards = new(decimal.Zero) // 5 % of it would make 29 of 12 ft cheaper than 28, and 2 of 6 ft
		s.Details = spec.Details{"stock_1": "6 ft", "stock_2": "12 ft"}
	})
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatal(err)
	}
	offers := map[string]Offer{"board-1x6-6ft": {Price: decimal.MustParse("4"), Unit: Each}}
	for _, c := range []struct {
		twelve, item string
		pairs        bool
	}{{"7", "board-1x6-12ft", true}, {"9", "board-1x6-6ft", false}} {
		offers["board-1x6-12ft"] = Offer{Price: decimal.MustParse(c.twelve), Unit: Each}
		k, err := Count(l, s, offers)
		if err != nil {
			t.Fatal(err)
		}
		want := k.Faces[0].Boards
		if c.pairs {
			want /= 2 // an odd one comes from a board of 6 ft
		}
		if got := lineOf(t, k, c.item); got.Net.Cmp(decimal.MustNew(int64(want), 0)) != 0 {
			t.Errorf("at %s: %s of %s for %d boards, want %d", c.twelve, got.Net, c.item, k.Faces[0].Boards, want)
		}
	}
}
