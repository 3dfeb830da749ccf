package estimating

import (
	"cmp"
	"context"
	"time"

	"wattle/internal/fault"
)

// News tells that a company may have new events. It is a hint: nothing is lost
// where it stays silent.
type News interface {
	// Subscribe gives a channel that is ready after news, and a function that
	// ends it.
	Subscribe(company string) (<-chan struct{}, func())
}

// Watch is a wish to follow events.
type Watch struct {
	// Filter says which; After in it is the token of an earlier watch.
	Filter EventFilter
	// FromNow begins after the newest event, and After is ignored.
	FromNow bool
	// Poll is how often to ask without news, Heartbeat how often to say the
	// token in quiet times, End how long the watch lasts: who watches comes
	// back with the last token. Zero is 1 s, 15 s, 10 min.
	Poll, Heartbeat, End time.Duration
	// Stop ends the watch early, as its End does.
	Stop <-chan struct{}
}

// WatchEvents sends events in order as they come, each with its position, and
// where there is none for a while a heartbeat: no event, and the position read
// up to. The first message and the last are heartbeats. It ends without an
// error at the watch's End or Stop.
func (s *Service) WatchEvents(ctx context.Context, w Watch, send func(events []Event, token int64) error) error {
	w = w.withDefaults()
	if err := w.Filter.resolve(ctx); err != nil {
		return err
	}
	// Before the first look, so that no news falls between the two.
	news, quiet := s.subscribe(w.Filter.Company)
	defer quiet()
	head, err := s.Events.EventHead(ctx, w.Filter.Company)
	if err != nil {
		return err
	}
	if w.FromNow {
		w.Filter.After = head
	}
	if err := w.Filter.check(head); err != nil {
		return err
	}
	if err := send(nil, w.Filter.After); err != nil {
		return err
	}
	end := time.NewTimer(w.End)
	defer end.Stop()
	beat, poll := time.NewTicker(w.Heartbeat), time.NewTicker(w.Poll)
	defer beat.Stop()
	defer poll.Stop()
	for {
		page, err := s.Events.ReadEvents(ctx, w.Filter)
		if err != nil {
			return err
		}
		w.Filter.After = page.Next
		if len(page.Events) > 0 {
			if err := send(page.Events, page.Next); err != nil {
				return err
			}
			beat.Reset(w.Heartbeat)
		}
		if page.More {
			continue
		}
		select {
		case <-ctx.Done():
			return alive(ctx)
		case <-end.C:
			return send(nil, w.Filter.After)
		case <-w.Stop:
			return send(nil, w.Filter.After)
		case <-news:
		case <-poll.C:
		case <-beat.C:
			if err := send(nil, w.Filter.After); err != nil {
				return err
			}
		}
	}
}

// ListEvents is the events after a token, and the token read up to.
func (s *Service) ListEvents(ctx context.Context, f EventFilter) (EventPage, error) {
	if err := f.resolve(ctx); err != nil {
		return EventPage{}, err
	}
	head, err := s.Events.EventHead(ctx, f.Company)
	if err != nil {
		return EventPage{}, err
	}
	if err := f.check(head); err != nil {
		return EventPage{}, err
	}
	return s.Events.ReadEvents(ctx, f)
}

// resolve checks types, and finds the offices under the one that was named.
func (f *EventFilter) resolve(ctx context.Context) error {
	c, err := CallerFor(ctx, f.Company)
	if err != nil {
		return err
	}
	v := &fault.List{}
	checkTypes(v.At("types"), f.Types)
	if f.Office != "" {
		f.Offices = c.Tree.Below(f.Office)
		v.Require(len(f.Offices) > 0, "office", "there is no office %q", f.Office)
	}
	return v.Err()
}

// check refuses a token that this company has not come to: it is another's, or
// the database was restored to an earlier state.
func (f EventFilter) check(head int64) error {
	v := &fault.List{}
	if f.After > head {
		v.Add("token", "the newest event has the token %d, and this one is past it: it is of another company, or of a database that was restored since; "+
			"read again from the start", head)
	}
	return v.Err()
}

func (s *Service) subscribe(company string) (<-chan struct{}, func()) {
	if s.News == nil {
		return nil, func() {}
	}
	return s.News.Subscribe(company)
}

func (w Watch) withDefaults() Watch {
	w.Poll = cmp.Or(w.Poll, time.Second)
	w.Heartbeat = cmp.Or(w.Heartbeat, 15*time.Second)
	w.End = cmp.Or(w.End, 10*time.Minute)
	w.Filter.Limit = cmp.Or(w.Filter.Limit, 500)
	return w
}
