package rest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/known/durationpb"
)

// calls is the connection to the service as the generated code uses it: the
// query goes into the request before a call, and what the service says of
// fields comes back by JSON names.
type calls struct {
	conn  grpc.ClientConnInterface
	slots chan struct{}
}

// take is a place among the open calls, to be given back.
func (c calls) take() (giveBack func(), err error) {
	select {
	case c.slots <- struct{}{}:
		return func() { <-c.slots }, nil
	default:
		return nil, full(cap(c.slots))
	}
}

// full is the refusal where so many calls are open that there is no place for
// one more.
func full(most int) error {
	st := ownErrorf(codes.Unavailable, "TOO_MANY_CALLS", "%d calls are open already; try again", most)
	return withDetails(st, &errdetails.RetryInfo{RetryDelay: durationpb.New(time.Second)}).Err()
}

// Invoke makes a unary call.
func (c calls) Invoke(ctx context.Context, method string, request, answer any, opts ...grpc.CallOption) error {
	giveBack, err := c.take()
	if err != nil {
		return err
	}
	defer giveBack()
	_, document := answer.(documented)
	fields, err := fill(ctx, request, document)
	if err != nil {
		return err
	}
	if err := c.conn.Invoke(ctx, method, request, answer, opts...); err != nil {
		return inJSONNames(err, fields)
	}
	if message, ok := answer.(proto.Message); ok {
		violationsInJSONNames(message.ProtoReflect(), fields)
	}
	return nil
}

// NewStream makes a streaming call.
func (c calls) NewStream(ctx context.Context, desc *grpc.StreamDesc, method string, opts ...grpc.CallOption) (grpc.ClientStream, error) {
	giveBack, err := c.take()
	if err != nil {
		return nil, err
	}
	context.AfterFunc(ctx, giveBack) // when the request is answered
	s, err := c.conn.NewStream(ctx, desc, method, opts...)
	if err != nil {
		return nil, err
	}
	return &stream{ClientStream: s, method: method}, nil
}

// stream is an answer in pieces. The first is received before the answer
// begins, so that an error in its place is answered as any other error, with
// its HTTP status.
type stream struct {
	grpc.ClientStream
	method   string
	request  protoreflect.MessageDescriptor
	first    proto.Message // until it is handed on
	firstErr error
}

// SendMsg sends the one request.
func (s *stream) SendMsg(request any) error {
	fields, err := fill(s.Context(), request, false)
	if err != nil {
		return err
	}
	s.request = fields
	return s.ClientStream.SendMsg(request)
}

// Header is called once the request is sent.
func (s *stream) Header() (metadata.MD, error) {
	header, err := s.ClientStream.Header()
	if err != nil {
		return nil, inJSONNames(err, s.request)
	}
	first, err := newAnswer(s.method)
	if err != nil {
		return nil, err
	}
	s.first, s.firstErr = first, s.ClientStream.RecvMsg(first)
	if errors.Is(s.firstErr, io.EOF) { // an answer of no pieces is an answer
		return header, nil
	}
	return header, inJSONNames(s.firstErr, s.request)
}

// RecvMsg receives the next piece.
func (s *stream) RecvMsg(m any) error {
	piece, ok := m.(proto.Message)
	if s.first == nil || !ok {
		return inJSONNames(s.ClientStream.RecvMsg(m), s.request)
	}
	first := s.first
	s.first = nil
	if s.firstErr == nil {
		proto.Merge(piece, first)
	}
	return s.firstErr
}

// newAnswer is an empty answer of an RPC, named /package.Service/Method.
func newAnswer(method string) (proto.Message, error) {
	name := strings.ReplaceAll(strings.TrimPrefix(method, "/"), "/", ".")
	found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(name))
	if err != nil {
		return nil, err
	}
	rpc, ok := found.(protoreflect.MethodDescriptor)
	if !ok {
		return nil, fmt.Errorf("%s is no method", method)
	}
	kind, err := protoregistry.GlobalTypes.FindMessageByName(rpc.Output().FullName())
	if err != nil {
		return nil, err
	}
	return kind.New().Interface(), nil
}
