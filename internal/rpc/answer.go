package rpc

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

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
		return nil, fault.New(fault.Exhausted, "ANSWER_TOO_LARGE",
			"the answer has %d bytes, over the limit of %d; ask for less, such as fewer runs, a smaller page or the basic view",
			proto.Size(message), int(limit))
	}
	return answer, nil
}

func (limit answerLimit) holds(m proto.Message) bool { return proto.Size(m) <= int(limit) }
