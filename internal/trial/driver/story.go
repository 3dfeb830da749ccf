package driver

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/testdata/demo"
)

// story is what a client does with one customer: a quote that stays a draft, or
// goes on to be issued, revised, accepted or declined. Every eighth time a price
// list comes in instead. It goes no further once over is closed.
func (c *client) story(ctx context.Context, over <-chan struct{}, n int) error {
	if n%8 == 3 {
		_, err := c.do(ctx, c.newPrices(n))
		c.rest(over)
		return err
	}
	q, err := c.do(ctx, c.newQuote(n))
	for _, next := range plots[n%len(plots)] {
		if err != nil || !c.rest(over) {
			return err
		}
		q, err = c.do(ctx, next(c, q))
	}
	return err
}

// plots are the ways a quote goes.
var plots = [][]func(*client, *Answer) Entry{
	{(*client).issue, (*client).accept},
	{},
	{(*client).revise, (*client).issue},
	{(*client).issue},
	{(*client).issue, (*client).decline},
	{(*client).issue, (*client).revise, (*client).issue, (*client).accept},
}

// rest waits between requests, and reports whether to go on.
func (c *client) rest(over <-chan struct{}) bool {
	select {
	case <-over:
		return false
	case <-time.After(c.config.Pause):
		return true
	}
}

// id is a fresh request id.
func (c *client) id(call Call) string {
	c.count++
	return fmt.Sprintf("%s-%d-%d-%s", c.run, c.number, c.count, call)
}

// lasting is the last day of validity, later than any trial takes.
func lasting() string { return time.Now().AddDate(0, 2, 0).Format(time.DateOnly) }

func (c *client) newQuote(n int) Entry {
	id := c.id(Create)
	shape := shapes[(n+c.number)%len(shapes)]
	return entry(Entry{ID: id, Call: Create, Reference: id}, &wattlev1.CreateQuoteRequest{
		Parent: c.parent, RequestId: id, ExternalReference: id, Customer: fmt.Sprintf("C-%d", c.number), Currency: "USD",
		ValidUntil: lasting(), Site: shape.site, Spec: shape.spec,
		Pricing: &wattlev1.Pricing{OverheadPercent: "12", ProfitPercent: "25"},
	})
}

func (c *client) revise(q *Answer) Entry {
	id := c.id(Revise)
	return entry(Entry{ID: id, Call: Revise, Quote: q.Name, Reference: id}, &wattlev1.ReviseQuoteRequest{
		Name: q.Name, RequestId: id, Etag: q.ETag, ValidUntil: lasting(), ExternalReference: &id,
	})
}

func (c *client) issue(q *Answer) Entry {
	id := c.id(Issue)
	return entry(Entry{ID: id, Call: Issue, Quote: q.Name}, &wattlev1.IssueQuoteRequest{Name: q.Name, RequestId: id, Etag: q.ETag})
}

func (c *client) accept(q *Answer) Entry {
	id := c.id(Accept)
	return entry(Entry{ID: id, Call: Accept, Quote: q.Name}, &wattlev1.AcceptQuoteRequest{
		Name: q.Name, RequestId: id, Etag: q.ETag, DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER, Fingerprint: q.Fingerprint,
	})
}

func (c *client) decline(q *Answer) Entry {
	id := c.id(Decline)
	return entry(Entry{ID: id, Call: Decline, Quote: q.Name}, &wattlev1.DeclineQuoteRequest{
		Name: q.Name, RequestId: id, Etag: q.ETag, DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER,
	})
}

// firstPrices is a list with everything that the shapes need.
func (c *client) firstPrices() Entry {
	id := c.id(Import)
	list := append(slices.Clone(demo.March), fmt.Sprintf("trial-%s,2026-03-01,,,each,1,0,1.00,USD\n", id)...)
	sum := sha256.Sum256(list)
	return c.importing(id, &wattlev1.ImportPricesRequest_Trailer{RowCount: int64(bytes.Count(list, []byte{'\n'})) - 1, Sha256: hex.EncodeToString(sum[:])},
		&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: list}})
}

// newPrices is a small list with an item of its own, so that it is one revision
// of the book whatever the others bring; one in four moves what open quotes cost.
func (c *client) newPrices(n int) Entry {
	id := c.id(Import)
	rows := []*wattlev1.PriceRow{priceRow("trial-"+id, 100)}
	if n%32 == 3 {
		rows = append(rows, priceRow("gravel", 190+n%40), priceRow("post-4x4-8ft", 1285+n%100))
	}
	return c.importing(id, &wattlev1.ImportPricesRequest_Trailer{RowCount: int64(len(rows))},
		&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Rows_{Rows: &wattlev1.ImportPricesRequest_Rows{Rows: rows}}})
}

func priceRow(item string, cents int) *wattlev1.PriceRow {
	unit := "each"
	if item == "gravel" {
		unit = "ft3"
	}
	return &wattlev1.PriceRow{Item: item, Effective: "2026-03-01", Unit: unit, Currency: "USD", Price: fmt.Sprintf("%d.%02d", cents/100, cents%100)}
}

func (c *client) importing(id string, trailer *wattlev1.ImportPricesRequest_Trailer, list *wattlev1.ImportPricesRequest) Entry {
	header := &wattlev1.ImportPricesRequest_Header{Parent: c.parent, RequestId: id, Mode: wattlev1.ImportPricesRequest_MODE_PATCH, AcceptJumps: true}
	return entry(Entry{ID: id, Call: Import},
		&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: header}}, list,
		&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: trailer}})
}

// entry is an intent with its request as it will be sent each time.
func entry(e Entry, messages ...proto.Message) Entry {
	for _, m := range messages {
		b, err := proto.Marshal(m)
		if err != nil {
			panic(err) // a message of our own that cannot be encoded is a defect of this file
		}
		e.Request = append(e.Request, b)
	}
	return e
}
