package rpc

import (
	"context"
	"strconv"
	"time"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

type eventService struct {
	estimating *estimating.Service
	watch      time.Duration
	// stopping is closed when the server stops.
	stopping <-chan struct{}
}

// WatchEvents implements wattle.v1.EventService.
func (s eventService) WatchEvents(req *wattlev1.WatchEventsRequest, stream grpc.ServerStreamingServer[wattlev1.WatchEventsResponse]) error {
	filter, err := eventFilterFromProto(req)
	if err != nil {
		return err
	}
	w := estimating.Watch{Filter: filter, FromNow: req.GetToken() == "" && !req.GetFromStart(), End: s.watch, Stop: s.stopping}
	return s.estimating.WatchEvents(stream.Context(), w, func(events []estimating.Event, token int64) error {
		if len(events) == 0 {
			return stream.Send(&wattlev1.WatchEventsResponse{Token: eventToken(token)})
		}
		for _, e := range events {
			p := eventToProto(e)
			if err := stream.Send(&wattlev1.WatchEventsResponse{Event: p, Token: p.GetToken()}); err != nil {
				return err
			}
		}
		return nil
	})
}

// ListEvents implements wattle.v1.EventService. A page token holds the position
// read up to.
func (s eventService) ListEvents(ctx context.Context, req *wattlev1.ListEventsRequest) (*wattlev1.ListEventsResponse, error) {
	filter, err := eventFilterFromProto(req)
	if err != nil {
		return nil, err
	}
	filter.Limit = pageSize(req.GetPageSize())
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if from != nil {
		if filter.After, err = strconv.ParseInt(from[0], 10, 64); err != nil {
			return nil, badPageToken("it is no token of this service")
		}
	}
	page, err := s.estimating.ListEvents(ctx, filter)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListEventsResponse{Token: eventToken(page.Next)}
	for _, e := range page.Events {
		answer.Events = append(answer.Events, eventToProto(e))
	}
	if page.More {
		answer.NextPageToken = pageToken(req, place{eventToken(page.Next)})
	}
	return answer, nil
}
