package rpc

import (
	"context"
	"slices"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/spec"
)

var detailKinds = pairsOf(map[wattlev1.Family_Kind]spec.DetailKind{
	wattlev1.Family_KIND_LENGTH:  spec.LengthDetail,
	wattlev1.Family_KIND_COUNT:   spec.CountDetail,
	wattlev1.Family_KIND_NUMBER:  spec.NumberDetail,
	wattlev1.Family_KIND_SWITCH:  spec.SwitchDetail,
	wattlev1.Family_KIND_CHOICE:  spec.ChoiceDetail,
	wattlev1.Family_KIND_SIZE:    spec.SizeDetail,
	wattlev1.Family_KIND_SECTION: spec.SectionDetail,
})

// ListFamilies implements wattle.v1.CatalogService. Families are built in, and
// few enough for one answer.
func (s catalogService) ListFamilies(context.Context, *wattlev1.ListFamiliesRequest) (*wattlev1.ListFamiliesResponse, error) {
	answer := &wattlev1.ListFamiliesResponse{}
	for _, name := range spec.Families() {
		answer.Families = append(answer.Families, familyToProto(name.Definition()))
	}
	return answer, nil
}

func familyToProto(d *spec.Definition) *wattlev1.Family {
	p := &wattlev1.Family{
		Name: string(d.Family), Title: d.Title, Source: d.Source, Boards: d.Boards, Rails: d.Rails,
		Heights: slices.Clone(d.Heights), Details: make([]*wattlev1.Family_Detail, len(d.Details)),
	}
	for i, x := range d.Details {
		p.Details[i] = &wattlev1.Family_Detail{
			Name: x.Name, Kind: detailKinds.wire[x.Kind], Doc: x.Doc, Source: x.Source,
			DefaultVaries: x.By != nil, Choices: slices.Clone(x.Choices), Least: x.Least, Most: x.Most,
		}
		if x.By == nil {
			p.Details[i].DefaultValue = x.Default
		}
	}
	return p
}
