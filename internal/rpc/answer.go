package rpc

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
)

// answerLimit refuses answers that a client with default settings could not
// receive, in words that say what to do.
type answerLimit int

// unary measures what the caller will get, so nothing that changes the answer may
// stand outside it.
func (limit answerLimit) unary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	ctx, lent := lend(ctx)
	answer, err := next(ctx, req)
	if err != nil {
		return nil, err
	}
	message, ok := answer.(proto.Message)
	if !ok {
		return answer, nil
	}
	size := proto.Size(message)
	if size > int(limit) {
		instead := "ask for less, such as fewer runs, a smaller page or the basic view"
		if _, planned := answer.(*wattlev1.PlanLayoutResponse); planned {
			instead = "call StreamLayout, which gives a layout of any size in pieces"
		}
		return nil, fault.New(fault.Exhausted, "ANSWER_TOO_LARGE",
			"the answer has %d bytes, over the limit of %d; %s", size, int(limit), instead)
	}
	return measured{message, size, lent}, nil
}

func (limit answerLimit) holds(m proto.Message) bool { return proto.Size(m) <= int(limit) }

// measured is an answer with its size, which the codec then need not find out
// again: for a take-off that is a third of what sending it takes.
type measured struct {
	proto.Message
	size int
	lent *lent // what it is made of
}

// unmeasured is the answer itself.
func unmeasured(answer any) any {
	if m, ok := answer.(measured); ok {
		return m.Message
	}
	return answer
}

// Marshal implements encoding.CodecV2.
func (c codec) Marshal(v any) (mem.BufferSlice, error) {
	m, ok := v.(measured)
	if !ok {
		return c.CodecV2.Marshal(v)
	}
	pool := mem.DefaultBufferPool()
	buf := pool.Get(m.size)
	out, err := proto.MarshalOptions{UseCachedSize: true}.MarshalAppend((*buf)[:0], m.Message)
	if err != nil {
		pool.Put(buf)
		return nil, err
	}
	m.lent.release() // nobody reads the message from here on
	*buf = out
	return mem.BufferSlice{mem.NewBuffer(buf, pool)}, nil
}
