package rpc

import (
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// streamPiece is how many posts or bays go into one message of a stream.
const streamPiece = 1000

// take cuts the next piece off a list.
func take[T any](list *[]T) []T {
	n := min(streamPiece, len(*list))
	piece := (*list)[:n:n]
	*list = (*list)[n:]
	return piece
}

// StreamLayout implements wattle.v1.LayoutService. Posts and bays are converted
// piece by piece as the caller takes them.
func (s layoutService) StreamLayout(req *wattlev1.StreamLayoutRequest, stream grpc.ServerStreamingServer[wattlev1.StreamLayoutResponse]) error {
	p, err := s.plan(stream.Context(), req)
	if err != nil {
		return err
	}
	send := func(part *wattlev1.PlanLayoutResponse) error {
		return stream.Send(&wattlev1.StreamLayoutResponse{Part: part})
	}
	part := p.answer(new(lengths))
	rest := part.GetLayout()
	for part != nil {
		part.Layout = &wattlev1.Layout{
			Stretches: take(&rest.Stretches), Openings: take(&rest.Openings),
			Barred: take(&rest.Barred), Cautions: take(&rest.Cautions),
		}
		if err := send(part); err != nil {
			return err
		}
		if part = nil; len(rest.GetStretches())+len(rest.GetOpenings())+len(rest.GetBarred())+len(rest.GetCautions()) > 0 {
			part = &wattlev1.PlanLayoutResponse{}
		}
	}
	for posts := p.l.Posts; len(posts) > 0; {
		piece := &wattlev1.Layout{Posts: placedPosts(new(lengths), take(&posts), p.job.Site)}
		if err := send(&wattlev1.PlanLayoutResponse{Layout: piece}); err != nil {
			return err
		}
	}
	for bays := p.l.Bays; len(bays) > 0; {
		piece := &wattlev1.Layout{Bays: placedBays(new(lengths), take(&bays), p.l)}
		if err := send(&wattlev1.PlanLayoutResponse{Layout: piece}); err != nil {
			return err
		}
	}
	return nil
}
