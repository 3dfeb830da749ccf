package rpc

import (
	"context"
	"errors"
	"fmt"

	"buf.build/go/protovalidate"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// validation holds every incoming message against the rules in its .proto and
// lists all violations. (The middleware library's interceptor answers with
// protovalidate's own detail; our callers read google.rpc.BadRequest.)
type validation struct{ validator protovalidate.Validator }

func newValidation() (validation, error) {
	validator, err := protovalidate.New(protovalidate.WithMessageDescriptors(requestDescriptors()...))
	if err != nil {
		return validation{}, fmt.Errorf("compile the validation rules: %w", err)
	}
	return validation{validator}, nil
}

// requestDescriptors are the request messages of all our services, so that
// their rules are compiled at the start and not in somebody's first call.
func requestDescriptors() []protoreflect.MessageDescriptor {
	var out []protoreflect.MessageDescriptor
	for _, file := range []protoreflect.FileDescriptor{
		wattlev1.File_wattle_v1_layout_service_proto,
		wattlev1.File_wattle_v1_takeoff_service_proto,
		wattlev1.File_wattle_v1_price_book_service_proto,
		wattlev1.File_wattle_v1_impact_service_proto,
		wattlev1.File_wattle_v1_cost_service_proto,
		wattlev1.File_wattle_v1_export_service_proto,
		wattlev1.File_wattle_v1_actuals_service_proto,
		wattlev1.File_wattle_v1_quote_service_proto,
		wattlev1.File_wattle_v1_catalog_service_proto,
		wattlev1.File_wattle_v1_advice_service_proto,
		wattlev1.File_wattle_v1_office_service_proto,
		wattlev1.File_wattle_v1_template_service_proto,
		wattlev1.File_wattle_v1_customer_service_proto,
		wattlev1.File_wattle_v1_event_service_proto,
		wattlev1.File_wattle_v1_webhook_service_proto,
	} {
		for i := range file.Services().Len() {
			methods := file.Services().Get(i).Methods()
			for j := range methods.Len() {
				out = append(out, methods.Get(j).Input())
			}
		}
	}
	return out
}

func (v validation) unary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if err := v.check(req); err != nil {
		return nil, err
	}
	return next(ctx, req)
}

func (v validation) stream(srv any, s grpc.ServerStream, _ *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	return next(srv, validatedStream{s, v})
}

type validatedStream struct {
	grpc.ServerStream
	validation
}

func (s validatedStream) RecvMsg(m any) error {
	if err := s.ServerStream.RecvMsg(m); err != nil {
		return err
	}
	return s.check(m)
}

func (v validation) check(m any) error {
	message, ok := m.(proto.Message)
	if !ok {
		return fmt.Errorf("%T is no protobuf message", m)
	}
	err := v.validator.Validate(message)
	if err == nil {
		return nil
	}
	invalid, ok := errors.AsType[*protovalidate.ValidationError](err)
	if !ok {
		return fmt.Errorf("validate %T: %w", m, err)
	}
	var list fault.List
	listed := make(map[string]bool)
	for _, violation := range invalid.Violations {
		field := protovalidate.FieldPathString(violation.Proto.GetField())
		listed[field] = true
		list.Add(field, "%s", violation.Proto.GetMessage())
	}
	// What cannot be read as a length, a date or a number is as much a matter
	// of shape, though no rule in the proto can say it: one answer has both.
	if unread, ok := errors.AsType[*fault.Error](readable(m)); ok {
		for _, violation := range unread.Violations {
			if !listed[violation.Field] {
				list.Add(violation.Field, "%s", violation.Description)
			}
		}
	}
	return list.Err()
}

// readable is the error that reading a request's texts gives, if any.
func readable(m any) error {
	switch req := m.(type) {
	case *wattlev1.CreateQuoteRequest:
		_, _, err := createQuoteFromProto(context.Background(), req, namedSpec{})
		return err
	case *wattlev1.ReviseQuoteRequest:
		_, _, err := revisionOf(context.Background(), estimating.Stored{}, req, namedSpec{})
		return err
	case *wattlev1.AcceptQuoteRequest:
		_, err := acceptFromProto(context.Background(), req)
		return err
	case *wattlev1.DeclineQuoteRequest:
		_, err := declineFromProto(context.Background(), req)
		return err
	case *wattlev1.UpdateCustomerRequest:
		_, err := updateCustomerFromProto(context.Background(), req)
		return err
	case *wattlev1.SaveSpecRequest:
		_, err := saveSpecFromProto(context.Background(), req)
		return err
	case *wattlev1.GetSpecRequest:
		_, _, err := entryFromProto(req.GetName())
		return err
	case *wattlev1.ListSpecVersionsRequest:
		_, _, err := entryFromProto(req.GetName())
		return err
	case *wattlev1.WithdrawSpecRequest:
		_, _, err := entryFromProto(req.GetName())
		return err
	case *wattlev1.CompareOptionsRequest:
		_, _, err := compareOptionsFromProto(req, nil)
		return err
	case *wattlev1.AdviseRequest:
		_, _, err := adviseFromProto(req, namedSpec{})
		return err
	case jobRequest:
		_, err := JobFromProto(req)
		return err
	default:
		return nil
	}
}
