package spec

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Family is a kind of fence.
type Family string

// The families that other packages name. Each is defined in a file of package
// takeoff, with its counting rules; Families lists all.
const (
	VerticalBoards   Family = "vertical-boards"   // boards fastened upright to rails
	HorizontalBoards Family = "horizontal-boards" // boards that lie from post to post
	ChainLink        Family = "chain-link"
	Panels           Family = "panels"
	SplitRail        Family = "split-rail"
	Wire             Family = "wire"
)

// Definition is what a family is, as data: the particulars that only it has,
// its own defaults, and what it cannot be. How it is counted stands beside its
// definition, in package takeoff.
type Definition struct {
	Family Family
	// Title is its name for people: "Chain link".
	Title string
	// Boards and Rails: it hangs the spec's boards, and the spec's rails cut
	// from sticks. One that does not refuses Spec.Boards, or Spec.Rails.
	Boards, Rails bool
	// Details are its own particulars, in the order they are told.
	Details []Detail
	// Fill sets the fields that are still at their zero value to the family's
	// defaults, before the defaults that all families share; details are filled
	// already. Nil: it has none of its own.
	Fill func(*Spec)
	// Check notes what only this family cannot be, of a spec that is filled in
	// and whose details are sound. Nil: nothing.
	Check func(*Spec, *fault.List)
	// Heights are the usual ones, from which the standard catalogue is made, as
	// a tape reads them: "6 ft".
	Heights []string
	// Source says where its defaults come from.
	Source string
}

// definitions are all families. The files that define the others are in package
// takeoff, so that a family is one file: what it is and how it is counted. They
// run when the program starts, before anything reads the map.
var definitions = map[Family]*Definition{
	// The family of a spec that names none; its particulars are the spec's own
	// fields, and its defaults everybody's.
	VerticalBoards: {Family: VerticalBoards, Title: "Vertical boards", Boards: true, Rails: true, Check: checkVertical,
		Details: []Detail{
			{Name: "stock_1", Kind: LengthDetail, Doc: "A length that boards are cut from by a plan. With none, each is bought at boards.stock."},
			{Name: "stock_2", Kind: LengthDetail, Doc: "A second such length."},
			{Name: "stock_3", Kind: LengthDetail, Doc: "A third such length."},
		},
		Heights: []string{"4 ft", "6 ft", "8 ft"}, Source: "common practice"},
}

// checkVertical notes stock that no board is cut from.
func checkVertical(s *Spec, v *fault.List) {
	if board := s.BoardLength(); board > 0 && s.Height <= longestPart {
		for _, name := range sortedKeys(s.Details) {
			if stock := s.Details.Length(name); stock != 0 && stock < board {
				v.At("details").Add(name, "no board of %s is cut from %s", measure.Tape(board), measure.Tape(stock))
			}
		}
	}
}

// Define adds a family. It panics, at the start of the program, where two have
// one name or a detail is not sound in itself.
func Define(d Definition) {
	if d.Family == "" || definitions[d.Family] != nil {
		panic(fmt.Sprintf("family %q is defined twice, or has no name", d.Family))
	}
	for _, x := range d.Details {
		if err := x.sound(); err != nil {
			panic(fmt.Sprintf("family %q: %v", d.Family, err))
		}
	}
	definitions[d.Family] = &d
}

// Families are all families, by name.
func Families() []Family { return slices.Sorted(maps.Keys(definitions)) }

// Definition is the definition of the family, nil where it is not known.
func (f Family) Definition() *Definition { return definitions[f] }

// Title is the family's name for people.
func (f Family) Title() string {
	if d := f.Definition(); d != nil {
		return cmp.Or(d.Title, string(f))
	}
	return string(f)
}

// HasBoards reports whether the spec's family hangs boards; one that is not
// known counts as doing so.
func (s *Spec) HasBoards() bool { d := s.Family.Definition(); return d == nil || d.Boards }

// HasRails reports whether it hangs rails cut from sticks.
func (s *Spec) HasRails() bool { d := s.Family.Definition(); return d == nil || d.Rails }

// detail is the detail of a name, false where the family has none.
func (d *Definition) detail(name string) (Detail, bool) {
	i := slices.IndexFunc(d.Details, func(x Detail) bool { return x.Name == name })
	if i < 0 {
		return Detail{}, false
	}
	return d.Details[i], true
}

func (s *Spec) validateFamily(v *fault.List) {
	d := s.Family.Definition()
	if d == nil {
		v.Add("family", "%q is not known here; expected %s", s.Family, listed(Families()))
		return
	}
	if !d.Boards && s.Boards != (Boards{}) {
		v.Add("boards", "%s has no boards; leave them out", d.Title)
	}
	if !d.Rails && !s.Rails.isZero() {
		v.Add("rails", "%s has no rails of this kind; leave them out", d.Title)
	}
	before := v.Len()
	s.Details.validate(v.At("details"), d)
	if v.Len() == before && d.Check != nil {
		d.Check(s, v)
	}
}
