package rpc

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
)

// answerLimit refuses answers that a client with default settings could not
// receive, in words that say what to do.
type answerLimit int

func (limit answerLimit) unary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	answer, err := next(ctx, req)
	if err != nil {
		return nil, err
	}
	if message, ok := answer.(proto.Message); ok && !limit.holds(message) {
		instead := "ask for less, such as fewer runs, a smaller page or the basic view"
		if _, planned := answer.(*wattlev1.PlanLayoutResponse); planned {
			instead = "call StreamLayout, which gives a layout of any size in pieces"
		}
		return nil, fault.New(fault.Exhausted, "ANSWER_TOO_LARGE",
			"the answer has %d bytes, over the limit of %d; %s", proto.Size(message), int(limit), instead)
	}
	return answer, nil
}

func (limit answerLimit) holds(m proto.Message) bool { return proto.Size(m) <= int(limit) }
