package quote

import (
	"testing"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// familyJobs are the corpus's jobs of every kind of fence, with options,
// conditions and labour by tasks, which the rules know from version 3 on.
func familyJobs(t testing.TB, jobs map[string]Request) {
	add := func(name string, s site.Site, f spec.Spec) {
		r := ask(t, straight(ft(24)), privacy(), Pricing{OverheadPercent: dec("12"), ProfitPercent: dec("25")})
		f.Name = name
		r.Site, r.Spec = s, f.WithDefaults()
		jobs[name] = atMarket(t, r.Normalised())
	}
	hilly := yard()
	hilly.Runs[0].Ground = []site.GroundPoint{{Station: 0}, {Station: ft(40), Elevation: ft(2)}, {Station: ft(100), Elevation: -ft(1)}, {Station: ft(140)}}
	told := yard()
	told.Conditions = around()
	tee := site.Site{Runs: []site.Run{
		{ID: "through", Vertices: []measure.Point{at(-40, 0), at(45, 0)}},
		{ID: "branch", Vertices: []measure.Point{at(0, 0), at(0, 33)}},
	}}
	sliding := yard()
	drive := &sliding.Runs[0].Gates[1]
	drive.Slides, drive.Leaves = true, 1

	add("chain-link-sliding", sliding, spec.Spec{Family: spec.ChainLink, Height: ft(6)})
	add("chain-link-hill", hilly, spec.Spec{Family: spec.ChainLink, Height: ft(4)})
	add("panels-metal", yard(), spec.Spec{Family: spec.Panels, Height: ft(5)})
	add("panels-vinyl", tee, spec.Spec{Family: spec.Panels, Height: ft(6), Details: spec.Details{"material": "vinyl"}})
	add("split-rail-tee", tee, spec.Spec{Family: spec.SplitRail, Height: ft(4)})
	add("wire-barbed", tee, spec.Spec{Family: spec.Wire, Height: ft(4)})
	add("wire-woven", straight(ft(400)), spec.Spec{Family: spec.Wire, Height: ft(4), Details: spec.Details{"kind": "woven"}})
	add("boards-lying", yard(), spec.Spec{Family: spec.HorizontalBoards, Height: ft(6), Details: spec.Details{"span": "2"}})
	add("boards-on-boards", told, withOptions())
	add("boards-shadow-box", hilly, spec.Spec{Height: ft(6), Boards: spec.Boards{Pattern: spec.ShadowBox, Gap: 3 * measure.Inch}})
	add("rails-over-two-bays", hilly, spec.Spec{Height: ft(6), Rails: spec.Rails{MaxSpan: 2}, Details: spec.Details{"stock_1": "12 ft"},
		Posts: spec.Posts{Size: "2.375od"}, Gates: spec.Gates{Frame: spec.SteelFrame}})
}
