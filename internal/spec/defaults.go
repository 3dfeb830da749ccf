package spec

import (
	"maps"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// WithDefaults is the spec with every field filled in, so that what a result
// was counted with can be shown in full. It shares nothing with s. Three fields
// may stay empty: a gate post size that goes by rule (GatePostSize), and, where
// practice has no figure, the height and the number of rails above 8 ft, which
// Validate asks for.
func (s Spec) WithDefaults() Spec {
	s.FillIn()
	return s
}

// FillIn makes s what WithDefaults answers, in place.
func (s *Spec) FillIn() {
	fill(&s.Family, VerticalBoards)
	s.fillDetails()
	if d := s.Family.Definition(); d != nil && d.Fill != nil {
		d.Fill(s)
	}
	pointer(&s.GroundClearance, 2*measure.Inch)
	pointer(&s.Access, 24*measure.Inch)
	s.fillAlignment()
	s.fillSlope()
	if s.HasRails() {
		s.Rails.fillIn(s.Height)
	}
	if s.Boards.Pattern == ShadowBox { // boards on both faces of rails leave none to lap a post
		fill(&s.Layout.Hang, Between)
	}
	s.Layout.fillIn(s.Rails)
	s.Posts.fillIn()
	s.Concrete.fillIn()
	s.Holes.fillIn(s.Posts, s.Concrete)
	s.Extras.fillIn()
	s.fillBoards()
	s.fillMoisture()
	s.Fasteners.fillIn(s.Boards.Thickness)
	s.fillGates()
	s.Labour.fillIn()
	s.Waste.fillIn()
	pointer(&s.Kerf, measure.Inch/8)
	s.Items = maps.Clone(s.Items)
	s.fillCurves()
}

func (l *Layout) fillIn(rails Rails) {
	fill(&l.Method, Even)
	fill(&l.MaxBay, 8*measure.Foot)
	fill(&l.Hang, Lapped)
	if l.Hang != Free {
		fill(&l.RailStock, rails.stickFor(l.MaxBay))
	}
	pointer(&l.TerminalLimit, true)
	fill(&l.ShortEnd, Finish)
	if l.Method == Feathered {
		fill(&l.Feather, 2)
	}
	widest := l.MaxBay
	if l.Hang == Between && l.RailStock > 0 { // a panel narrower than MaxBay is what limits a bay
		widest = min(widest, l.RailStock)
	}
	pointer(&l.MinBay, widest/3)
}

func (p *Posts) fillIn() {
	fill(&p.Size, "4x4")
	fill(&p.TerminalSize, p.Size)
	stock(&p.Stock, 8, 10, 12)
	pointer(&p.Caps, true)
}

func (c *Concrete) fillIn() {
	fill(&c.Set, WetSet)
	fill(&c.BagPounds, 80)
	if c.YieldPerPound.IsZero() {
		c.YieldPerPound = decimal.MustNew(75, 4) // 0.0075 ft3 per lb [CON-1]
	}
}

func (r *Rails) fillIn(height measure.Length) {
	fill(&r.Size, "2x4")
	fill(&r.MaxSpan, 1)
	fill(&r.Count, railCount(height))
	pointer(&r.TopReveal, 6*measure.Inch)
	pointer(&r.BottomReveal, 6*measure.Inch)
	stock(&r.Stock, 8, 12, 16)
}

// stickFor is the shortest stock that reaches over a bay, or the bay itself
// where none does: then a rail is spliced.
func (r Rails) stickFor(bay measure.Length) measure.Length {
	var stick measure.Length
	for _, length := range r.Stock {
		if length >= bay && length <= longestPart && (stick == 0 || length < stick) {
			stick = length
		}
	}
	if stick == 0 {
		return bay
	}
	return stick
}

func (b *Boards) fillIn(length measure.Length) {
	fill(&b.Size, "1x6")
	thickness, width := b.Size.Dressed()
	fill(&b.Thickness, thickness)
	fill(&b.Width, width)
	pointer(&b.MinRip, measure.Inch*3/2)
	fill(&b.Pattern, SideBySide)
	fill(&b.StartAt, StartVisible)
	if length > 0 && length <= longestPart {
		fill(&b.Stock, (length+measure.Foot-1)/measure.Foot*measure.Foot)
	}
}

func (f *Fasteners) fillIn(board measure.Length) {
	if board > 0 && board < measure.MaxLength {
		fill(&f.BoardNail, NailFor(board))
	}
	fill(&f.RailNail, "16d")
	fill(&f.PerBoardPerRail, 2) // [FAS-3]
	fill(&f.PerRailEnd, 2)
	fill(&f.ScrewsPerRailEnd, 4)
	fill(&f.Coating, HotDip)
	f.NailsPerPound = nailsPerPound(f.NailsPerPound)
}

// fillBoards fills the boards of a family that has any.
func (s *Spec) fillBoards() {
	if s.HasBoards() {
		s.Boards.fillIn(s.BoardLength())
	}
}

func (l *Labour) fillIn() {
	fill(&l.By, ByFence)
	if l.By == ByTasks {
		fill(&l.Crew, 3)
		if l.HoursPerDay.IsZero() {
			l.HoursPerDay = decimal.MustNew(8, 0)
		}
	}
	l.Equipment = slices.Clone(l.Equipment)
}

func (w *Waste) fillIn() {
	percent := func(p **decimal.Decimal, n int64) { pointer(p, decimal.MustNew(n, 0)) }
	percent(&w.Boards, 5)
	percent(&w.Rails, 0)
	percent(&w.Concrete, 0)
	percent(&w.Gravel, 10)
	percent(&w.Fasteners, 5)
}

// fill sets a field that was left at its zero value.
func fill[T comparable](field *T, value T) {
	var zero T
	if *field == zero {
		*field = value
	}
}

// pointer sets a field that was left out, and otherwise gives it a copy of what
// it points to.
func pointer[T any](field **T, value T) {
	if *field != nil {
		value = **field
	}
	*field = &value
}

// stock sets a list of lengths, in feet, that was left out, and otherwise gives
// the field a list of its own.
func stock(field *[]measure.Length, feet ...measure.Length) {
	if len(*field) > 0 {
		*field = slices.Clone(*field)
		return
	}
	for i := range feet {
		feet[i] *= measure.Foot
	}
	*field = feet
}
