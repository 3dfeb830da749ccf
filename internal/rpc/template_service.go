package rpc

import (
	"context"
	"encoding/hex"
	"math"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/paper"
)

type templateService struct{ estimating *estimating.Service }

// SaveTemplate implements wattle.v1.TemplateService.
func (s templateService) SaveTemplate(ctx context.Context, req *wattlev1.SaveTemplateRequest) (*wattlev1.SaveTemplateResponse, error) {
	company, office := templateOf(req.GetName())
	saved, applied, err := s.estimating.SaveTemplate(ctx,
		requestKey(ctx, "SaveTemplate", company, req.GetRequestId(), requestHash(req, "request_id")), office, templateFromProto(req.GetTemplate()))
	if err != nil {
		return nil, err
	}
	saved.Template.Logo, saved.Template.Font = nil, nil
	return &wattlev1.SaveTemplateResponse{Template: templateToProto(saved), Applied: applied}, nil
}

// GetTemplate implements wattle.v1.TemplateService.
func (s templateService) GetTemplate(ctx context.Context, req *wattlev1.GetTemplateRequest) (*wattlev1.GetTemplateResponse, error) {
	company, office := templateOf(req.GetName())
	saved, err := s.estimating.GetTemplate(ctx, company, office, int(req.GetVersion()), req.GetInherited())
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetTemplateResponse{Template: templateToProto(saved)}, nil
}

// ListTemplates implements wattle.v1.TemplateService. A page token holds office
// and version of the last template given.
func (s templateService) ListTemplates(ctx context.Context, req *wattlev1.ListTemplatesRequest) (*wattlev1.ListTemplatesResponse, error) {
	list, next, err := page(req, func(after string, limit int) ([]estimating.SavedTemplate, error) {
		office, version, _ := strings.Cut(after, "@")
		f := estimating.TemplateFilter{Company: companyOf(req.GetParent()), Every: req.GetAllVersions(), AfterOffice: office, Limit: limit}
		if before, err := strconv.Atoi(version); err == nil && before > 0 && before < math.MaxInt32 {
			f.BeforeVersion = before
		}
		return s.estimating.ListTemplates(ctx, f)
	}, func(t estimating.SavedTemplate) string { return t.Office + "@" + strconv.Itoa(t.Version) })
	answer := &wattlev1.ListTemplatesResponse{NextPageToken: next}
	for _, t := range list {
		answer.Templates = append(answer.Templates, templateToProto(t))
	}
	return answer, err
}

func templateFromProto(p *wattlev1.Template) paper.Template {
	return paper.Template{
		Title: p.GetTitle(), Address: slices.Clone(p.GetAddressLines()), Logo: slices.Clone(p.GetLogo()), Terms: slices.Clone(p.GetTerms()),
		Locale: p.GetLocale(), Paper: papers.domain[p.GetPaper()], Measures: measuresOf.domain[p.GetMeasures()], Font: slices.Clone(p.GetFont()),
	}
}

func templateToProto(s estimating.SavedTemplate) *wattlev1.Template {
	t := s.Template
	p := &wattlev1.Template{
		Name: builtInTemplate, Version: int32(s.Version), Sha256: hex.EncodeToString(s.Hash[:]), Title: t.Title, AddressLines: t.Address, Logo: t.Logo, Terms: t.Terms,
		Locale: t.Locale, Paper: papers.wire[t.Paper], Measures: measuresOf.wire[t.Measures], Font: t.Font,
	}
	if s.Version > 0 {
		p.Name, p.CreateTime = templateName(s.Company, s.Office), timestamppb.New(s.CreatedAt)
	}
	return p
}
