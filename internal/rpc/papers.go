package rpc

import (
	"context"
	"encoding/hex"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/paper"
	"wattle/internal/render"
)

var paperKinds = pairsOf(map[wattlev1.RenderQuoteRequest_Format]paper.Kind{
	wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF:     paper.Proposal,
	wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF:   paper.CrewSheet,
	wattlev1.RenderQuoteRequest_FORMAT_CUT_LIST_PDF:     paper.CutList,
	wattlev1.RenderQuoteRequest_FORMAT_ORDER_LIST_PDF:   paper.OrderList,
	wattlev1.RenderQuoteRequest_FORMAT_PRICE_LETTER_PDF: paper.PriceLetter,
})

var measuresOf = pairsOf(map[wattlev1.Measures]render.Measures{
	wattlev1.Measures_MEASURES_IMPERIAL: render.ImperialMeasures,
	wattlev1.Measures_MEASURES_METRIC:   render.MetricMeasures,
	wattlev1.Measures_MEASURES_BOTH:     render.BothMeasures,
})

var recordOf = map[estimating.Recorded]wattlev1.PaperMaking_Record{
	estimating.NotRecorded:       wattlev1.PaperMaking_RECORD_UNSPECIFIED,
	estimating.RecordedFirst:     wattlev1.PaperMaking_RECORD_FIRST,
	estimating.RecordedIdentical: wattlev1.PaperMaking_RECORD_IDENTICAL,
	estimating.RecordedDiffers:   wattlev1.PaperMaking_RECORD_DIFFERS,
}

// builtInTemplate is the name of the template that nobody saved.
const builtInTemplate = "standard"

// renderPaper is RenderQuote of a PDF.
func (s quoteService) renderPaper(ctx context.Context, company, id string, kind paper.Kind, req *wattlev1.RenderQuoteRequest) (*wattlev1.RenderQuoteResponse, error) {
	in, err := makePaperFromProto(company, id, kind, req)
	if err != nil {
		return nil, err
	}
	made, err := s.estimating.MakePaper(ctx, in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.RenderQuoteResponse{
		Document: &wattlev1.Document{MediaType: pdfFile, FileName: string(kind) + ".pdf", Content: made.PDF},
		Making:   makingToProto(made),
	}, nil
}

func makePaperFromProto(company, id string, kind paper.Kind, req *wattlev1.RenderQuoteRequest) (estimating.MakePaper, error) {
	v := &fault.List{}
	in := estimating.MakePaper{
		Company: company, Quote: id, Kind: kind, TemplateVersion: int(req.GetTemplateVersion()), BuiltIn: req.GetTemplate() == builtInTemplate,
		Paper: papers.domain[req.GetPaper()], Locale: req.GetLocale(), Measures: measuresOf.domain[req.GetMeasures()],
		AsOf: readDate(v, "as_of", req.GetAsOf()),
	}
	if in.BuiltIn {
		v.Require(in.TemplateVersion == 0, "template_version", "the built-in template has no versions")
	} else if req.GetTemplate() != "" {
		of, office := templateOf(req.GetTemplate())
		v.Require(of == company, "template", "a template of the company %q is expected, as the quote is", company)
		in.Template = office
	}
	if req.Revision != nil {
		in.Revision = new(book.Revision(req.GetRevision()))
	}
	return in, v.Err()
}

func makingToProto(p estimating.Paper) *wattlev1.PaperMaking {
	m := &wattlev1.PaperMaking{
		Sha256: hex.EncodeToString(p.Hash[:]), Pages: int32(p.Pages), Template: builtInTemplate, TemplateVersion: int32(p.Template.Version),
		CustomerVersion: int32(p.CustomerVersion), Cautions: cautionsToProto(p.Cautions...), Record: recordOf[p.Recorded],
	}
	if p.Template.Version > 0 {
		m.Template = templateName(p.Template.Company, p.Template.Office)
	}
	if !p.RecordedAt.IsZero() {
		m.RecordTime = timestamppb.New(p.RecordedAt)
	}
	return m
}
