package rpc

import (
	"testing"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// hurdles is a family that no spec can name, with a detail of every kind.
func hurdles() *spec.Definition {
	return &spec.Definition{
		Family: "hurdles", Title: "Hurdles", Heights: []string{"4 ft"}, Source: "our own",
		Details: []spec.Detail{
			{Name: "weave", Kind: spec.ChoiceDetail, Doc: "How rods are woven.", Default: "close", Choices: []string{"close", "open"}},
			{Name: "rod", Kind: spec.LengthDetail, Doc: "The length of a rod.", By: func(s *spec.Spec) string { return s.Height.String() }, Least: "1 ft", Most: "12 ft"},
			{Name: "stakes", Kind: spec.CountDetail, Doc: "Stakes in a hurdle.", Default: "10", Least: "2"},
			{Name: "slack", Kind: spec.NumberDetail, Doc: "Slack in percent.", Default: "2.5", Most: "10"},
			{Name: "capped", Kind: spec.SwitchDetail, Doc: "A rod on the top.", Default: "false"},
			{Name: "frame", Kind: spec.SizeDetail, Doc: "The frame."},
			{Name: "pole", Kind: spec.SectionDetail, Doc: "The pole.", Default: "4rd", Source: "our own"},
		},
	}
}

func TestFamilyToProto(t *testing.T) {
	kind := func(k wattlev1.Family_Kind, d *wattlev1.Family_Detail) *wattlev1.Family_Detail { d.Kind = k; return d }
	want := &wattlev1.Family{
		Name: "hurdles", Title: "Hurdles", Source: "our own", Heights: []string{"4 ft"},
		Details: []*wattlev1.Family_Detail{
			kind(wattlev1.Family_KIND_CHOICE, &wattlev1.Family_Detail{Name: "weave", Doc: "How rods are woven.", DefaultValue: "close", Choices: []string{"close", "open"}}),
			kind(wattlev1.Family_KIND_LENGTH, &wattlev1.Family_Detail{Name: "rod", Doc: "The length of a rod.", DefaultVaries: true, Least: "1 ft", Most: "12 ft"}),
			kind(wattlev1.Family_KIND_COUNT, &wattlev1.Family_Detail{Name: "stakes", Doc: "Stakes in a hurdle.", DefaultValue: "10", Least: "2"}),
			kind(wattlev1.Family_KIND_NUMBER, &wattlev1.Family_Detail{Name: "slack", Doc: "Slack in percent.", DefaultValue: "2.5", Most: "10"}),
			kind(wattlev1.Family_KIND_SWITCH, &wattlev1.Family_Detail{Name: "capped", Doc: "A rod on the top.", DefaultValue: "false"}),
			kind(wattlev1.Family_KIND_SIZE, &wattlev1.Family_Detail{Name: "frame", Doc: "The frame."}),
			kind(wattlev1.Family_KIND_SECTION, &wattlev1.Family_Detail{Name: "pole", Doc: "The pole.", DefaultValue: "4rd", Source: "our own"}),
		},
	}
	if got := familyToProto(hurdles()); !proto.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func TestListFamilies(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	answer, err := wattlev1.NewCatalogServiceClient(conn).ListFamilies(t.Context(), &wattlev1.ListFamiliesRequest{})
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string]*wattlev1.Family{}
	for _, f := range answer.GetFamilies() {
		byName[f.GetName()] = f
		for _, d := range f.GetDetails() {
			if d.GetKind() == wattlev1.Family_KIND_UNSPECIFIED {
				t.Errorf("%s: detail %s is of no kind", f.GetName(), d.GetName())
			}
		}
	}
	if len(byName) != len(spec.Families()) {
		t.Errorf("%d families, expected %v", len(byName), spec.Families())
	}
	if vertical := byName["vertical-boards"]; !vertical.GetBoards() || !vertical.GetRails() || len(vertical.GetHeights()) == 0 {
		t.Errorf("vertical boards: %v", vertical)
	}
}

// What a spec of any family is answered as, its defaults filled, can be sent
// again and is the same spec: a part that the family refuses is left out.
func TestEveryFamilysSpecComesBack(t *testing.T) {
	for _, family := range spec.Families() {
		for _, height := range family.Definition().Heights {
			want := spec.Spec{Family: family, Height: measure.Must(height)}.WithDefaults()
			v := &fault.List{}
			want.Validate(v)
			got := SpecFromProto(v, SpecToProto(want)).WithDefaults()
			got.Validate(v)
			if err := v.Err(); err != nil {
				t.Errorf("%s, %s: %v", family, height, err)
			}
			if !proto.Equal(SpecToProto(got), SpecToProto(want)) {
				t.Errorf("%s, %s: got\n%v\nwant\n%v", family, height, SpecToProto(got), SpecToProto(want))
			}
		}
	}
}
