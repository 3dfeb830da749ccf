package rpc

import (
	"context"
	"encoding/hex"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// saveSpecFromProto reads the wish to save a spec.
func saveSpecFromProto(ctx context.Context, req *wattlev1.SaveSpecRequest) (estimating.SaveSpec, error) {
	v := &fault.List{}
	company, name := specOf(req.GetName())
	in := estimating.SaveSpec{
		Key:  requestKey(ctx, "SaveSpec", company, req.GetRequestId(), requestHash(req, "request_id")),
		Name: name, Title: req.GetTitle(), Office: req.GetOffice(),
	}
	catalog.CheckName(v, "name", name)
	in.Spec = SpecFromProto(v.At("spec"), req.GetSpec())
	return in, v.Err()
}

// entryFromProto reads the name of an entry.
func entryFromProto(name string) (company string, r catalog.Ref, err error) {
	company, r.Name = specOf(name)
	v := &fault.List{}
	if !r.Standard() {
		catalog.CheckName(v, "name", r.Name)
	}
	return company, r, v.Err()
}

// savedSpecToProto has no spec where the document is left out.
func savedSpecToProto(s estimating.SavedSpec) (*wattlev1.SavedSpec, error) {
	p := &wattlev1.SavedSpec{
		Name: specName(s.Company, s.Name), Version: int32(s.Version), Title: s.Title, Office: s.Office,
		RulesVersion: int32(s.RulesVersion), Withdrawn: s.Withdrawn,
	}
	if !s.CreatedAt.IsZero() {
		p.CreateTime = timestamppb.New(s.CreatedAt)
	}
	if !s.Withdrawn {
		p.Sha256 = hex.EncodeToString(s.Hash[:])
	}
	if s.Document == nil {
		return p, nil
	}
	saved, err := s.Spec()
	if err != nil {
		return nil, err
	}
	p.Spec = SpecToProto(saved)
	return p, nil
}

func savedSpecsToProto(list []estimating.SavedSpec) ([]*wattlev1.SavedSpec, error) {
	out := make([]*wattlev1.SavedSpec, len(list))
	for i, s := range list {
		var err error
		if out[i], err = savedSpecToProto(s); err != nil {
			return nil, err
		}
	}
	return out, nil
}
