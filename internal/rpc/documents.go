package rpc

import (
	"bytes"
	"cmp"
	"io"
	"slices"
	"time"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/render"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// Media types of documents.
const (
	plainText = "text/plain; charset=utf-8"
	csvText   = "text/csv; charset=utf-8"
	svgImage  = "image/svg+xml"
	jsonText  = "application/json"
	pdfFile   = "application/pdf"
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

// sheet is a layout to be drawn.
type sheet struct {
	site  site.Site
	spec  spec.Spec // with its defaults
	l     *layout.Layout
	title string
	paper wattlev1.Paper
	cuts  []takeoff.CutPlan // nil where nothing was counted
}

func (s sheet) plan() (*wattlev1.Document, error) {
	return document(svgImage, "plan.svg", func(w io.Writer) error {
		return render.PlanSVG(w, s.site, s.l, render.PlanOptions{Title: s.title, Paper: papers.domain[s.paper], Spec: s.spec})
	})
}

// elevation draws the run of that id, the first where it is empty.
func (s sheet) elevation(run string) (*wattlev1.Document, error) {
	i := slices.IndexFunc(s.site.Runs, func(r site.Run) bool { return r.ID == run || run == "" })
	if i < 0 {
		v := &fault.List{}
		v.Add("run", "there is no run %q in this job", run)
		return nil, v.Err()
	}
	return document(svgImage, "elevation.svg", func(w io.Writer) error {
		return render.ElevationSVG(w, s.site, s.l, i, render.ElevationOptions{Title: s.title, Paper: papers.domain[s.paper], Spec: s.spec})
	})
}

func (s sheet) crew() render.CrewOptions {
	return render.CrewOptions{Title: s.title, Paper: papers.domain[s.paper], Spec: s.spec, Cuts: s.cuts}
}

func (s sheet) crewSheet() (*wattlev1.Document, error) {
	return document(svgImage, "crew-sheet.svg", func(w io.Writer) error {
		return render.CrewSheetSVG(w, s.site, s.l, s.crew())
	})
}

// quoteDocument is a stored quote as a document; quote text by default.
func quoteDocument(s estimating.Stored, req *wattlev1.RenderQuoteRequest) (*wattlev1.Document, error) {
	drawn := sheet{
		site: s.Request.Site, spec: s.Request.Spec, l: s.Quote.Layout,
		title: cmp.Or(s.Request.ExternalRef, s.Request.Spec.Name), paper: req.GetPaper(),
		cuts: s.Quote.Takeoff.Cuts,
	}
	switch req.GetFormat() {
	case wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV:
		return document(csvText, "takeoff.csv", func(w io.Writer) error {
			return render.TakeoffCSV(w, s.Quote.Takeoff)
		})
	case wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG:
		return drawn.plan()
	case wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG:
		return drawn.elevation(req.GetRun())
	case wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_SVG:
		return drawn.crewSheet()
	case wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_TEXT:
		return document(plainText, "crew-sheet.txt", func(w io.Writer) error {
			return render.CrewSheetText(w, drawn.site, drawn.l, drawn.crew())
		})
	case wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_CSV:
		return document(csvText, "crew-sheet.csv", func(w io.Writer) error {
			return render.CrewSheetCSV(w, drawn.site, drawn.l, drawn.crew())
		})
	case wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON:
		return &wattlev1.Document{MediaType: jsonText, FileName: "quote.json", Content: s.Record.Document}, nil
	case wattlev1.RenderQuoteRequest_FORMAT_UNSPECIFIED, wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT:
	default: // PDFs, which renderPaper makes
	}
	return document(plainText, "quote.txt", func(w io.Writer) error {
		header := render.QuoteHeader{
			ID: s.Record.ID, CreatedAt: s.Record.CreatedAt.UTC().Format(time.RFC3339), Fingerprint: s.Record.Fingerprint,
		}
		return render.QuoteText(w, header, s.Request, s.Quote)
	})
}
