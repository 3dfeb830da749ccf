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
	message, ok := answer.(written)
	if !ok {
		return answer, nil
	}
	size := message.SizeVT()
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

func (limit answerLimit) holds(m written) bool { return m.SizeVT() <= int(limit) }

// written is a message of the API, which generated code knows how to write: it takes
// half the time of protobuf's own way, which finds its way through any message. It
// does not look whether texts are UTF-8, which is seen to where they come in.
type written interface {
	proto.Message
	SizeVT() int
	MarshalToSizedBufferVT(to []byte) (int, error)
}

// measured is an answer with its size, which the codec then need not find out
// again.
type measured struct {
	written
	size int
	lent *lent // what it is made of, or nil
}

// unmeasured is the answer itself.
func unmeasured(answer any) any {
	if m, ok := answer.(measured); ok {
		return m.written
	}
	return answer
}

// Marshal implements encoding.CodecV2.
func (c codec) Marshal(v any) (mem.BufferSlice, error) {
	m, ok := v.(measured)
	if !ok {
		own, ok := v.(written)
		if !ok {
			return c.CodecV2.Marshal(v)
		}
		m = measured{written: own, size: own.SizeVT()}
	}
	pool := mem.DefaultBufferPool()
	buf := pool.Get(m.size)
	if _, err := m.MarshalToSizedBufferVT(*buf); err != nil {
		pool.Put(buf)
		return nil, err
	}
	m.lent.release() // nobody reads the message from here on
	return mem.BufferSlice{mem.NewBuffer(buf, pool)}, nil
}
