package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/testdata/demo"
)

// laterDate is half a year after the job file's own date.
const laterDate = "2026-09-16"

// demonstration is the story the demo tells, as a client of the service.
type demonstration struct {
	w    io.Writer
	conn *grpc.ClientConn
	dir  string
	// papers are written at the end, beside those of the quote.
	papers []paper
}

// paper is a document that the demo made on its way.
type paper struct {
	file, about string
	write       func(io.Writer) error
}

func (d *demonstration) kept(file, about string, write func(io.Writer) error) {
	d.papers = append(d.papers, paper{file, about, write})
}

func (d *demonstration) show(ctx context.Context) error {
	d.printf("Harrow & Daughters Fence: a back yard on a slope, three sides, two gates, tied in to the house, and the curve of its drive\n")

	d.heading("The price list of March 2026")
	if err := d.importPrices(ctx, "march", demo.March); err != nil {
		return err
	}
	job, err := parseJob("job.yaml", demo.Job)
	if err != nil {
		return err
	}
	job.RequestId = "demo-march"
	first, err := d.quote(ctx, job)
	if err != nil {
		return err
	}
	d.heading("The quote")
	text, err := rendered(ctx, d.conn, first.GetName(), wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT)
	if err != nil {
		return err
	}
	d.printf("%s", text)

	d.heading("Why its three largest lines are what they are")
	if err := printLargest(d.w, first, 3); err != nil {
		return err
	}

	if err := d.advise(ctx, job); err != nil {
		return err
	}

	d.heading("Half a year later: the price list of September 2026")
	if err := d.importPrices(ctx, "september", demo.September); err != nil {
		return err
	}
	again, err := quotes(d.conn).RepriceQuote(ctx, &wattlev1.RepriceQuoteRequest{Name: first.GetName(), AsOf: laterDate})
	if err != nil {
		return err
	}
	d.printf("\n")
	if err := printRepricing(d.w, again); err != nil {
		return err
	}

	if err := d.followFoot(ctx, job); err != nil {
		return err
	}

	d.heading("The quote, replayed after the second price list")
	replay, err := quotes(d.conn).ReplayQuote(ctx, &wattlev1.ReplayQuoteRequest{Name: first.GetName()})
	if err != nil {
		return err
	}
	printReplay(d.w, replay)
	if !replay.GetIdentical() {
		return fmt.Errorf("%s does not replay", first.GetName())
	}
	return d.writeDocuments(ctx, first.GetName())
}

func (d *demonstration) printf(format string, args ...any) { fmt.Fprintf(d.w, format, args...) }

func (d *demonstration) heading(text string) {
	d.printf("\n%s\n", text)
	for range text {
		d.printf("-")
	}
	d.printf("\n")
}

func (d *demonstration) importPrices(ctx context.Context, id string, list []byte) error {
	answer, err := importList(ctx, d.conn, &wattlev1.ImportPricesRequest_Header{
		Parent: "companies/harrow", RequestId: id, Mode: wattlev1.ImportPricesRequest_MODE_REPLACE,
	}, bytes.NewReader(list), nil)
	if err != nil {
		return err
	}
	c := answer.GetCounts()
	d.printf("Book revision %d: %d items new, %d repriced, %d confirmed. Head hash %s.\n",
		answer.GetRevision(), c.GetAdded(), c.GetRepriced(), c.GetConfirmed(), short(answer.GetHeadHash()))
	return nil
}

func (d *demonstration) quote(ctx context.Context, job *wattlev1.CreateQuoteRequest) (*wattlev1.Quote, error) {
	answer, err := quotes(d.conn).CreateQuote(ctx, job)
	return answer.GetQuote(), err
}

func (d *demonstration) writeDocuments(ctx context.Context, name string) error {
	d.heading("Documents")
	for _, document := range []struct {
		file, about string
		format      wattlev1.RenderQuoteRequest_Format
	}{
		{"plan.svg", "posts with stations, bays with widths, gates, keep-outs, to scale", wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG},
		{"elevation.svg", "the yard's run unrolled: ground, steps, posts, holes", wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG},
		{"crew-sheet.svg", "what the crew marks and sets posts by", wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_SVG},
		{"crew-sheet.pdf", "the same on pages, to hand over", wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF},
		{"proposal.pdf", "the quote as the customer is offered it", wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF},
		{"takeoff.csv", "every item with its reason", wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV},
		{"quote.txt", "the quote above", wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT},
	} {
		content, err := rendered(ctx, d.conn, name, document.format)
		if err != nil {
			return err
		}
		path := filepath.Join(d.dir, document.file)
		if err := os.WriteFile(path, content, 0o600); err != nil {
			return err
		}
		d.printf("%s: %s\n", path, document.about)
	}
	for _, p := range d.papers {
		var content bytes.Buffer
		if err := p.write(&content); err != nil {
			return err
		}
		path := filepath.Join(d.dir, p.file)
		if err := os.WriteFile(path, content.Bytes(), 0o600); err != nil {
			return err
		}
		d.printf("%s: %s\n", path, p.about)
	}
	return nil
}
