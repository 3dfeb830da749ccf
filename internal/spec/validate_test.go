package spec

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/arc"
	"wattle/internal/measure"
)

func TestValidate(t *testing.T) {
	length := func(l measure.Length) *measure.Length { return &l }
	no := false
	percent := func(s string) *decimal.Decimal { d := decimal.MustParse(s); return &d }
	for name, c := range map[string]struct {
		change func(*Spec)
		want   []string // the start of each violation, in order
	}{
		"sound":     {func(*Spec) {}, nil},
		"no height": {func(s *Spec) { s.Height = 0 }, []string{"spec.height: expected the height from grade"}},
		"negative height": {func(s *Spec) { s.Height = -1 },
			[]string{"spec.height: expected the height"}},
		"tower":     {func(s *Spec) { s.Height, s.Rails.Count = 101*ft, 5 }, []string{"spec.height: expected between"}},
		"family":    {func(s *Spec) { s.Family = "hedge" }, []string{`spec.family: "hedge" is not known here; expected vertical-boards`}},
		"clearance": {func(s *Spec) { s.GroundClearance = length(6 * ft) }, []string{"spec.ground_clearance: 6 ft leaves nothing"}},
		"angle":     {func(s *Spec) { s.CornerAngle = -1 }, []string{"spec.corner_angle: expected"}},
		"kerf":      {func(s *Spec) { s.Kerf = length(-1) }, []string{"spec.kerf: expected between"}},
		"wide kerf": {func(s *Spec) { s.Kerf = length(in + 1) }, []string{"spec.kerf: expected between 0 and 1 in, found "}},
		"wide gate gaps": {func(s *Spec) {
			s.Gates.HingeGap, s.Gates.LatchGap, s.Gates.CentreGap = length(13*in), length(ft), length(2*ft)
		},
			[]string{"spec.gates.hinge_gap: expected between 0 and 1 ft, found 1 ft 1 in", "spec.gates.centre_gap: expected between 0 and 1 ft, found 2 ft"}},
		"wide gap": {func(s *Spec) { s.Boards.Gap = 8 * ft }, []string{"spec.boards.gap: expected less than the widest bay of 8 ft, found 8 ft"}},
		"equipment twice": {func(s *Spec) {
			s.Labour = Labour{By: ByTasks, Crew: 2, HoursPerDay: decimal.One, Equipment: []string{"auger", "mixer", "auger"}}
		},
			[]string{`spec.labour.equipment[2]: "auger" is named before; expected each kind of equipment once`}},
		"far curve": {func(s *Spec) { s.Curves = []arc.Limit{{Radius: -1, Spacing: ft}} }, []string{"spec.curves[0].radius: expected between 0 and 1640420 ft"}},
		"items":     {func(s *Spec) { s.Items = map[string]string{"b": "", "a": ""} }, []string{`spec.items: "a"`, `spec.items: "b"`}},

		"curves": {func(s *Spec) {
			s.Curves = []arc.Limit{{Radius: 100 * ft, Spacing: 8 * ft}, {Radius: 100 * ft, Spacing: 0}, {Radius: -1, Spacing: 101 * ft}}
		}, []string{
			"spec.curves[1].radius: 100 ft does not fall below 100 ft", "spec.curves[1].chord: expected more than 0",
			"spec.curves[2].radius: expected between 0 and", "spec.curves[2].chord: expected more than 0 and at most 100 ft, found 101 ft",
		}},
		"51 curves": {func(s *Spec) {
			for i := range measure.Length(51) {
				s.Curves = append(s.Curves, arc.Limit{Radius: (100 - i) * ft, Spacing: ft})
			}
		}, []string{"spec.curves: expected at most 50 rows, found 51"}},

		"method":               {func(s *Spec) { s.Layout.Method = "odd" }, []string{`spec.layout.method: "odd" is not known here; expected even, remainder, feathered`}},
		"short end":            {func(s *Spec) { s.Layout.ShortEnd = "left" }, []string{`spec.layout.short_end: "left"`}},
		"remainder, both ends": {func(s *Spec) { s.Layout.Method, s.Layout.ShortEnd = Remainder, Both }, []string{"spec.layout.short_end: both ends are only"}},
		"feathered, both ends": {func(s *Spec) { s.Layout.Method, s.Layout.ShortEnd = Feathered, Both }, nil},
		"feather":              {func(s *Spec) { s.Layout.Method, s.Layout.Feather = Feathered, -1 }, []string{"spec.layout.feather: expected 1 bay or more, found -1"}},
		"feather, even":        {func(s *Spec) { s.Layout.Feather = -1 }, []string{"spec.layout.feather: expected 1 bay or more, found -1"}},
		"max bay":              {func(s *Spec) { s.Layout.MaxBay = 23 * in }, []string{"spec.layout.max_bay: expected between 2 ft and 100 ft"}},
		"min bay over max bay": {func(s *Spec) { s.Layout.MinBay = length(97 * in) }, []string{"spec.layout.min_bay: 8 ft 1 in is more than the widest bay, 8 ft"}},
		"negative min bay":     {func(s *Spec) { s.Layout.MinBay = length(-in) }, []string{"spec.layout.min_bay: expected between"}},
		"rail stock":           {func(s *Spec) { s.Layout.RailStock = 7 * ft }, []string{"spec.layout.rail_stock: a rail of 7 ft does not reach over a bay of 8 ft"}},

		"post size":       {func(s *Spec) { s.Posts.Size = "4x5" }, []string{`spec.posts.size: "4x5" is no post; expected one such as 4x4, 6x6, 2.375od, 2sq, 5vinyl, 4rd or tee`}},
		"oblong post":     {func(s *Spec) { s.Posts.Size = "4x6" }, []string{`spec.posts.size: "4x6" is no post; expected one such as 4x4, 6x6, 2.375od, 2sq, 5vinyl, 4rd or tee`}},
		"light gate post": {func(s *Spec) { s.Posts.Size, s.Posts.GateSize = "6x6", "4x4" }, []string{"spec.posts.gate_size: a gate hangs on a post at least as heavy as the fence's 6x6, found 4x4"}},
		"gate post":       {func(s *Spec) { s.Posts.GateSize = "1x6" }, []string{`spec.posts.gate_size: "1x6" is no post; expected one such as 4x4, 6x6, 2.375od, 2sq, 5vinyl, 4rd or tee`}},
		"stock order": {func(s *Spec) { s.Posts.Stock = []measure.Length{10 * ft, 8 * ft, 0} },
			[]string{"spec.posts.stock[1]: 8 ft does not follow 10 ft", "spec.posts.stock[2]: expected more than 0"}},
		"equal stock":   {func(s *Spec) { s.Posts.Stock = []measure.Length{8 * ft, 8 * ft} }, []string{"spec.posts.stock[1]: 8 ft does not follow 8 ft"}},
		"buried posts":  {func(s *Spec) { s.Posts.AboveBoards = -6 * ft }, []string{"spec.posts.above_boards: post tops 6 ft below", "spec.posts.above_boards: post tops 6 ft below the boards' leave the top rail"}},
		"low posts":     {func(s *Spec) { s.Posts.AboveBoards = -7 * in }, []string{"spec.posts.above_boards: post tops 7 in below the boards' leave the top rail, 6 in"}},
		"lowest posts":  {func(s *Spec) { s.Posts.AboveBoards = -6 * in }, nil},
		"short stock":   {func(s *Spec) { s.Posts.Stock = []measure.Length{6 * ft, 7 * ft} }, []string{"spec.posts.stock: a post of 8 ft (6 ft above grade, 2 ft below) needs a longer stick than any here; the longest is 7 ft"}},
		"frost too far": {func(s *Spec) { s.Holes.FrostDepth = 80 * in }, []string{"spec.posts.stock: a post of 12 ft 2 in (6 ft above grade, 6 ft 2 in below)"}},

		"margin alone":  {func(s *Spec) { s.Holes.FrostMargin = 6 * in }, []string{"spec.holes.frost_margin: a margin below frost needs"}},
		"no depth":      {func(s *Spec) { s.Holes.ByHeight, s.Holes.Gravel = &no, length(0) }, []string{"spec.holes: no rule gives a depth", "spec.concrete.stop_below_grade: 0 in leaves no concrete"}},
		"all gravel":    {func(s *Spec) { s.Holes.Gravel = length(24 * in); s.Holes.Float = 6 * in }, []string{"spec.holes: gravel and float of 2 ft 6 in leave nothing of a hole of 2 ft 6 in"}},
		"negative hole": {func(s *Spec) { s.Holes.MinDepth, s.Holes.FrostDepth, s.Holes.Float, s.Holes.Diameter = -1, -1, -1, -1 }, []string{"spec.holes.min_depth", "spec.holes.frost_depth", "spec.holes.float", "spec.holes.diameter"}},
		"thin hole":     {func(s *Spec) { s.Holes.Diameter = 3 * in }, []string{"spec.holes.diameter: a hole of 3 in takes no post of 3-1/2 in"}},

		"set":        {func(s *Spec) { s.Concrete.Set = "damp" }, []string{`spec.concrete.set: "damp"`}},
		"bag":        {func(s *Spec) { s.Concrete.BagPounds = -1 }, []string{"spec.concrete.bag_pounds"}},
		"yield":      {func(s *Spec) { s.Concrete.YieldPerPound = decimal.MustParse("-0.1") }, []string{"spec.concrete.yield_per_pound"}},
		"stop":       {func(s *Spec) { s.Concrete.StopBelowGrade = 24 * in }, []string{"spec.concrete.stop_below_grade: 2 ft leaves no concrete"}},
		"crown":      {func(s *Spec) { s.Concrete.StopBelowGrade, s.Concrete.Crown = in, in }, []string{"spec.concrete.crown: concrete that stops"}},
		"rail size":  {func(s *Spec) { s.Rails.Size = "4x4" }, []string{`spec.rails.size: "4x4" is no rail`}},
		"one rail":   {func(s *Spec) { s.Rails.Count = 1 }, []string{"spec.rails.count: expected between 2 and 20 rails, found 1"}},
		"many rails": {func(s *Spec) { s.Rails.Count = 18 }, []string{"spec.rails.count: 18 rails of 3-1/2 in do not fit between the reveals, 4 ft 10 in"}},
		"over 8 ft": {func(s *Spec) { s.Height, s.Posts.Stock = 9*ft, []measure.Length{14 * ft} },
			[]string{"spec.rails.count: practice gives no number above 8 ft"}},
		"reveals exceed height": {func(s *Spec) { s.Rails.TopReveal, s.Rails.BottomReveal = length(3*ft), length(3*ft) },
			[]string{"spec.rails.top_reveal: top and bottom reveal of 3 ft and 3 ft exceed the board of 5 ft 10 in"}},
		"top reveal":    {func(s *Spec) { s.Rails.TopReveal = length(7 * ft) }, []string{"spec.rails.top_reveal: 7 ft is all of a board"}},
		"bottom reveal": {func(s *Spec) { s.Rails.BottomReveal = length(7 * ft) }, []string{"spec.rails.bottom_reveal: 7 ft is all of a board"}},
		"rail lengths":  {func(s *Spec) { s.Rails.Stock = []measure.Length{-1} }, []string{"spec.rails.stock[0]: expected more than 0"}},

		"board size":      {func(s *Spec) { s.Boards.Size = "1x7" }, []string{`spec.boards.size: "1x7" is not a lumber size`}},
		"wide board":      {func(s *Spec) { s.Boards.Width = 9 * ft }, []string{"spec.boards.width: a board of 9 ft is wider than the widest bay, 8 ft"}},
		"board measures":  {func(s *Spec) { s.Boards.Width, s.Boards.Thickness = -1, -1 }, []string{"spec.boards.width: expected more than 0", "spec.boards.thickness: expected more than 0"}},
		"negative gap":    {func(s *Spec) { s.Boards.Gap = -1 }, []string{"spec.boards.gap: expected between 0"}},
		"max gap":         {func(s *Spec) { s.Boards.Gap, s.Boards.MaxGap = 2*in, in }, []string{"spec.boards.max_gap: 1 in is less than the gap itself, 2 in"}},
		"min rip":         {func(s *Spec) { s.Boards.MinRip = length(6 * in) }, []string{"spec.boards.min_rip: 6 in is more than a whole board"}},
		"start at":        {func(s *Spec) { s.Boards.StartAt = "door" }, []string{`spec.boards.start_at: "door"`}},
		"board stock":     {func(s *Spec) { s.Boards.Stock = 5 * ft }, []string{"spec.boards.stock: boards bought at 5 ft are too short for 5 ft 10 in"}},
		"nails":           {func(s *Spec) { s.Fasteners.BoardNail, s.Fasteners.RailNail = "8", "7d" }, []string{`spec.fasteners.board_nail: "8" is no nail`, `spec.fasteners.rail_nail: "7d" is no nail known here; expected one of 6d, 8d, 10d, 12d, 16d, 20d`}},
		"nail counts":     {func(s *Spec) { s.Fasteners.PerBoardPerRail, s.Fasteners.PerRailEnd = -2, 101 }, []string{"spec.fasteners.per_board_per_rail", "spec.fasteners.per_rail_end"}},
		"nails per pound": {func(s *Spec) { s.Fasteners.NailsPerPound = map[string]int{"8d": 0, "3d": 5} }, []string{`spec.fasteners.nails_per_pound: "3d" is no nail`, "spec.fasteners.nails_per_pound: expected more than 0 of 8d"}},
		"gate gaps": {func(s *Spec) {
			s.Gates.HingeGap, s.Gates.LatchGap, s.Gates.CentreGap = length(-1), length(-1), length(-1)
		}, []string{"spec.gates.hinge_gap", "spec.gates.latch_gap", "spec.gates.centre_gap"}},
		"hinges":           {func(s *Spec) { s.Gates.HingesPerLeaf = -1 }, []string{"spec.gates.hinges_per_leaf: expected between 1 and 10, found -1"}},
		"waste":            {func(s *Spec) { s.Waste.Boards, s.Waste.Gravel = percent("-0.01"), percent("100.01") }, []string{"spec.waste.boards: expected between 0 and 100 percent, found -0.01", "spec.waste.gravel"}},
		"waste at its end": {func(s *Spec) { s.Waste.Boards, s.Waste.Gravel = percent("0"), percent("100") }, nil},
		"all at once": {func(s *Spec) {
			s.Family, s.Layout.Method, s.Posts.Size, s.Rails.Size, s.Kerf = "x", "x", "x", "x", length(-1)
		},
			[]string{"spec.family", "spec.layout.method", "spec.posts.size", "spec.rails.size", "spec.kerf"}},
		"least int64": {func(s *Spec) {
			const least = -1 << 63
			s.Height, s.Boards.Thickness, s.Posts.AboveBoards, s.Layout.MaxBay, s.Layout.MinBay = least, least, least, least, length(least)
		}, []string{"spec.layout.max_bay", "spec.layout.min_bay", "spec.height", "spec.posts.above_boards", "spec.boards.thickness"}},
	} {
		t.Run(name, func(t *testing.T) {
			s := sixFoot()
			c.change(&s)
			got := wrong(s)
			ok := slices.EqualFunc(got, c.want, strings.HasPrefix)
			if !ok {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}
