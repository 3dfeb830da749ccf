package quote

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// MostCandidates bounds how many choices one advice tries: each is planned,
// counted, cut and priced like a quote.
const MostCandidates = 500

// Choice is what advice may choose of a spec: the widest bay, how stretches are
// shared, and the rail lengths to buy.
type Choice struct {
	MaxBay measure.Length
	Method spec.Method
	// Stock is ascending; empty where the fence has no rails to cut.
	Stock []measure.Length
}

// In is the spec with this choice, its defaults not yet filled: what the spec
// gives besides (a rail stock, a least bay) holds for every choice. Short bays
// at both ends are for the feathered method only.
func (c Choice) In(s spec.Spec) spec.Spec {
	s.Layout.MaxBay, s.Layout.Method = c.MaxBay, c.Method
	if len(c.Stock) > 0 {
		s.Rails.Stock = slices.Clone(c.Stock)
	}
	if c.Method != spec.Feathered && s.Layout.ShortEnd == spec.Both {
		s.Layout.ShortEnd = ""
	}
	return s
}

// String is such as: bays to 8 ft, even, rails of 8 ft, 12 ft and 16 ft.
func (c Choice) String() string {
	var rails strings.Builder
	for i, l := range c.Stock {
		switch {
		case i == 0:
			rails.WriteString(", rails of ")
		case i == len(c.Stock)-1:
			rails.WriteString(" and ")
		default:
			rails.WriteString(", ")
		}
		rails.WriteString(l.Imperial())
	}
	return fmt.Sprintf("bays to %s, %s%s", c.MaxBay.Imperial(), c.Method, &rails)
}

// ChoiceOf is what the spec, its defaults filled, itself chooses.
func ChoiceOf(s spec.Spec) Choice {
	return Choice{s.Layout.MaxBay, s.Layout.Method, slices.Clone(s.Rails.Stock)}
}

// Equal reports the same choice.
func (c Choice) Equal(o Choice) bool {
	return c.MaxBay == o.MaxBay && c.Method == o.Method && slices.Equal(c.Stock, o.Stock)
}

// Search is the choices to try: MaxBay from From by Step to at most To, each by
// every method. A zero field takes its default, which depends on the fence.
type Search struct {
	From, To, Step measure.Length // 6 ft, 8 ft, 6 in, of vertical boards
	Methods        []spec.Method  // all
}

// Methods lists the methods in the order in which advice prefers them, all else
// being equal.
func Methods() []spec.Method { return []spec.Method{spec.Even, spec.Remainder, spec.Feathered} }

// WithDefaults fills what may be left out, for a spec with its defaults filled.
// Chain link and wire stand wider apart than boards, up to what the spec has;
// boards that lie from post to post no wider than it; and the bays of panels and
// split rail are the panel's and the rail's, so that none but the spec's own is
// worth trying.
func (s Search) WithDefaults(fence spec.Spec) Search {
	own, step := fence.Layout.MaxBay, 6*measure.Inch
	from, to := 6*measure.Foot, 8*measure.Foot
	switch fence.Family {
	case spec.VerticalBoards:
	case spec.ChainLink:
		from, to = min(8*measure.Foot, own), own
	case spec.Wire:
		from, to, step = min(8*measure.Foot, own), own, 2*measure.Foot
	case spec.HorizontalBoards:
		from, to = min(4*measure.Foot, own), own
	case spec.Panels, spec.SplitRail:
		from, to = own, own
	}
	if s.To > 0 {
		from = min(from, s.To)
	}
	s.From = cmp.Or(s.From, from)
	s.To = cmp.Or(s.To, to)
	s.Step = cmp.Or(s.Step, step)
	if len(s.Methods) == 0 {
		s.Methods = Methods()
	}
	return s
}

// Choices lists every choice to try, the narrowest bay first, then by method,
// then each length of stock alone and all of them together. It notes a search
// that makes no sense, or more than MostCandidates.
func (s Search) Choices(v *fault.List, stock []measure.Length) []Choice {
	before := v.Len()
	for field, l := range s.lengths {
		v.Require(l > 0 && l <= measure.MaxLength, field, "expected a length over zero, found %s", l)
	}
	if s.From > 0 && s.To > 0 {
		v.Require(s.To >= s.From, "bay_to", "expected at least bay_from, %s, found %s", s.From.Imperial(), s.To.Imperial())
	}
	for i, m := range s.Methods {
		at := v.At("methods").Index(i)
		at.Require(slices.Contains(Methods(), m), "", "%q is not a method; expected one of %v", m, Methods())
		at.Require(slices.Index(s.Methods, m) == i, "", "expected each method once, found %s again", m)
	}
	if v.Len() > before {
		return nil
	}
	stocks := stocksOf(stock)
	bays := int64((s.To-s.From)/s.Step) + 1
	each := int64(len(s.Methods) * len(stocks))
	if bays > MostCandidates || bays*each > MostCandidates {
		// bays is at most 5e14 and each some hundreds: the product fits.
		v.Add("bay_step", "%d widest bays by %d methods and %d choices of rails.stock are %d candidates; expected at most %d",
			bays, len(s.Methods), len(stocks), bays*each, MostCandidates)
		return nil
	}
	var all []Choice
	for bay := s.From; bay <= s.To; bay += s.Step {
		for _, m := range s.Methods {
			for _, lengths := range stocks {
				all = append(all, Choice{bay, m, lengths})
			}
		}
	}
	return all
}

func (s Search) lengths(yield func(string, measure.Length) bool) {
	_ = yield("bay_from", s.From) && yield("bay_to", s.To) && yield("bay_step", s.Step)
}

// stocksOf is each length alone and, where there are several, all together; a
// fence without any has the one choice of none.
func stocksOf(stock []measure.Length) [][]measure.Length {
	if len(stock) == 0 {
		return [][]measure.Length{nil}
	}
	var all [][]measure.Length
	for _, l := range stock {
		all = append(all, []measure.Length{l})
	}
	if len(stock) > 1 {
		all = append(all, slices.Clone(stock))
	}
	return all
}
