package rpc

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

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
		if drawBool(t) {
			want.StaleAfterDays = new(rapid.IntRange(0, 400).Draw(t, "days"))
		}
		for range rapid.IntRange(0, 3).Draw(t, "preferred") {
			want.PreferredSuppliers = append(want.PreferredSuppliers, drawText(t))
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
	_, _, err := createQuoteFromProto(t.Context(), request, namedSpec{})
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

func TestSuppliersFromProto(t *testing.T) {
	t.Parallel()
	v := &fault.List{}
	if got := suppliersFromProto(v, nil, false); got != nil {
		t.Errorf("whomever the office prefers: %q", got)
	}
	if got := suppliersFromProto(v, nil, true); got == nil || len(got) > 0 {
		t.Errorf("the cheapest: %q", got)
	}
	if err := v.Err(); err != nil {
		t.Error(err)
	}
	pricingFromProto(v.At("pricing"), &wattlev1.Pricing{CheapestSupplier: true, PreferredSuppliers: []string{"Acre"}})
	if err := v.Err(); err == nil || !strings.Contains(err.Error(), "pricing.cheapest_supplier: expected with no preferred_suppliers, found 1") {
		t.Errorf("both: %v", err)
	}
}
