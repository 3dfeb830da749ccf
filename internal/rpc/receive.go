package rpc

import (
	"context"
	"errors"
	"io"
	"sync/atomic"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/encoding"
	protocodec "google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"

	"wattle/internal/fault"
)

// gRPC takes in the message of a unary call before any interceptor sees the
// call, and where it cannot it answers by itself; so it does for a method that
// nobody registered. Such errors would have no request id and no line of log.
// Here they come the way of all others, but for what gRPC finds wrong before it
// decodes a message (its size, its compression): that answer is out already, and
// has the request id as metadata alone.

// registrar registers services so that each unary call has its name and passes
// the door before its message is received, for which the server's interceptors
// come too late. What fails before them is told as by an interceptor.
type registrar struct {
	*grpc.Server
	door    *door
	observe observer
}

// RegisterService implements grpc.ServiceRegistrar.
func (r registrar) RegisterService(desc *grpc.ServiceDesc, impl any) {
	with := *desc
	with.Methods = make([]grpc.MethodDesc, len(desc.Methods))
	for i, m := range desc.Methods {
		with.Methods[i] = grpc.MethodDesc{MethodName: m.MethodName, Handler: r.handler("/"+desc.ServiceName+"/"+m.MethodName, m)}
	}
	r.Server.RegisterService(&with, impl)
}

func (r registrar) handler(name string, m grpc.MethodDesc) grpc.MethodHandler {
	return func(srv any, ctx context.Context, receive func(any) error, intercept grpc.UnaryServerInterceptor) (any, error) {
		ctx = nameCall(ctx)
		fail := func(err error) (any, error) {
			return r.observe.unary(ctx, nil, &grpc.UnaryServerInfo{Server: srv, FullMethod: name}, func(context.Context, any) (any, error) { return nil, err })
		}
		ctx, visit, err := r.door.enter(ctx, name, false)
		if err != nil {
			return fail(err)
		}
		defer visit.leave()
		var failed error
		return m.Handler(srv, ctx, func(message any) error {
			failed = receiveInto(message, func(m any) error { return inTime(receive, r.door.reading, m) })
			return nil // so that the interceptor is called, whatever came
		}, func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
			if failed != nil {
				return fail(failed)
			}
			return intercept(ctx, req, info, next)
		})
	}
}

// observedStream is a stream whose errors are ours too, and that remembers what
// was answered last; a message whose taking in was given up may still be on its
// way while that is asked.
type observedStream struct {
	*middleware.WrappedServerStream
	last atomic.Pointer[any]
}

// answer is what was sent last, or nil.
func (s *observedStream) answer() any {
	if last := s.last.Load(); last != nil {
		return *last
	}
	return nil
}

// RecvMsg implements grpc.ServerStream.
func (s *observedStream) RecvMsg(m any) error {
	return receiveInto(m, s.WrappedServerStream.RecvMsg)
}

// SendMsg implements grpc.ServerStream.
func (s *observedStream) SendMsg(m any) error {
	s.last.Store(&m)
	return s.WrappedServerStream.SendMsg(m)
}

// incoming is a message on its way in. What is wrong with it is kept here, since
// gRPC would answer an error of its codec at once.
type incoming struct {
	message any
	err     error
}

func receiveInto(message any, receive func(any) error) error {
	in := &incoming{message: message}
	if err := receive(in); err != nil {
		return receiveFault(err)
	}
	if in.err != nil {
		return unreadable(in.err)
	}
	return nil
}

// codec is protobuf, for a server that receives into incoming.
type codec struct{ encoding.CodecV2 }

func newCodec() codec { return codec{encoding.GetCodecV2(protocodec.Name)} }

// Unmarshal implements encoding.CodecV2.
func (c codec) Unmarshal(data mem.BufferSlice, v any) error {
	in, ok := v.(*incoming)
	if !ok {
		return c.CodecV2.Unmarshal(data, v)
	}
	in.err = c.CodecV2.Unmarshal(data, in.message)
	return nil
}

func unreadable(cause error) error {
	return fault.Wrap(cause, fault.Invalid, "MESSAGE_UNREADABLE", "a message of the request cannot be read as what this method takes; is it of another version of the API, or cut short?")
}

// receiveFault is why a message could not be received, where gRPC says it in
// words of its own.
func receiveFault(err error) error {
	if err == nil || errors.Is(err, io.EOF) {
		return err
	}
	st, _ := status.FromError(err)
	switch st.Code() {
	case codes.ResourceExhausted:
		return fault.Wrap(err, fault.Exhausted, "REQUEST_TOO_LARGE", "a message of the request is over the limit; send less at once")
	case codes.Internal:
		return unreadable(err)
	default: // the caller went away, or its time is over
		return err
	}
}

// errUnknownMethod answers a call of a method that this server does not have.
var errUnknownMethod = unknown()

func unknown() error {
	st := status.New(codes.Unimplemented, "this service has no such method; server reflection lists those that it has")
	if full, err := st.WithDetails(&errdetails.ErrorInfo{Reason: "METHOD_UNKNOWN", Domain: errorDomain}); err == nil {
		st = full
	}
	return st.Err()
}

// answerUnknown is never reached: the observer answers in its place, where the
// call has its name.
func answerUnknown(any, grpc.ServerStream) error { return errUnknownMethod }
