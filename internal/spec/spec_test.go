package spec

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/timber"
)

const (
	in = measure.Inch
	ft = measure.Foot
)

func sixFoot() Spec { return Spec{Name: "six foot", Height: 6 * ft} }

// wrong is everything wrong with a spec once filled in, a line each.
func wrong(s Spec) []string {
	v := new(fault.List)
	new(s.WithDefaults()).Validate(v.At("spec"))
	new(s.WithDefaults()).ValidateSense(v.At("spec"))
	err, ok := errors.AsType[*fault.Error](v.Err())
	if !ok {
		return nil
	}
	var lines []string
	for _, x := range err.Violations {
		lines = append(lines, x.Field+": "+x.Description)
	}
	return lines
}

// A height is all that has to be said.
func TestDefaults(t *testing.T) {
	s := sixFoot().WithDefaults()
	if w := wrong(sixFoot()); w != nil {
		t.Errorf("a spec of defaults is wrong:\n%s", strings.Join(w, "\n"))
	}
	percent := func(p *decimal.Decimal) string { return p.String() }
	for _, c := range []struct {
		name      string
		got, want any
	}{
		{"family", s.Family, VerticalBoards},
		{"ground clearance", *s.GroundClearance, 2 * in},
		{"corner angle", s.CornerAngle, 10 * measure.Degree},
		{"method", s.Layout.Method, Even},
		{"max bay", s.Layout.MaxBay, 8 * ft},
		{"rail stock", s.Layout.RailStock, 8 * ft},
		{"terminal limit", *s.Layout.TerminalLimit, true},
		{"short end", s.Layout.ShortEnd, Finish},
		{"feather, not asked for", s.Layout.Feather, 0},
		{"min bay", *s.Layout.MinBay, 32 * in},
		{"post", s.Posts.Size, section.Section("4x4")},
		{"gate post, by rule", s.Posts.GateSize, section.Section("")},
		{"post stock", s.Posts.Stock, []measure.Length{8 * ft, 10 * ft, 12 * ft}},
		{"post top", s.PostTop(), 6 * ft},
		{"caps", *s.Posts.Caps, true},
		{"by height", *s.Holes.ByHeight, true},
		{"gravel", *s.Holes.Gravel, 6 * in},
		{"diameter", s.Holes.Diameter, 12 * in},
		{"gate extra depth", *s.Holes.GateExtraDepth, 6 * in},
		{"set", s.Concrete.Set, WetSet},
		{"bag", s.Concrete.BagPounds, 80},
		{"yield [CON-1]", s.Concrete.YieldPerPound.String(), "0.0075"},
		{"rail", s.Rails.Size, timber.Size("2x4")},
		{"rails", s.RailCount(), 3},
		{"top reveal", *s.Rails.TopReveal, 6 * in},
		{"bottom reveal", *s.Rails.BottomReveal, 6 * in},
		{"rail stock lengths", s.Rails.Stock, []measure.Length{8 * ft, 12 * ft, 16 * ft}},
		{"board", s.Boards.Size, timber.Size("1x6")},
		{"board width [LUM-1]", s.Boards.Width, in * 11 / 2},
		{"board thickness [LUM-1]", s.Boards.Thickness, in * 3 / 4},
		{"gap", s.Boards.Gap, measure.Length(0)},
		{"min rip", *s.Boards.MinRip, in * 3 / 2},
		{"start at", s.Boards.StartAt, StartVisible},
		{"board length", s.BoardLength(), 70 * in},
		{"board stock", s.Boards.Stock, 6 * ft},
		{"board nail [FAS-2]", s.Fasteners.BoardNail, "8d"},
		{"rail nail", s.Fasteners.RailNail, "16d"},
		{"per board per rail [FAS-3]", s.Fasteners.PerBoardPerRail, 2},
		{"per rail end", s.Fasteners.PerRailEnd, 2},
		{"nails per pound [FAS-1]", s.Fasteners.NailsPerPound, map[string]int{"6d": 181, "8d": 106, "10d": 69, "12d": 63, "16d": 49, "20d": 31}},
		{"hinge gap", *s.Gates.HingeGap, in / 2},
		{"latch gap", *s.Gates.LatchGap, in / 2},
		{"centre gap", *s.Gates.CentreGap, in},
		{"hinges", s.HingesPerLeaf(), 3},
		{"waste", []string{percent(s.Waste.Boards), percent(s.Waste.Rails), percent(s.Waste.Concrete), percent(s.Waste.Gravel), percent(s.Waste.Fasteners)},
			[]string{"5", "0", "0", "10", "5"}},
		{"kerf", *s.Kerf, in / 8},
	} {
		if !reflect.DeepEqual(c.got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	feathered := Spec{Layout: Layout{Method: Feathered}}.WithDefaults()
	if feathered.Layout.Feather != 2 {
		t.Errorf("feather: %d, want 2", feathered.Layout.Feather)
	}
}

// What is given stays, zero included where zero means something; what is shared
// with the caller is copied; filling in twice changes nothing.
func TestDefaultsKeepAndCopy(t *testing.T) {
	zero, no := measure.Length(0), false
	none := decimal.Decimal{}
	s := sixFoot()
	s.GroundClearance, s.Kerf, s.Boards.MinRip, s.Layout.MinBay = &zero, &zero, &zero, &zero
	s.Holes.Gravel, s.Layout.TerminalLimit, s.Posts.Caps, s.Waste.Boards = &zero, &no, &no, &none
	s.Posts.Stock = []measure.Length{9 * ft, 11 * ft}
	s.Fasteners.NailsPerPound = map[string]int{"8d": 100}
	s.Items = map[string]string{"board-1x6": "CEDAR16"}
	filled := s.WithDefaults()
	if *filled.GroundClearance != 0 || *filled.Kerf != 0 || *filled.Layout.MinBay != 0 || *filled.Layout.TerminalLimit || *filled.Posts.Caps || !filled.Waste.Boards.IsZero() {
		t.Errorf("a given zero was filled in: %+v", filled)
	}
	if filled.Fasteners.NailsPerPound["8d"] != 100 || filled.Fasteners.NailsPerPound["16d"] != 49 {
		t.Errorf("nails per pound: %v", filled.Fasteners.NailsPerPound)
	}
	if again := filled.WithDefaults(); !reflect.DeepEqual(again, filled) {
		t.Errorf("filling in twice:\n%+v\n%+v", filled, again)
	}

	*filled.GroundClearance, *filled.Layout.TerminalLimit, filled.Posts.Stock[0] = 1, true, 1
	filled.Fasteners.NailsPerPound["8d"], filled.Items["board-1x6"] = 1, ""
	if zero != 0 || no || s.Posts.Stock[0] != 9*ft || s.Fasteners.NailsPerPound["8d"] != 100 || len(s.Fasteners.NailsPerPound) != 1 || s.Items["board-1x6"] != "CEDAR16" {
		t.Errorf("the filled spec shares what it was made from: %+v", s)
	}
}

// Every pointer, map and list of a filled spec is there, so that no reader has
// to ask.
func TestDefaultsLeaveNothingNil(t *testing.T) {
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			if v.Type() == reflect.TypeFor[decimal.Decimal]() {
				return
			}
			if t := v.Type(); t == reflect.TypeFor[Extras]() || t == reflect.TypeFor[Moisture]() || t == reflect.TypeFor[Labour]() {
				return // options: what is not asked for stays away
			}
			for i := range v.NumField() {
				walk(path+"."+v.Type().Field(i).Name, v.Field(i))
			}
		case reflect.Pointer, reflect.Slice:
			if v.IsNil() {
				t.Errorf("%s is nil", path)
			}
		default:
		}
	}
	walk("Spec", reflect.ValueOf(Spec{}.WithDefaults()))
}

// A bay's rail is cut from a stick that can be bought: the shortest that
// reaches over the widest bay, or as long as that bay where none does.
func TestRailStockDefault(t *testing.T) {
	for _, c := range []struct {
		bay   measure.Length
		stock []measure.Length
		want  measure.Length
	}{
		{6 * ft, nil, 8 * ft},
		{8 * ft, nil, 8 * ft},
		{10 * ft, nil, 12 * ft},
		{18 * ft, nil, 18 * ft},
		{6 * ft, []measure.Length{6 * ft, 8 * ft}, 6 * ft},
		{8 * ft, []measure.Length{6 * ft, 10 * ft}, 10 * ft},
	} {
		s := sixFoot()
		s.Layout.MaxBay, s.Rails.Stock = c.bay, c.stock
		if got := s.WithDefaults().Layout.RailStock; got != c.want {
			t.Errorf("bays of %s from %v: %s, want %s", c.bay, c.stock, got, c.want)
		}
	}
}
