package rpc

import (
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// streamPiece is how many posts or bays go into one message of a stream.
const streamPiece = 1000

// StreamLayout implements wattle.v1.LayoutService.
func (s layoutService) StreamLayout(req *wattlev1.StreamLayoutRequest, stream grpc.ServerStreamingServer[wattlev1.StreamLayoutResponse]) error {
	answer, err := s.plan(stream.Context(), req)
	if err != nil {
		return err
	}
	posts, bays := answer.Layout.GetPosts(), answer.Layout.GetBays()
	answer.Layout.Posts, answer.Layout.Bays = nil, nil
	if err := stream.Send(&wattlev1.StreamLayoutResponse{Part: answer}); err != nil {
		return err
	}
	send := func(piece *wattlev1.Layout) error {
		return stream.Send(&wattlev1.StreamLayoutResponse{Part: &wattlev1.PlanLayoutResponse{Layout: piece}})
	}
	for len(posts) > 0 {
		n := min(streamPiece, len(posts))
		if err := send(&wattlev1.Layout{Posts: posts[:n]}); err != nil {
			return err
		}
		posts = posts[n:]
	}
	for len(bays) > 0 {
		n := min(streamPiece, len(bays))
		if err := send(&wattlev1.Layout{Bays: bays[:n]}); err != nil {
			return err
		}
		bays = bays[n:]
	}
	return nil
}
