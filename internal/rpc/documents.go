package rpc

import (
	"bytes"
	"cmp"
	"io"
	"time"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/layout"
	"wattle/internal/render"
	"wattle/internal/site"
)

// Media types of documents.
const (
	plainText = "text/plain; charset=utf-8"
	csvText   = "text/csv; charset=utf-8"
	svgImage  = "image/svg+xml"
	jsonText  = "application/json"
)

var papers = pairsOf(map[wattlev1.Paper]string{
	wattlev1.Paper_PAPER_LETTER: "letter",
	wattlev1.Paper_PAPER_A4:     "a4",
})

// document writes a document with one of render's functions.
func document(mediaType, fileName string, write func(io.Writer) error) (*wattlev1.Document, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return nil, err
	}
	return &wattlev1.Document{MediaType: mediaType, FileName: fileName, Content: b.Bytes()}, nil
}

func planDocument(s site.Site, l *layout.Layout, title string, paper wattlev1.Paper) (*wattlev1.Document, error) {
	return document(svgImage, "plan.svg", func(w io.Writer) error {
		return render.PlanSVG(w, s, l, render.PlanOptions{Title: title, Paper: papers.domain[paper]})
	})
}

// quoteDocument is a stored quote as a document; quote text by default.
func quoteDocument(s estimating.Stored, format wattlev1.RenderQuoteRequest_Format, paper wattlev1.Paper) (*wattlev1.Document, error) {
	switch format {
	case wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV:
		return document(csvText, "takeoff.csv", func(w io.Writer) error {
			return render.TakeoffCSV(w, s.Quote.Takeoff)
		})
	case wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG:
		return planDocument(s.Request.Site, s.Quote.Layout, cmp.Or(s.Request.ExternalRef, s.Request.Spec.Name), paper)
	case wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON:
		return &wattlev1.Document{MediaType: jsonText, FileName: "quote.json", Content: s.Record.Document}, nil
	case wattlev1.RenderQuoteRequest_FORMAT_UNSPECIFIED, wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT:
	}
	return document(plainText, "quote.txt", func(w io.Writer) error {
		header := render.QuoteHeader{
			ID: s.Record.ID, CreatedAt: s.Record.CreatedAt.UTC().Format(time.RFC3339), Fingerprint: s.Record.Fingerprint,
		}
		return render.QuoteText(w, header, s.Request, s.Quote)
	})
}
