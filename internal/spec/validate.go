package spec

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// Bounds that keep what is counted from a spec within sense and within int64.
const (
	// longestPart is more than any length in a spec can sensibly be.
	longestPart = 100 * measure.Foot
	// narrowestBay keeps posts of neighbouring bays clear of one another
	// whatever the method and the post sizes.
	narrowestBay = 2 * measure.Foot
	mostRails    = 20
	mostNails    = 100 // per board and rail, per rail end
	mostStocks   = 50
)

// Validate notes everything wrong with a spec that WithDefaults has filled in,
// by field path in the request's own names.
func (s *Spec) Validate(v *fault.List) {
	s.validateFamily(v)
	s.Slope.validate(v.At("slope"), given(s.GroundClearance))
	part(v, "access", given(s.Access))
	s.validateCurves(v.At("curves"))
	s.Layout.validate(v.At("layout"))
	s.validateBetween(v.At("layout"))
	before := v.Len()
	s.validatePosts(v)
	if v.Len() == before {
		s.validatePit(v)
	}
	s.Concrete.validate(v.At("concrete"))
	s.validateDriven(v)
	if s.HasRails() {
		s.validateRails(v)
	}
	if s.HasBoards() {
		s.validateBoards(v.At("boards"))
	}
	s.Fasteners.validate(v.At("fasteners"))
	s.validateExtras(v.At("extras"))
	s.validateMoisture(v.At("moisture"))
	s.Labour.validate(v.At("labour"))
	s.validateGates(v.At("gates"))
	s.Waste.validate(v.At("waste"))
	part(v, "kerf", given(s.Kerf))
	for _, name := range sortedKeys(s.Items) {
		if name == "" || s.Items[name] == "" {
			v.Add("items", "%q is to be bought as %q; expected the names of two items", name, s.Items[name])
		}
	}
}

// PostsSound reports whether all that decides where the fixed posts stand and
// how they are set is right, so that those can be worked out (and found wrong)
// although other parts of the spec are wrong.
func (s *Spec) PostsSound() bool {
	v := new(fault.List)
	s.validatePosts(v)
	return v.Len() == 0
}

// validatePosts covers the height, the posts and their holes, but for stock
// that is too short (see validatePit), which needs them all to be right.
func (s *Spec) validatePosts(v *fault.List) {
	if s.Height > 0 {
		part(v, "height", s.Height)
	} else {
		v.Add("height", "expected the height from grade to the top of the boards, found %s", s.Height)
	}
	if under := given(s.GroundClearance); part(v, "ground_clearance", under) && s.Height > 0 && under >= s.Height {
		v.Add("ground_clearance", "%s leaves nothing of a height of %s", measure.Tape(under), measure.Tape(s.Height))
	}
	if s.CornerAngle <= 0 || s.CornerAngle > 180*measure.Degree {
		v.Add("corner_angle", "expected more than 0 and at most 180 deg, found %s", s.CornerAngle)
	}
	s.Alignment.validate(v.At("alignment"), s.CornerAngle)
	s.Posts.validate(v.At("posts"))
	if above := s.Posts.AboveBoards; above >= -longestPart && above <= longestPart {
		v.At("posts").Require(s.Height <= 0 || s.PostTop() > 0, "above_boards", "post tops %s below the boards' would stand at or under grade", measure.Tape(-above))
	}
	s.Holes.validate(v.At("holes"))
}

func (p Posts) validate(v *fault.List) {
	square := func(field string, size section.Section) {
		if !size.Square() {
			v.Add(field, "%q is no post; expected one such as 4x4, 6x6, 2.375od, 2sq, 5vinyl, 4rd or tee", size)
		}
	}
	square("size", p.Size)
	heavier := func(field, what string, size section.Section) {
		square(field, size)
		if p.Size.Square() && size.Square() {
			v.Require(size.Width() >= p.Size.Width(), field, "%s at least as heavy as the fence's %s, found %s", what, p.Size, size)
		}
	}
	if p.TerminalSize != p.Size {
		heavier("terminal_size", "a terminal post is", p.TerminalSize)
	}
	if p.GateSize != "" {
		heavier("gate_size", "a gate hangs on a post", p.GateSize)
	}
	ascending(v, "stock", p.Stock)
	above := p.AboveBoards
	v.Require(above >= -longestPart && above <= longestPart, "above_boards", "expected at most %s up or down, found %s", longestPart, above)
}

func (l Layout) validate(v *fault.List) {
	known(v, "method", l.Method, Even, Remainder, Feathered)
	known(v, "short_end", l.ShortEnd, Finish, Start, Both)
	v.Require(l.ShortEnd != Both || l.Method == Feathered, "short_end", "both ends are only for the feathered method; expected start or finish")
	v.Require(l.Feather >= 1 || l.Method != Feathered && l.Feather == 0, "feather", "expected 1 bay or more, found %d", l.Feather)
	bay := l.MaxBay >= narrowestBay && l.MaxBay <= longestPart
	if !bay {
		v.Add("max_bay", "expected between %s and %s, found %s", narrowestBay, longestPart, l.MaxBay)
	}
	known(v, "hang", l.Hang, Lapped, Between, Free)
	part(v, "insertion", l.Insertion)
	part(v, "bracket_gap", l.BracketGap)
	v.Require(l.Hang == Between || l.Insertion == 0 && l.BracketGap == 0, "insertion", "only what hangs between posts goes into them, or leaves a gap beside them")
	if l.Hang == Free {
		v.Require(l.RailStock == 0, "rail_stock", "nothing that is cut to a bay limits this fence; leave it out")
	} else if l.RailStock <= 0 || l.RailStock > longestPart {
		v.Add("rail_stock", "expected more than 0 and at most %s, found %s", longestPart, l.RailStock)
	} else if bay && l.Hang == Lapped && l.RailStock < l.MaxBay {
		v.Add("rail_stock", "a rail of %s does not reach over a bay of %s", measure.Tape(l.RailStock), measure.Tape(l.MaxBay))
	}
	if least := given(l.MinBay); part(v, "min_bay", least) && bay && least > l.MaxBay {
		v.Add("min_bay", "%s is more than the widest bay, %s", measure.Tape(least), measure.Tape(l.MaxBay))
	}
}

// validateBetween keeps posts clear of one another where the rail, or the panel,
// between them decides how far apart they stand.
func (s *Spec) validateBetween(v *fault.List) {
	l := s.Layout
	if l.Hang != Between || l.RailStock <= 0 || l.RailStock > longestPart {
		return
	}
	bay := l.RailStock - 2*l.EndPast(s.Posts.Size.Width())
	v.Require(bay >= narrowestBay, "rail_stock", "%s between two posts sets them %s apart on centre; expected at least %s", measure.Tape(l.RailStock), measure.Tape(bay), narrowestBay)
}

func (c Concrete) validate(v *fault.List) {
	known(v, "set", c.Set, WetSet, DrySet, NoSet, Driven)
	v.Require(c.BagPounds > 0 && c.BagPounds <= 10_000, "bag_pounds", "expected between 1 and 10000, found %d", c.BagPounds)
	if !c.YieldPerPound.IsPos() || c.YieldPerPound.Cmp(decimal.One) >= 0 {
		v.Add("yield_per_pound", "expected more than 0 and less than 1 ft3 per lb, found %s", c.YieldPerPound)
	}
	part(v, "stop_below_grade", c.StopBelowGrade)
	if part(v, "crown", c.Crown) {
		v.Require(c.Crown == 0 || c.StopBelowGrade == 0, "crown", "concrete that stops below grade has no crown above it")
	}
}

func (s *Spec) validateRails(v *fault.List) {
	r := s.Rails
	before := v.Len()
	at := v.At("rails")
	thickness, depth := r.Size.Dressed()
	if thickness <= 0 || thickness >= depth {
		at.Add("size", "%q is no rail; expected a size such as 2x4", r.Size)
	}
	if r.Count == 0 && s.Height > 8*measure.Foot {
		at.Add("count", "practice gives no number above 8 ft; expected one for a height of %s", s.Height.Imperial())
	} else if r.Count != 0 || s.Height > 0 {
		at.Require(r.Count >= 2 && r.Count <= mostRails, "count", "expected between 2 and %d rails, found %d", mostRails, r.Count)
	}
	part(at, "top_reveal", given(r.TopReveal))
	part(at, "bottom_reveal", given(r.BottomReveal))
	ascending(at, "stock", r.Stock)
	at.Require(r.MaxSpan == 1 || r.MaxSpan == 2, "max_span", "expected 1 or 2 bays, found %d", r.MaxSpan)
	if v.Len() > before || s.Height <= 0 || s.Height > longestPart || s.BoardLength() <= 0 {
		return
	}
	top, bottom, board := given(r.TopReveal), given(r.BottomReveal), s.BoardLength()
	switch room := board - top - bottom; {
	case top >= board:
		at.Add("top_reveal", "%s is all of a board of %s", top.Imperial(), board.Imperial())
	case bottom >= board:
		at.Add("bottom_reveal", "%s is all of a board of %s", bottom.Imperial(), board.Imperial())
	case room <= 0:
		at.Add("top_reveal", "top and bottom reveal of %s and %s exceed the board of %s", top.Imperial(), bottom.Imperial(), board.Imperial())
	case room < measure.Length(r.Count)*depth:
		at.Add("count", "%d rails of %s do not fit between the reveals, %s", r.Count, depth.Imperial(), room.Imperial())
	}
	if above := s.Posts.AboveBoards; above < 0 && above >= -longestPart {
		v.At("posts").Require(-above <= top, "above_boards", "post tops %s below the boards' leave the top rail, %s below them, without a post", measure.Tape(-above), measure.Tape(top))
	}
}

func (s *Spec) validateBoards(v *fault.List) {
	b := s.Boards
	thickness, _ := b.Size.Dressed()
	sized := thickness > 0
	if !sized {
		v.Add("size", "%q is not a lumber size known here; expected one such as 1x6", b.Size)
	}
	if (sized || b.Width != 0) && (b.Width <= 0 || b.Width > longestPart) {
		v.Add("width", "expected more than 0 and at most %s, found %s", longestPart, b.Width)
	}
	if (sized || b.Thickness != 0) && (b.Thickness <= 0 || b.Thickness > measure.Foot) {
		v.Add("thickness", "expected more than 0 and at most %s, found %s", measure.Foot, b.Thickness)
	}
	if bay := s.Layout.MaxBay; bay >= narrowestBay && b.Width <= longestPart && b.Width > bay {
		v.Add("width", "a board of %s is wider than the widest bay, %s", measure.Tape(b.Width), measure.Tape(bay))
	}
	part(v, "gap", b.Gap)
	if part(v, "max_gap", b.MaxGap) {
		v.Require(b.MaxGap == 0 || b.MaxGap >= b.Gap, "max_gap", "%s is less than the gap itself, %s", measure.Tape(b.MaxGap), measure.Tape(b.Gap))
	}
	if rip := given(b.MinRip); part(v, "min_rip", rip) && b.Width > 0 && rip > b.Width {
		v.Add("min_rip", "%s is more than a whole board, %s", measure.Tape(rip), measure.Tape(b.Width))
	}
	known(v, "pattern", b.Pattern, SideBySide, Spaced, BoardOnBoard, ShadowBox)
	if part(v, "overlap", b.Overlap) {
		two := b.Pattern == BoardOnBoard
		v.Require(two || b.Overlap == 0, "overlap", "only board on board has an overlap; leave it out")
		if two && (b.Overlap <= 0 || b.Overlap*2 >= b.Width) {
			v.Add("overlap", "expected more than 0 and less than half a board of %s, found %s", measure.Tape(b.Width), measure.Tape(b.Overlap))
		}
		v.Require(!two || b.Gap == 0, "gap", "board on board has an overlap, not a gap")
	}
	v.Require(b.MaxGap == 0 || b.Pattern != BoardOnBoard && b.Pattern != ShadowBox, "max_gap", "only boards in one row have their gaps opened; leave it out")
	v.Require(b.Pattern != Spaced || b.Gap > 0, "gap", "spaced pickets need a gap")
	if b.Pattern == ShadowBox && (b.Gap <= 0 || b.Gap >= b.Width) {
		v.Add("gap", "a shadow box needs a gap between the boards of one face that is more than 0 and less than a board of %s, found %s", measure.Tape(b.Width), measure.Tape(b.Gap))
	}
	known(v, "start_at", b.StartAt, StartVisible, StartLow, StartHigh)
	if part(v, "stock", b.Stock) && s.Height > 0 && s.Height <= longestPart && s.BoardLength() > 0 && b.Stock < s.BoardLength() {
		v.Add("stock", "boards bought at %s are too short for %s (height less ground clearance)", measure.Tape(b.Stock), measure.Tape(s.BoardLength()))
	}
}

func (f Fasteners) validate(v *fault.List) {
	nail := func(field, penny string) {
		if !knownNail(penny) {
			v.Add(field, "%q is no nail known here; expected one of %s", penny, strings.Join(NailSizes(), ", "))
		}
	}
	if f.BoardNail != "" { // empty only beside a board whose thickness is wrong
		nail("board_nail", f.BoardNail)
	}
	nail("rail_nail", f.RailNail)
	v.Require(f.PerBoardPerRail >= 1 && f.PerBoardPerRail <= mostNails, "per_board_per_rail", "expected between 1 and %d, found %d", mostNails, f.PerBoardPerRail)
	v.Require(f.PerRailEnd >= 1 && f.PerRailEnd <= mostNails, "per_rail_end", "expected between 1 and %d, found %d", mostNails, f.PerRailEnd)
	v.Require(f.ScrewsPerRailEnd >= 1 && f.ScrewsPerRailEnd <= mostNails, "screws_per_rail_end", "expected between 1 and %d, found %d", mostNails, f.ScrewsPerRailEnd)
	known(v, "coating", f.Coating, HotDip, Stainless, Bright)
	for _, penny := range sortedKeys(f.NailsPerPound) {
		nail("nails_per_pound", penny)
		if n := f.NailsPerPound[penny]; n <= 0 {
			v.Add("nails_per_pound", "expected more than 0 of %s, found %d", penny, n)
		}
	}
}

func (w Waste) validate(v *fault.List) {
	percent := func(field string, p *decimal.Decimal) {
		d := given(p)
		if d.IsNeg() || d.Cmp(decimal.Hundred) > 0 {
			v.Add(field, "expected between 0 and 100 percent, found %s", d)
		}
	}
	percent("boards", w.Boards)
	percent("rails", w.Rails)
	percent("concrete", w.Concrete)
	percent("gravel", w.Gravel)
	percent("fasteners", w.Fasteners)
}

func (l Labour) validate(v *fault.List) {
	known(v, "by", l.By, ByFence, ByTasks)
	if l.By == ByTasks {
		v.Require(l.Crew >= 1 && l.Crew <= 100, "crew", "expected between 1 and 100 people, found %d", l.Crew)
		v.Require(l.HoursPerDay.IsPos() && l.HoursPerDay.Cmp(decimal.MustNew(24, 0)) <= 0, "hours_per_day", "expected more than 0 and at most 24, found %s", l.HoursPerDay)
	} else {
		v.Require(l.Crew == 0 && l.HoursPerDay.IsZero() && len(l.Equipment) == 0, "by", "a crew, its day and equipment are for labour by tasks")
	}
	for i, name := range l.Equipment {
		v.At("equipment").Index(i).Require(!slices.Contains(l.Equipment[:i], name), "", "%q is named before; expected each kind of equipment once", name)
		v.At("equipment").Index(i).Require(name != "" && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == "", "", "expected a name in small letters such as auger, found %q", name)
	}
}

// sortedKeys are the keys of a map, so that what is noted of them has an order.
func sortedKeys[M ~map[string]V, V any](m M) []string {
	keys := make([]string, 0, len(m))
	for key := range m {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}

// known notes a value that is none of a list.
func known[T ~string](v *fault.List, field string, value T, all ...T) {
	if !slices.Contains(all, value) {
		v.Add(field, "%q is not known here; expected %s", value, listed(all))
	}
}

// part notes a length that no part of a fence has, and reports whether it is
// sound. Like others here that are asked of every spec, it looks at the words, which
// take room, only where it needs them.
func part(v *fault.List, field string, l measure.Length) bool {
	sound := l >= 0 && l <= longestPart
	if !sound {
		v.Add(field, "expected between 0 and %s, found %s", longestPart, l)
	}
	return sound
}

// ascending notes stock lengths that are not a rising list.
func ascending(v *fault.List, field string, stock []measure.Length) {
	v.Require(len(stock) <= mostStocks, field, "expected at most %d lengths, found %d", mostStocks, len(stock))
	for i, l := range stock {
		switch {
		case l <= 0 || l > longestPart:
			v.At(field).Index(i).Add("", "expected more than 0 and at most %s, found %s", longestPart, l)
		case i > 0 && l <= stock[i-1]:
			v.At(field).Index(i).Add("", "%s does not follow %s; expected lengths in ascending order", l.Imperial(), stock[i-1].Imperial())
		}
	}
}
