package rpc

import (
	"reflect"
	"slices"
	"testing"

	"github.com/govalues/decimal"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/arc"
	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

func drawLength(t *rapid.T) measure.Length {
	return measure.Length(rapid.Int64Range(-int64(measure.MaxSiteTotal), int64(measure.MaxSiteTotal)).Draw(t, "length"))
}

func drawOptional[T any](t *rapid.T, draw func(*rapid.T) T) *T {
	if rapid.Bool().Draw(t, "absent") {
		return nil
	}
	v := draw(t)
	return &v
}

func drawLengths(t *rapid.T) []measure.Length {
	var all []measure.Length
	for range rapid.IntRange(0, 3).Draw(t, "lengths") {
		all = append(all, drawLength(t))
	}
	return all
}

func drawDecimal(t *rapid.T) decimal.Decimal {
	return decimal.MustNew(rapid.Int64().Draw(t, "coefficient"), rapid.IntRange(0, 9).Draw(t, "scale")).Trim(0)
}

func drawBool(t *rapid.T) bool { return rapid.Bool().Draw(t, "bool") }

func drawCount(t *rapid.T) int { return rapid.IntRange(0, 1000).Draw(t, "count") }

func drawText(t *rapid.T) string { return rapid.String().Draw(t, "text") }

func drawOf[T any](t *rapid.T, values ...T) T { return rapid.SampledFrom(values).Draw(t, "value") }

func drawSite(t *rapid.T) site.Site {
	side := func() site.Side { return drawOf(t, site.Left, site.Right) }
	terminus := func() site.Terminus {
		end := site.Terminus{TieIn: drawBool(t), LinePostOf: drawText(t)}
		if end.TieIn { // without a wall there is no gap to it
			end.WallGap = drawLength(t)
		}
		return end
	}
	return site.Site{
		Runs: some(t, 0, func() site.Run {
			return site.Run{
				ID: drawText(t), Vertices: some(t, 1, func() measure.Point { return drawPoint(t) }),
				Chords: some(t, 0, func() int { return drawCount(t) }), Closed: drawBool(t),
				Start: terminus(), End: terminus(), Face: side(),
				Gates: some(t, 0, func() site.Gate {
					return site.Gate{
						ID: drawText(t), Station: drawLength(t), Width: drawLength(t), Leaves: drawOf(t, 1, 2),
						Hinge: drawOf(t, site.HingeStart, site.HingeFinish), Swing: side(), Slides: drawBool(t),
					}
				}),
				Ground: some(t, 0, func() site.GroundPoint { return site.GroundPoint{Station: drawLength(t), Elevation: drawLength(t)} }),
				KeepOuts: some(t, 0, func() site.KeepOut {
					return site.KeepOut{ID: drawText(t), From: drawLength(t), To: drawLength(t)}
				}),
				Pins: some(t, 0, func() site.Pin { return site.Pin{Station: drawLength(t), Existing: drawBool(t)} }),
				Slopes: some(t, 0, func() site.SlopePart {
					return site.SlopePart{From: drawLength(t), To: drawLength(t), Stepped: drawBool(t)}
				}),
				Neighbours: some(t, 0, func() site.Neighbour {
					return site.Neighbour{From: drawLength(t), To: drawLength(t), Side: side(), Gap: drawLength(t)}
				}),
			}
		}),
		Obstacles: some(t, 0, func() site.Obstacle {
			return site.Obstacle{ID: drawText(t), Path: some(t, 1, func() measure.Point { return drawPoint(t) }), Clearance: drawLength(t)}
		}),
		Conditions: drawConditions(t),
	}
}

func drawDate(t *rapid.T) civil.Date {
	return civil.Must("2026-03-01").AddDays(rapid.IntRange(0, 1000).Draw(t, "days"))
}

func drawConditions(t *rapid.T) site.Conditions {
	return site.Conditions{
		SoilClass: drawCount(t), Unsuitable: drawBool(t),
		Digging: drawText(t), Access: drawText(t), Grade: drawText(t), Season: drawText(t),
		Wind: site.Wind{Speed: drawCount(t), Exposure: drawText(t), Topography: drawDecimal(t), Flat: drawDecimal(t)},
		TearOut: some(t, 0, func() site.OldFence {
			return site.OldFence{
				Length: drawLength(t), Height: drawLength(t), Footings: drawCount(t), PoundsPerFoot: drawDecimal(t),
				CubicFeetPerFoot: drawDecimal(t), FootingPounds: drawDecimal(t), FootingCubicFeet: drawDecimal(t),
			}
		}),
		Pool: drawOptional(t, func(t *rapid.T) site.Pool {
			return site.Pool{
				BottomGap: drawOptional(t, drawLength), OverDeck: drawBool(t), LargestGap: drawOptional(t, drawLength),
				RailsInside: drawOptional(t, drawBool), RailsApart: drawOptional(t, drawLength),
				Mesh: drawOptional(t, drawLength), Slatted: drawBool(t), OpensOutward: drawOptional(t, drawBool),
				SelfClosing: drawOptional(t, drawBool), SelfLatching: drawOptional(t, drawBool),
				LatchHeight: drawOptional(t, drawLength), LatchInside: drawOptional(t, drawBool),
				LatchBelowTop: drawOptional(t, drawLength), LatchOpening: drawOptional(t, drawLength),
				MinHeight: drawLength(t), MaxMesh: drawLength(t),
			}
		}),
		Footing:      site.Footing{PoleFactor: drawBool(t), Bearing: drawDecimal(t), FixedS1: drawDecimal(t)},
		PostStrength: site.PostStrength{Species: drawText(t), Grade: drawText(t), Fb: drawDecimal(t), Source: drawText(t)},
		RailSpan:     drawLength(t),
		Sights: some(t, 0, func() site.Sight {
			return site.Sight{
				Name: drawText(t), Corners: [3]measure.Point{drawPoint(t), drawPoint(t), drawPoint(t)}, MaxHeight: drawLength(t),
			}
		}),
		Yard: site.Yard{Name: drawText(t), MaxHeight: drawLength(t), PermitOver: drawLength(t)},
		Notice: drawOptional(t, func(t *rapid.T) site.Notice {
			return site.Notice{Rule: drawText(t), Given: drawDate(t), Hour: drawCount(t), Holidays: some(t, 0, func() civil.Date { return drawDate(t) })}
		}),
	}
}

func drawPoint(t *rapid.T) measure.Point {
	return measure.Point{East: drawLength(t), North: drawLength(t)}
}

// some draws from least to three more of a thing; nil for none.
func some[T any](t *rapid.T, least int, draw func() T) []T {
	var all []T
	for range rapid.IntRange(least, least+3).Draw(t, "some") {
		all = append(all, draw())
	}
	return all
}

// Every field of what is drawn is drawn: one that is forgotten would be zero in
// all of many draws.
func TestDrawingsMissNoField(t *testing.T) {
	drawn := map[string]bool{}
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		drawn[path] = drawn[path] || !v.IsZero()
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				if f := v.Type().Field(i); f.IsExported() {
					walk(path+"."+f.Name, v.Field(i))
				}
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(path+"[]", v.Index(i))
			}
		case reflect.Pointer:
			if !v.IsNil() {
				walk(path+"*", v.Elem())
			}
		default:
		}
	}
	sites, specs := rapid.Custom(drawSite), rapid.Custom(drawSpec)
	for seed := range 100 {
		walk("site", reflect.ValueOf(sites.Example(seed)))
		walk("spec", reflect.ValueOf(specs.Example(seed)))
	}
	for path, ever := range drawn {
		if !ever {
			t.Errorf("%s is never drawn", path)
		}
	}
}

func drawAngle(t *rapid.T) measure.Angle {
	return measure.Angle(rapid.Int64Range(-int64(360*measure.Degree), int64(360*measure.Degree)).Draw(t, "angle"))
}

func drawSpec(t *rapid.T) spec.Spec {
	s := spec.Spec{
		Name: drawText(t), Family: spec.Family(drawText(t)), Height: drawLength(t),
		GroundClearance: drawOptional(t, drawLength),
		CornerAngle:     drawAngle(t),
		Access:          drawOptional(t, drawLength),
		Alignment: spec.Alignment{
			Rules: drawOf(t, append(spec.RuleSets(), "")...), Above: drawOptional(t, drawBool),
			AnchorAngle: drawAngle(t), ConcreteAngle: drawAngle(t), PullSpacing: drawLength(t), GradeBreak: drawAngle(t),
		},
		Slope: spec.Slope{
			Mode: drawOf(t, "", spec.Racked, spec.Stepped), RailEnds: drawOf(t, "", spec.SquareEnds, spec.PlumbEnds),
			MaxRack: drawLength(t), AlongGrade: drawOptional(t, drawBool), MaxGroundGap: drawOptional(t, drawLength),
			Fill: drawOf(t, "", spec.LongerBoards, spec.KickBoard, spec.Refuse, spec.LeaveOpen), KickSize: drawOf(t, "", timber.Size("2x8")),
		},
		Curves: some(t, 0, func() arc.Limit { return arc.Limit{Radius: drawLength(t), Spacing: drawLength(t)} }),
		Layout: spec.Layout{
			Method: drawOf(t, "", spec.Even, spec.Remainder, spec.Feathered), MaxBay: drawLength(t), RailStock: drawLength(t),
			TerminalLimit: drawOptional(t, drawBool), ShortEnd: drawOf(t, "", spec.Finish, spec.Start, spec.Both),
			Feather: drawCount(t), MinBay: drawOptional(t, drawLength),
			Hang: drawOf(t, "", spec.Lapped, spec.Between, spec.Free), Insertion: drawLength(t), BracketGap: drawLength(t),
		},
		Posts: spec.Posts{
			Size: section.Section(drawText(t)), TerminalSize: section.Section(drawText(t)), GateSize: section.Section(drawText(t)), Stock: drawLengths(t),
			AboveBoards: drawLength(t), Caps: drawOptional(t, drawBool),
		},
		Holes: spec.Holes{
			MinDepth: drawLength(t), ByHeight: drawOptional(t, drawBool), FrostDepth: drawLength(t), FrostMargin: drawLength(t),
			Gravel: drawOptional(t, drawLength), Float: drawLength(t), Diameter: drawLength(t), GateExtraDepth: drawOptional(t, drawLength),
			Rules: drawText(t), TerminalDiameter: drawLength(t), TerminalDepth: drawLength(t),
		},
		Concrete: spec.Concrete{
			Set: drawOf(t, "", spec.WetSet, spec.DrySet, spec.NoSet, spec.Driven), BagPounds: drawCount(t), YieldPerPound: drawDecimal(t),
			StopBelowGrade: drawLength(t), Crown: drawLength(t),
		},
		Rails: spec.Rails{
			Size: drawOf(t, "", timber.Size("2x4")), Count: drawCount(t), TopReveal: drawOptional(t, drawLength),
			BottomReveal: drawOptional(t, drawLength), Stock: drawLengths(t), MaxSpan: drawCount(t),
		},
		Boards: spec.Boards{
			Size: drawOf(t, "", timber.Size("1x6")), Width: drawLength(t), Thickness: drawLength(t), Gap: drawLength(t),
			MinRip: drawOptional(t, drawLength), MaxGap: drawLength(t),
			StartAt: drawOf(t, "", spec.StartVisible, spec.StartLow, spec.StartHigh), Stock: drawLength(t), Overlap: drawLength(t),
			Pattern: drawOf(t, "", spec.SideBySide, spec.Spaced, spec.BoardOnBoard, spec.ShadowBox),
		},
		Fasteners: spec.Fasteners{
			BoardNail: drawText(t), RailNail: drawText(t), PerBoardPerRail: drawCount(t), PerRailEnd: drawCount(t),
			ScrewsPerRailEnd: drawCount(t), Coating: drawOf(t, "", spec.HotDip, spec.Stainless, spec.Bright),
		},
		Gates: spec.Gates{
			HingeGap: drawOptional(t, drawLength), LatchGap: drawOptional(t, drawLength), CentreGap: drawOptional(t, drawLength),
			HingesPerLeaf: drawCount(t), Frame: drawOf(t, "", spec.WoodFrame, spec.SteelFrame, spec.MeshFrame), FrameSize: section.Section(drawText(t)),
		},
		Labour: spec.Labour{
			Exclude: drawBool(t), By: drawOf(t, "", spec.ByFence, spec.ByTasks), Crew: drawCount(t), HoursPerDay: drawDecimal(t),
			Equipment: some(t, 0, func() string { return drawText(t) }),
		},
		Extras: spec.Extras{
			CapBoard: timber.Size(drawText(t)), Trim: timber.Size(drawText(t)), TrimSides: drawCount(t), KickBoard: timber.Size(drawText(t)),
			Lattice: drawLength(t), LatticeLength: drawLength(t), Stock: drawLengths(t),
			Stain: spec.Stain{Coats: drawCount(t), Coverage: drawDecimal(t), Sides: drawCount(t), Edges: drawBool(t)},
		},
		Moisture: spec.Moisture{
			Species: drawText(t), Installed: drawText(t), Service: drawText(t),
			Temperature: drawOptional(t, drawDecimal), Humidity: drawOptional(t, drawDecimal), ApplyGap: drawBool(t),
		},
		Waste: spec.Waste{
			Boards: drawOptional(t, drawDecimal), Rails: drawOptional(t, drawDecimal), Concrete: drawOptional(t, drawDecimal),
			Gravel: drawOptional(t, drawDecimal), Fasteners: drawOptional(t, drawDecimal),
		},
		Kerf: drawOptional(t, drawLength),
	}
	if rapid.Bool().Draw(t, "maps") {
		s.Items = map[string]string{drawText(t): drawText(t)}
		s.Fasteners.NailsPerPound = map[string]int{drawText(t): drawCount(t)}
		s.Details = spec.Details{drawText(t): drawText(t)}
	}
	return s
}

// overTheWire is m as the other side gets it.
func overTheWire[M proto.Message](t *rapid.T, m M) M {
	t.Helper()
	b, err := proto.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	back, ok := m.ProtoReflect().New().Interface().(M)
	if !ok {
		t.Fatalf("%T is not made of itself", m)
	}
	if err := proto.Unmarshal(b, back); err != nil {
		t.Fatal(err)
	}
	return back
}

func TestSiteRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawSite(t)
		got, err := JobFromProto(&wattlev1.PlanLayoutRequest{Site: overTheWire(t, SiteToProto(want)), Spec: &wattlev1.Spec{}})
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got.Site, want) {
			t.Fatalf("got  %+v\nwant %+v", got.Site, want)
		}
		if got.echo() != nil {
			t.Fatal("local coordinates are told back as another form")
		}
	})
}

func TestSpecRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want, v := drawSpec(t), &fault.List{}
		got := SpecFromProto(v, overTheWire(t, SpecToProto(want)))
		if err := v.Err(); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
	})
}

func TestDefaultedSpecRoundTrip(t *testing.T) {
	want, v := spec.Spec{Height: 6 * measure.Foot}.WithDefaults(), &fault.List{}
	got := SpecFromProto(v, SpecToProto(want))
	if err := v.Err(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v; got\n%+v\nwant\n%+v", err, got, want)
	}
	if again := got.WithDefaults(); !reflect.DeepEqual(again, want) {
		t.Error("an echoed spec, sent again, is another spec")
	}
}

func TestPricingRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := quote.Pricing{
			OverheadPercent: drawDecimal(t), Profit: drawOf(t, "", quote.Markup, quote.Margin), ProfitPercent: drawDecimal(t),
			Tax: quote.Tax{
				Percent: drawDecimal(t), Basis: drawOf(t, "", quote.OnPrice, quote.OnMaterialCost),
				Rounding: drawOf(t, append(money.Roundings(), "")...), PerLine: drawBool(t),
			},
		}
		for range rapid.IntRange(0, 3).Draw(t, "kinds") {
			want.Tax.Kinds = append(want.Tax.Kinds, drawOf(t, quote.Kinds()...))
		}
		v := &fault.List{}
		got := pricingFromProto(v, overTheWire(t, pricingToProto(want)))
		if err := v.Err(); err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%v; got %+v, want %+v", err, got, want)
		}
	})
}

func TestCustomLinesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var want []quote.CustomLine
		for range rapid.IntRange(0, 3).Draw(t, "lines") {
			want = append(want, quote.CustomLine{Description: drawText(t), Kind: drawOf(t, quote.Kinds()...), Amount: drawDecimal(t)})
		}
		v := &fault.List{}
		got := customLinesFromProto(v, customLinesToProto(want, amounts{}))
		if err := v.Err(); err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%v; got %+v, want %+v", err, got, want)
		}
	})
}

// Every wire value but the unspecified one has its own domain value, and no
// value of a listed domain set is without one.
func TestPairsAreComplete(t *testing.T) {
	complete(t, sides, wattlev1.Side(0))
	complete(t, hinges, wattlev1.Gate_Hinge(0))
	complete(t, methods, wattlev1.Spec_Layout_Method(0))
	complete(t, ends, wattlev1.Spec_Layout_End(0))
	complete(t, settings, wattlev1.Spec_Concrete_Setting(0))
	complete(t, startSides, wattlev1.Spec_Boards_StartSide(0))
	complete(t, hangs, wattlev1.Spec_Layout_Hang(0))
	complete(t, patterns, wattlev1.Spec_Boards_Pattern(0))
	complete(t, coatings, wattlev1.Spec_Fasteners_Coating(0))
	complete(t, frames, wattlev1.Spec_Gates_Frame(0))
	complete(t, countedBy, wattlev1.Spec_Labour_By(0))
	complete(t, detailKinds, wattlev1.Family_Kind(0))
	complete(t, outcomes, wattlev1.Check_Outcome(0), check.Outcomes()...)
	complete(t, slopeModes, wattlev1.SlopeMode(0), spec.Racked, spec.Stepped)
	complete(t, railEnds, wattlev1.Spec_Slope_RailEnds(0), spec.SquareEnds, spec.PlumbEnds)
	complete(t, fills, wattlev1.Spec_Slope_Fill(0), spec.LongerBoards, spec.KickBoard, spec.Refuse, spec.LeaveOpen)
	complete(t, roles, wattlev1.Post_Role(0), layout.Roles()...)
	complete(t, modes, wattlev1.ImportPricesRequest_Mode(0), book.Patch, book.Replace)
	complete(t, entryStates, wattlev1.PriceEntry_State(0), book.Priced, book.Withdrawn, book.Inherit)
	complete(t, changeKinds, wattlev1.PriceChange_Kind(0))
	complete(t, lineKinds, wattlev1.LineKind(0), quote.Kinds()...)
	complete(t, profits, wattlev1.Pricing_Profit(0))
	complete(t, taxBases, wattlev1.Tax_Basis(0))
	complete(t, papers, wattlev1.Paper(0))
	complete(t, roundings, wattlev1.Tax_Rounding(0), money.Roundings()...)
}

func complete[P interface {
	~int32
	protoreflect.Enum
}, D comparable](t *testing.T, set pairs[P, D], unspecified P, all ...D) {
	t.Helper()
	values := unspecified.Descriptor().Values()
	for i := range values.Len() {
		n := P(values.Get(i).Number())
		d, ok := set.domain[n]
		if ok != (n != 0) {
			t.Errorf("%s: in the table: %t", values.Get(i).FullName(), ok)
		}
		if ok && set.wire[d] != n {
			t.Errorf("%s shares its domain value %v", values.Get(i).FullName(), d)
		}
	}
	for _, d := range all {
		if _, ok := set.wire[d]; !ok {
			t.Errorf("%v (%T) has no wire value", d, d)
		}
	}
}

func TestWhatCannotBeReadIsListedByPath(t *testing.T) {
	request := &wattlev1.CreateQuoteRequest{
		Currency: "usd", AsOf: "2026-3-1",
		Site: &wattlev1.Site{Runs: []*wattlev1.Run{{
			Vertices: []*wattlev1.Vertex{{East: "0 ft", North: "0 ft"}, {East: "12", North: "3 furlongs"}},
			End:      &wattlev1.Terminus{WallGap: "near"},
			Gates:    []*wattlev1.Gate{{Station: "4 ft", Width: "wide"}},
			Ground:   []*wattlev1.GroundPoint{{Station: "0", Elevation: "NaN"}},
			KeepOuts: []*wattlev1.KeepOut{{From: "1", To: "2"}}, Pins: []*wattlev1.Pin{{Station: "3"}},
			Slopes:     []*wattlev1.SlopePart{{From: "4", To: "5"}},
			Neighbours: []*wattlev1.Neighbour{{From: "6", To: "7", Gap: "8"}},
		}}, Obstacles: []*wattlev1.Obstacle{{Path: []*wattlev1.Vertex{{East: "9", North: "10"}}, Clearance: "11"}}, Conditions: &wattlev1.Conditions{
			Wind:    &wattlev1.Conditions_Wind{Topography: "flat", Flat: "1e1"},
			TearOut: []*wattlev1.Conditions_OldFence{{Length: "21", Height: "22", PoundsPerFoot: "a", CubicFeetPerFoot: "b", FootingPounds: "c", FootingCubicFeet: "d"}},
			Pool: &wattlev1.Conditions_Pool{
				BottomGap: new("23"), LargestGap: new("24"), RailsApart: new("25"), Mesh: new("26"),
				LatchHeight: new("27"), LatchBelowTop: new("28"), LatchOpening: new("29"),
				MinHeight: "41", MaxMesh: "42",
			},
			Yard:         &wattlev1.Conditions_Yard{MaxHeight: "30", PermitOver: "32"},
			Footing:      &wattlev1.Conditions_Footing{Bearing: "e", FixedS1: "f"},
			PostStrength: &wattlev1.Conditions_PostStrength{Fb: "g"}, RailSpan: "43",
			Sights: []*wattlev1.Conditions_Sight{{
				Corners:   []*wattlev1.Vertex{{East: "44", North: "45"}, {East: "0 ft", North: "0 ft", Elevation: "1 ft", Arc: &wattlev1.Arc{}}},
				MaxHeight: "46",
			}},
			Notice: &wattlev1.Conditions_Notice{Given: "today", Holidays: []string{"2026-07-03", "2026-7-4"}},
		}},
		Spec: &wattlev1.Spec{
			Height: "6", Kerf: new("1/3 in"), CornerAngle: "10",
			Posts: &wattlev1.Spec_Posts{Stock: []string{"8 ft", "ten"}},
			Waste: &wattlev1.Spec_Waste{Boards: new("5%")}, Access: new("12"),
			Layout:    &wattlev1.Spec_Layout{Insertion: "33", BracketGap: "34"},
			Holes:     &wattlev1.Spec_Holes{TerminalDiameter: "0 in", TerminalDepth: "35"},
			Boards:    &wattlev1.Spec_Boards{Overlap: "36"},
			Labour:    &wattlev1.Spec_Labour{HoursPerDay: "eight"},
			Extras:    &wattlev1.Spec_Extras{Lattice: "37", LatticeLength: "38", Stock: []string{"39"}, Stain: &wattlev1.Spec_Stain{Coverage: "40 ft2"}},
			Moisture:  &wattlev1.Spec_Moisture{Temperature: new("20 C"), Humidity: new("65 %")},
			Alignment: &wattlev1.Spec_Alignment{AnchorAngle: "13", ConcreteAngle: "0 deg", PullSpacing: "15", GradeBreak: "16"},
			Slope:     &wattlev1.Spec_Slope{MaxRack: "17", MaxGroundGap: new("18")},
			Curves:    []*wattlev1.Spec_Curve{{Radius: "19", Chord: "20"}},
		},
		CustomLines: []*wattlev1.CustomLine{{Amount: "1e3"}},
		Pricing:     &wattlev1.Pricing{OverheadPercent: "ten", Tax: &wattlev1.Tax{Percent: "6,25"}},
	}
	_, _, err := createQuoteFromProto(request, namedSpec{})
	want := []string{
		"currency", "as_of",
		"site.runs[0].end.wall_gap", "site.runs[0].gates[0].width",
		"site.runs[0].keep_outs[0].from", "site.runs[0].keep_outs[0].to", "site.runs[0].pins[0].station",
		"site.runs[0].slopes[0].from", "site.runs[0].slopes[0].to",
		"site.runs[0].neighbours[0].from", "site.runs[0].neighbours[0].to", "site.runs[0].neighbours[0].gap",
		"site.runs[0].vertices[1].east", "site.runs[0].vertices[1].north",
		"site.runs[0].ground[0].station", "site.runs[0].ground[0].elevation",
		"site.obstacles[0].clearance", "site.obstacles[0].path[0].east", "site.obstacles[0].path[0].north",
		"site.conditions.wind.topography", "site.conditions.wind.flat", "site.conditions.footing.bearing",
		"site.conditions.footing.fixed_s1", "site.conditions.post_strength.fb", "site.conditions.rail_span",
		"site.conditions.tear_out[0].length", "site.conditions.tear_out[0].height", "site.conditions.tear_out[0].pounds_per_foot",
		"site.conditions.tear_out[0].cubic_feet_per_foot", "site.conditions.tear_out[0].footing_pounds", "site.conditions.tear_out[0].footing_cubic_feet",
		"site.conditions.pool.bottom_gap", "site.conditions.pool.largest_gap", "site.conditions.pool.rails_apart", "site.conditions.pool.mesh",
		"site.conditions.pool.latch_height", "site.conditions.pool.latch_below_top", "site.conditions.pool.latch_opening",
		"site.conditions.pool.min_height", "site.conditions.pool.max_mesh", "site.conditions.yard.max_height", "site.conditions.yard.permit_over",
		"site.conditions.sights[0].max_height", "site.conditions.sights[0].corners",
		"site.conditions.sights[0].corners[0].east", "site.conditions.sights[0].corners[0].north",
		"site.conditions.sights[0].corners[1].elevation", "site.conditions.sights[0].corners[1].arc",
		"site.conditions.notice.given", "site.conditions.notice.holidays[1]",
		"spec.height", "spec.corner_angle", "spec.access",
		"spec.alignment.anchor_angle", "spec.alignment.concrete_angle", "spec.alignment.pull_spacing", "spec.alignment.grade_break",
		"spec.slope.max_rack", "spec.slope.max_ground_gap", "spec.curves[0].radius", "spec.curves[0].chord",
		"spec.layout.insertion", "spec.layout.bracket_gap", "spec.posts.stock[1]",
		"spec.holes.terminal_diameter", "spec.holes.terminal_depth", "spec.boards.overlap", "spec.labour.hours_per_day", "spec.waste.boards",
		"spec.extras.lattice", "spec.extras.lattice_length", "spec.extras.stock[0]", "spec.extras.stain.coverage",
		"spec.moisture.temperature", "spec.moisture.humidity", "spec.kerf",
		"custom_lines[0].amount", "pricing.overhead_percent", "pricing.tax.percent",
	}
	if got := fieldsOf(err); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// fieldsOf are the field paths of an error's violations.
func fieldsOf(err error) []string {
	e := faultOf(err)
	if e == nil {
		return nil
	}
	fields := make([]string, len(e.Violations))
	for i, v := range e.Violations {
		fields[i] = v.Field
	}
	return fields
}
