package rpc

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
)

// deadlines give every call an end: a call whose deadline has passed already is
// refused before anything is done, one without a deadline gets a default.
type deadlines struct{ unaryDefault, streamDefault time.Duration }

// long are calls that work as long as a stream may.
var long = map[string]bool{wattlev1.PriceBookService_CommitImport_FullMethodName: true}

func (d deadlines) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	limit := d.unaryDefault
	if info != nil && long[info.FullMethod] {
		limit = d.streamDefault
	}
	if limit, more := within(ctx, limit); more {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, limit)
		defer cancel()
	}
	return next(ctx, req)
}

func (d deadlines) stream(srv any, s grpc.ServerStream, _ *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	ctx := s.Context()
	if err := ctx.Err(); err != nil {
		return err
	}
	limit, more := within(ctx, d.streamDefault)
	if !more {
		return next(srv, s) // gRPC ends the stream at the caller's deadline
	}
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	wrapped := middleware.WrapServerStream(s)
	wrapped.WrappedContext = ctx
	return next(srv, endingStream{wrapped})
}

// longest is how long a call may take, whatever its caller's own deadline.
const longest = time.Hour

// within is the time a call has, and whether that is less than its caller gave it.
func within(ctx context.Context, usual time.Duration) (time.Duration, bool) {
	end, ok := ctx.Deadline()
	if !ok {
		return usual, true
	}
	return longest, time.Until(end) > longest
}

// endingStream stops waiting for the caller, for his next message and for his
// taking in of ours, at a deadline that the transport does not know of.
type endingStream struct {
	*middleware.WrappedServerStream
}

func (s endingStream) RecvMsg(m any) error {
	return s.ending(func() error { return s.WrappedServerStream.RecvMsg(m) })
}

func (s endingStream) SendMsg(m any) error {
	return s.ending(func() error { return s.WrappedServerStream.SendMsg(m) })
}

func (s endingStream) ending(wait func() error) error {
	done := make(chan error, 1)
	// Ends at the latest when the handler returns, which ends the stream.
	go func() { done <- wait() }()
	select {
	case err := <-done:
		return err
	case <-s.Context().Done():
		if s.ServerStream.Context().Err() != nil { // the transport ended, which the other is told too, and why
			return <-done
		}
		return s.Context().Err()
	}
}

// recovered turns a panic into an error whose cause, with the stack, is logged.
func recovered(_ context.Context, p any) error {
	return fault.Wrap(fmt.Errorf("panic: %v\n%s", p, debug.Stack()), fault.Internal, "INTERNAL", unexplained)
}
