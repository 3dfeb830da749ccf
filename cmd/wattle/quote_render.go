package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// renderFormats are a quote's documents by drawing and format.
var renderFormats = map[string]map[string]wattlev1.RenderQuoteRequest_Format{
	"": {
		asText: wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT,
		asCSV:  wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV,
		asSVG:  wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG,
		asJSON: wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON,

		"proposal-pdf":     wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF,
		"crew-sheet-pdf":   wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF,
		"cut-list-pdf":     wattlev1.RenderQuoteRequest_FORMAT_CUT_LIST_PDF,
		"order-list-pdf":   wattlev1.RenderQuoteRequest_FORMAT_ORDER_LIST_PDF,
		"price-letter-pdf": wattlev1.RenderQuoteRequest_FORMAT_PRICE_LETTER_PDF,
	},
	drawPlan:      {asSVG: wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG},
	drawElevation: {asSVG: wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG},
	drawCrewSheet: {
		asText: wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_TEXT,
		asCSV:  wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_CSV,
		asSVG:  wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_SVG,
	},
}

// pdfs are the formats that are papers to hand over.
var pdfs = []string{"proposal-pdf", "crew-sheet-pdf", "cut-list-pdf", "order-list-pdf", "price-letter-pdf"}

var measuresFlag = map[string]wattlev1.Measures{
	"imperial": wattlev1.Measures_MEASURES_IMPERIAL, "metric": wattlev1.Measures_MEASURES_METRIC, "both": wattlev1.Measures_MEASURES_BOTH,
}

// paperFlags say how a PDF is made.
type paperFlags struct {
	template, measures, locale, asOf string
	revision                         int64
}

func (p *paperFlags) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.template, "template", "", "of a PDF, the `office` whose template it takes, as north or north@3, or standard (default: the nearest)")
	choose(cmd, &p.measures, "measures", "", "of a PDF, the units of lengths (default: the template's)", "imperial", "metric", "both")
	cmd.Flags().StringVar(&p.locale, "locale", "", "of a PDF, how numbers and dates are written, such as en-US (default: the template's)")
	cmd.Flags().StringVar(&p.asOf, "as-of", "", "of a price letter, the date of the prices to hold against (default: today)")
	cmd.Flags().Int64Var(&p.revision, "revision", 0, "of a price letter, the book revision of those prices (default: the newest)")
}

// fill puts what was asked for into a request for a PDF, and refuses it of other
// documents.
func (p *paperFlags) fill(cmd *cobra.Command, format string, req *wattlev1.RenderQuoteRequest) error {
	if !slices.Contains(pdfs, format) {
		for _, name := range []string{"template", "measures", "locale", "as-of", "revision"} {
			if cmd.Flags().Changed(name) {
				return wrongUsef(cmd, "--%s is of a PDF; add --format %s", name, pdfs[0])
			}
		}
		return nil
	}
	if !cmd.Flags().Changed("paper") {
		req.Paper = wattlev1.Paper_PAPER_UNSPECIFIED // the template's
	}
	req.Measures, req.Locale, req.AsOf = measuresFlag[p.measures], p.locale, p.asOf
	if cmd.Flags().Changed("revision") {
		req.Revision = &p.revision
	}
	if p.template == "" || p.template == "standard" {
		req.Template = p.template
		return nil
	}
	company, _, _ := strings.Cut(strings.TrimPrefix(req.GetName(), "companies/"), "/")
	office, version, err := templateRef(cmd, p.template)
	req.Template, req.TemplateVersion = "companies/"+company+"/templates/"+office, version
	return err
}

func newQuoteRender(r *remote) *cobra.Command {
	var d drawing
	var p paperFlags
	var run, out string
	cmd := &cobra.Command{
		Use:   "render NAME",
		Short: "Write a document of a stored quote: text, drawings, or a PDF to hand over",
		Long: `Write a document of a stored quote to standard output or a file: the quote as
text, its take-off as CSV, its plan as SVG, the canonical JSON that its
fingerprint covers, byte for byte, a drawing, or a PDF to hand over: proposal,
crew sheet, cut list, order list, or a letter that says what the quote comes to
at other prices. What a PDF was made of, and what of it could not be printed as
it should be, is told on standard error.`,
		Example: `  wattle quote render companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --format svg > plan.svg
  wattle quote render 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --drawing elevation --run back > back.svg
  wattle quote render 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --drawing crew-sheet
  wattle quote render 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --format proposal-pdf --out proposal.pdf`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := d.settle(cmd, run); err != nil {
				return err
			}
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			req := &wattlev1.RenderQuoteRequest{Name: name, Format: renderFormats[d.kind][d.format], Paper: papers[d.paper], Run: run}
			if err := p.fill(cmd, d.format, req); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).RenderQuote(ctx, req)
				if err != nil {
					return err
				}
				tellMaking(cmd, answer.GetMaking())
				return writeWhole(cmp.Or(out, "-"), cmd.OutOrStdout(), func(w io.Writer) error {
					_, err := w.Write(answer.GetDocument().GetContent())
					return err
				})
			})
		},
	}
	d.flags(cmd, "which document", append([]string{asText, asCSV, asSVG, asJSON}, pdfs...)...)
	p.flags(cmd)
	cmd.Flags().StringVar(&run, "run", "", "the `id` of the run whose elevation is drawn (default: the first)")
	cmd.Flags().StringVar(&out, "out", "", "write the document to this `file` (default: standard output)")
	return cmd
}

var recordWords = map[wattlev1.PaperMaking_Record]string{
	wattlev1.PaperMaking_RECORD_UNSPECIFIED: "a draft's, not recorded",
	wattlev1.PaperMaking_RECORD_FIRST:       "recorded now",
	wattlev1.PaperMaking_RECORD_IDENTICAL:   "identical to what was recorded",
	wattlev1.PaperMaking_RECORD_DIFFERS:     "not what was recorded: another program made that",
}

// tellMaking says what a PDF was made of, and its cautions.
func tellMaking(cmd *cobra.Command, m *wattlev1.PaperMaking) {
	if m == nil {
		return
	}
	w := cmd.ErrOrStderr()
	fmt.Fprintf(w, "%s, SHA-256 %s, template %s version %d: %s\n", countOf(m.GetPages(), "page", "pages"), m.GetSha256(), m.GetTemplate(), m.GetTemplateVersion(), recordWords[m.GetRecord()])
	for _, c := range m.GetCautions() {
		fmt.Fprintln(w, "caution:", c.GetText())
	}
}
