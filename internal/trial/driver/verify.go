package driver

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// Verdict is what the comparison of a service with a ledger found.
type Verdict struct {
	Acknowledged int // requests
	Quotes       int // in the service, each with its intent
	Revisions    int64
	Open         int // intents without an answer, before they were repeated
	OpenDone     int // of them, those that had been done all the same
	Replayed     int // quotes, each identical
	Events       int // each once
	Lost         int // acknowledged quotes that are not there
	Problems     []string
}

// String is the verdict in a line, and a line for each problem.
func (v *Verdict) String() string {
	line := fmt.Sprintf("%d acknowledged; %d quotes and %d revisions, each of one request; %d without an answer, of which %d done; %d replayed, %d events",
		v.Acknowledged, v.Quotes, v.Revisions, v.Open, v.OpenDone, v.Replayed, v.Events)
	return strings.Join(append([]string{line}, v.Problems...), "\n  BROKEN: ")
}

func (v *Verdict) problem(format string, args ...any) {
	v.Problems = append(v.Problems, fmt.Sprintf(format, args...))
}

// Verify holds the service against the ledger: what was acknowledged is there as
// it was told, nothing is there twice or without a request, an intent without an
// answer was done once or not at all and is done once after it is repeated, every
// quote replays, the book's history is intact and ends where the ledger says, and
// every change was told once and in order. The error is of the comparison itself;
// what it finds is in the verdict.
func (d *Driver) Verify(ctx context.Context) (*Verdict, error) {
	v := &Verdict{}
	books := readBooks(d.config.Ledger.Entries(), v)
	if err := d.compare(ctx, books, v, false); err != nil {
		return v, err
	}
	for _, intent := range books.open {
		if _, err := d.client(intent.Key).insist(ctx, intent); err != nil {
			v.problem("repeated, %v", err)
		}
	}
	after := &Verdict{}
	books = readBooks(d.config.Ledger.Entries(), after)
	after.Open, after.OpenDone = v.Open, v.OpenDone // before they were repeated
	after.Problems = slices.Concat(v.Problems, after.Problems)
	if err := d.compare(ctx, books, after, true); err != nil {
		return after, err
	}
	slices.Sort(after.Problems)
	after.Problems = slices.Compact(after.Problems)
	return after, nil
}

// compare reads everything of the service. Where it is not settled, intents
// without an answer may have been done or not.
func (d *Driver) compare(ctx context.Context, b *books, v *Verdict, settled bool) error {
	quotes, err := d.allQuotes(ctx)
	if err != nil {
		return err
	}
	v.Quotes = len(quotes)
	seen := map[string]int{}
	for _, q := range quotes {
		seen[q.GetExternalReference()]++
		if _, ours := b.made[q.GetExternalReference()]; !ours {
			v.problem("%s has the reference %q, which no request of the ledger has", q.GetName(), q.GetExternalReference())
		}
		b.compareQuote(q, v)
	}
	for reference, intent := range b.made {
		name, acknowledged := b.refs[reference]
		switch n := seen[reference]; {
		case n > 1:
			v.problem("%s made %d quotes", intent.ID, n)
		case n == 0 && acknowledged:
			v.Lost++
			v.problem("%s, acknowledged to %s, is lost", name, intent.ID)
		}
	}
	if !settled {
		v.Open = len(b.open)
		for _, intent := range b.open {
			if intent.Reference != "" && seen[intent.Reference] == 1 {
				v.OpenDone++
			}
		}
		return nil
	}
	if err := d.replayAll(ctx, quotes, v); err != nil {
		return err
	}
	if err := d.verifyBook(ctx, b, v); err != nil {
		return err
	}
	return d.verifyEvents(ctx, quotes, v)
}

// compareQuote holds a quote against its last acknowledged answer. A quote that
// an open intent is about may have gone one step further.
func (b *books) compareQuote(q *wattlev1.Quote, v *Verdict) {
	told := b.quotes[q.GetName()]
	if told == nil {
		return // of an intent without an answer, or of none at all
	}
	if told.Fingerprint != q.GetFingerprint() {
		v.problem("%s has the fingerprint %s, and %s was acknowledged", q.GetName(), q.GetFingerprint(), told.Fingerprint)
	}
	state, sequence := told.State, told.Sequence
	if b.void[q.GetName()] {
		state, sequence = wattlev1.QuoteState_QUOTE_STATE_VOID.String(), sequence+1
	}
	if q.GetSequence() == sequence+1 && b.moving[q.GetName()] {
		return
	}
	if q.GetSequence() != sequence || q.GetState().String() != state {
		v.problem("%s is %s at %d, and %s at %d was acknowledged", q.GetName(), q.GetState(), q.GetSequence(), state, sequence)
	}
}

// read repeats a call until it is answered or ctx ends; it is for calls that
// change nothing.
func read[Q, A any](ctx context.Context, d *Driver, req Q, call func(context.Context, *grpc.ClientConn, Q) (A, error)) (A, error) {
	c := d.client(0)
	for try := 0; ; try++ {
		limited, cancel := context.WithTimeout(ctx, 30*time.Second)
		answer, err := call(d.bearing(limited, 0), c.conns[c.server], req)
		cancel()
		if err == nil || ctx.Err() != nil || final(err) {
			return answer, err
		}
		c.server = (c.server + 1) % len(c.conns)
		select {
		case <-time.After(wait(err, try)):
		case <-ctx.Done():
			return answer, ctx.Err()
		}
	}
}

func (d *Driver) allQuotes(ctx context.Context) ([]*wattlev1.Quote, error) {
	var all []*wattlev1.Quote
	req := &wattlev1.ListQuotesRequest{Parent: d.parent, PageSize: 500}
	for {
		page, err := read(ctx, d, req, func(ctx context.Context, conn *grpc.ClientConn, req *wattlev1.ListQuotesRequest) (*wattlev1.ListQuotesResponse, error) {
			return wattlev1.NewQuoteServiceClient(conn).ListQuotes(ctx, req)
		})
		if err != nil {
			return nil, fmt.Errorf("list the quotes: %w", err)
		}
		all = append(all, page.GetQuotes()...)
		if req.PageToken = page.GetNextPageToken(); req.GetPageToken() == "" {
			return all, nil
		}
	}
}

// replayAll replays every quote, several at once.
func (d *Driver) replayAll(ctx context.Context, quotes []*wattlev1.Quote, v *Verdict) error {
	var mu sync.Mutex
	var wg sync.WaitGroup
	var failed error
	next := make(chan *wattlev1.Quote)
	for range 4 {
		wg.Go(func() {
			for q := range next {
				answer, err := read(ctx, d, &wattlev1.ReplayQuoteRequest{Name: q.GetName()}, func(ctx context.Context, conn *grpc.ClientConn, req *wattlev1.ReplayQuoteRequest) (*wattlev1.ReplayQuoteResponse, error) {
					return wattlev1.NewQuoteServiceClient(conn).ReplayQuote(ctx, req)
				})
				mu.Lock()
				switch {
				case err != nil:
					failed = errors.Join(failed, fmt.Errorf("replay %s: %w", q.GetName(), err))
				case !answer.GetIdentical() || answer.GetFingerprint() != q.GetFingerprint():
					v.problem("%s does not replay: %v", q.GetName(), answer)
				default:
					v.Replayed++
				}
				mu.Unlock()
			}
		})
	}
	for _, q := range quotes {
		next <- q
	}
	close(next)
	wg.Wait()
	return failed
}

// mostExpected is how many heads one VerifyHistory takes.
const mostExpected = 1000

// verifyBook has the book's chain computed anew and held against the heads that
// were acknowledged; of more than it takes, against the last.
func (d *Driver) verifyBook(ctx context.Context, b *books, v *Verdict) error {
	req := &wattlev1.VerifyHistoryRequest{Parent: d.parent}
	for revision := int64(len(b.imports)); revision > 0 && len(req.GetExpected()) < mostExpected; revision-- {
		hash, acknowledged := b.heads[revision]
		if _, err := hex.DecodeString(hash); err != nil || !acknowledged {
			v.problem("of %d imports none was acknowledged revision %d", len(b.imports), revision)
			continue
		}
		req.Expected = append(req.Expected, &wattlev1.ExpectedHead{Revision: revision, Hash: hash})
	}
	report, err := read(ctx, d, req, verifyHistory)
	if err != nil {
		return fmt.Errorf("verify the book: %w", err)
	}
	v.Revisions = report.GetRevision()
	if report.GetRevision() != int64(len(b.imports)) {
		v.problem("the book is at revision %d after %d imports", report.GetRevision(), len(b.imports))
	}
	if !report.GetIntact() {
		v.problem("the book's history is not intact: %v", report.GetProblems())
	}
	return nil
}

func verifyHistory(ctx context.Context, conn *grpc.ClientConn, req *wattlev1.VerifyHistoryRequest) (*wattlev1.VerifyHistoryResponse_Report, error) {
	stream, err := wattlev1.NewPriceBookServiceClient(conn).VerifyHistory(ctx, req)
	if err != nil {
		return nil, err
	}
	var report *wattlev1.VerifyHistoryResponse_Report
	for {
		part, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return report, nil
		}
		if err != nil {
			return nil, err
		}
		if r := part.GetReport(); r != nil {
			report = r
		}
	}
}
