package driver

import (
	"context"
	"fmt"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
)

// EventTypes are the types of event that the driver's calls lead to at once.
func EventTypes() []string {
	return []string{"prices.imported", "quote.created", "quote.issued", "quote.accepted", "quote.declined", "quote.voided"}
}

// verifyEvents lists all events, then watches them from the start: both ways tell
// each step of each quote and each revision of the book once, in order.
func (d *Driver) verifyEvents(ctx context.Context, quotes []*wattlev1.Quote, v *Verdict) error {
	types := EventTypes()
	listed, err := d.Events(ctx, types...)
	if err != nil {
		return fmt.Errorf("list the events: %w", err)
	}
	v.Events = len(listed)
	type step struct {
		subject  string
		sequence int64
	}
	told := map[step]int{}
	ids := map[string]bool{}
	for _, e := range listed {
		told[step{e.GetSubject(), e.GetSequence()}]++
		if ids[e.GetId()] {
			v.problem("the event %s was told twice", e.GetId())
		}
		ids[e.GetId()] = true
	}
	want := map[step]bool{}
	for _, q := range quotes {
		for n := range int64(q.GetSequence()) {
			want[step{q.GetName(), n + 1}] = true
		}
	}
	for n := range v.Revisions {
		want[step{d.parent + "/book", n + 1}] = true
	}
	for s := range want {
		if told[s] != 1 {
			v.problem("step %d of %s was told %d times", s.sequence, s.subject, told[s])
		}
	}
	for s := range told {
		if !want[s] {
			v.problem("step %d of %s was told, and is not there", s.sequence, s.subject)
		}
	}
	watched, err := d.watchEvents(ctx, types, len(listed))
	if err != nil {
		return fmt.Errorf("watch the events: %w", err)
	}
	place := func(e *wattlev1.Event) string { return e.GetToken() + " " + e.GetId() }
	for i := range max(len(listed), len(watched)) {
		if i >= len(watched) || i >= len(listed) || place(watched[i]) != place(listed[i]) {
			v.problem("a watch from the start told %d events, listed were %d; they part at the %dth", len(watched), len(listed), i+1)
			break
		}
	}
	return nil
}

// Events are all events of some types, in order.
func (d *Driver) Events(ctx context.Context, types ...string) ([]*wattlev1.Event, error) {
	var all []*wattlev1.Event
	req := &wattlev1.ListEventsRequest{Parent: d.parent, PageSize: 500, Types: types}
	for {
		page, err := read(ctx, d, req, func(ctx context.Context, conn *grpc.ClientConn, req *wattlev1.ListEventsRequest) (*wattlev1.ListEventsResponse, error) {
			return wattlev1.NewEventServiceClient(conn).ListEvents(ctx, req)
		})
		if err != nil {
			return nil, err
		}
		all = append(all, page.GetEvents()...)
		if req.PageToken = page.GetNextPageToken(); req.GetPageToken() == "" {
			return all, nil
		}
	}
}

// watchEvents reads that many events from the start, over as many watches as it
// takes, each from the token of the one before.
func (d *Driver) watchEvents(ctx context.Context, types []string, count int) ([]*wattlev1.Event, error) {
	var all []*wattlev1.Event
	var token string
	c := d.client(0)
	for try := 0; len(all) < count; try++ {
		limited, cancel := context.WithTimeout(ctx, 30*time.Second)
		err := func() error {
			stream, err := wattlev1.NewEventServiceClient(c.conns[c.server]).WatchEvents(d.bearing(limited, 0),
				&wattlev1.WatchEventsRequest{Parent: d.parent, Token: token, FromStart: token == "", Types: types})
			for err == nil && len(all) < count {
				var m *wattlev1.WatchEventsResponse
				if m, err = stream.Recv(); err == nil {
					token = m.GetToken()
					if e := m.GetEvent(); e != nil {
						all = append(all, e)
					}
				}
			}
			return err
		}()
		cancel()
		switch {
		case err == nil:
		case status.Code(err) == codes.DeadlineExceeded && try > 2:
			return all, nil // it tells no more; the comparison says what is missing
		case final(err):
			return all, err
		}
		if ctx.Err() != nil {
			return all, ctx.Err()
		}
	}
	return all, nil
}
