package rpc

import (
	"context"
	"errors"
	"io"

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

// receiving registers services whose unary calls are observed from before their
// message is received.
type receiving struct {
	grpc.ServiceRegistrar
	observe observer
}

// RegisterService implements grpc.ServiceRegistrar.
func (r receiving) RegisterService(desc *grpc.ServiceDesc, impl any) {
	with := *desc
	with.Methods = make([]grpc.MethodDesc, len(desc.Methods))
	for i, m := range desc.Methods {
		with.Methods[i] = grpc.MethodDesc{MethodName: m.MethodName, Handler: r.handler(m)}
	}
	r.ServiceRegistrar.RegisterService(&with, impl)
}

func (r receiving) handler(m grpc.MethodDesc) func(any, context.Context, func(any) error, grpc.UnaryServerInterceptor) (any, error) {
	return func(srv any, ctx context.Context, receive func(any) error, intercept grpc.UnaryServerInterceptor) (any, error) {
		var failed error
		attempt := func(message any) error {
			failed = receiveInto(message, receive)
			return nil // so that the interceptor is called, whatever came
		}
		return m.Handler(srv, nameCall(ctx), attempt, func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
			if failed != nil {
				return r.observe.unary(ctx, nil, info, func(context.Context, any) (any, error) { return nil, failed })
			}
			return intercept(ctx, req, info, next)
		})
	}
}

// observedStream is a stream whose errors are ours too, and that remembers what
// was answered last.
type observedStream struct {
	*middleware.WrappedServerStream
	answer any
}

// RecvMsg implements grpc.ServerStream.
func (s *observedStream) RecvMsg(m any) error {
	return receiveInto(m, s.WrappedServerStream.RecvMsg)
}

// SendMsg implements grpc.ServerStream.
func (s *observedStream) SendMsg(m any) error {
	s.answer = m
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
