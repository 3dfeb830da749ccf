package rpc

import (
	"context"
	"errors"
	"io"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"wattle/internal/fault"
)

// gRPC takes in the message of a unary call before any interceptor sees the
// call, and answers by itself where it cannot; a method that nobody registered
// it answers at once. Such errors would have no request id and no line of log.
// Here they come the way of all others.

// receiving registers services whose unary calls are observed also where their
// message cannot be received.
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
	return func(srv any, ctx context.Context, receive func(any) error, intercept grpc.UnaryServerInterceptor) (any, error) { //nolint:revive // the order is gRPC's
		var failed error
		attempt := func(message any) error {
			failed = receiveFault(receive(message))
			return nil // so that the interceptor is called, whatever came
		}
		return m.Handler(srv, ctx, attempt, func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
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
func (s *observedStream) RecvMsg(m any) error { return receiveFault(s.WrappedServerStream.RecvMsg(m)) }

// SendMsg implements grpc.ServerStream.
func (s *observedStream) SendMsg(m any) error {
	s.answer = m
	return s.WrappedServerStream.SendMsg(m)
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
		return fault.Wrap(err, fault.Invalid, "MESSAGE_UNREADABLE", "a message of the request cannot be read as what this method takes; is it of another version of the API, or cut short?")
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
