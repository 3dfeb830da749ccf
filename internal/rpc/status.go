package rpc

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/types/known/durationpb"

	"wattle/internal/fault"
)

// errorDomain is the domain of every ErrorInfo.
const errorDomain = "wattle"

// codeOf is the one table from our kinds of error to gRPC's.
var codeOf = map[fault.Kind]codes.Code{
	fault.Internal:         codes.Internal,
	fault.Invalid:          codes.InvalidArgument,
	fault.NotFound:         codes.NotFound,
	fault.AlreadyExists:    codes.AlreadyExists,
	fault.Conflict:         codes.Aborted,
	fault.Refused:          codes.FailedPrecondition,
	fault.Exhausted:        codes.ResourceExhausted,
	fault.Unavailable:      codes.Unavailable,
	fault.DeadlineExceeded: codes.DeadlineExceeded,
	fault.Canceled:         codes.Canceled,
	fault.Unauthenticated:  codes.Unauthenticated,
	fault.Denied:           codes.PermissionDenied,
}

// A status travels in HTTP/2 trailers, of which some clients take 8 KiB and no
// more: past that they show an error of their own in place of ours. So the
// listed violations are kept to a size, and what is left out is counted.
const (
	mostViolationBytes   = 3500
	mostDescriptionBytes = 400
	mostMessageBytes     = 300
	mostMetaBytes        = 128
)

// unexplained is what a caller reads of an error that only the log explains.
const unexplained = "something went wrong on our side; the request id finds the reason in the log"

// faultOf is err in our own vocabulary; nil where err is a status already.
func faultOf(err error) *fault.Error {
	if e, ok := errors.AsType[*fault.Error](err); ok {
		return e
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return deadlinePassed(err)
	case errors.Is(err, context.Canceled):
		return fault.Wrap(err, fault.Canceled, "CANCELED", "the call was cancelled")
	}
	if _, ok := status.FromError(err); ok {
		return nil
	}
	return fault.Wrap(err, fault.Internal, "INTERNAL", unexplained)
}

func deadlinePassed(cause error) *fault.Error {
	return fault.Wrap(cause, fault.DeadlineExceeded, "DEADLINE_EXCEEDED", "the deadline passed before the answer was ready")
}

// statusOf is what the caller is told: the code, a message for people, and
// details for programs. Causes are left out.
func statusOf(err error, requestID string) *status.Status {
	details := []protoadapt.MessageV1{&errdetails.RequestInfo{RequestId: requestID}}
	st, _ := status.FromError(err)
	if e := faultOf(err); e != nil {
		st = status.New(codeOf[e.Kind], clip(messageOf(e), mostMessageBytes))
		info := &errdetails.ErrorInfo{Reason: e.Reason, Domain: errorDomain, Metadata: make(map[string]string, len(e.Meta))}
		for k, v := range e.Meta {
			info.Metadata[k] = clip(v, mostMetaBytes)
		}
		details = append(details, info)
		if len(e.Violations) > 0 {
			listed := badRequest(e.Violations)
			details = append(details, listed)
			info.Metadata["violations"] = strconv.Itoa(len(e.Violations))
		}
		if l, ok := errors.AsType[later](err); ok {
			details = append(details, &errdetails.RetryInfo{RetryDelay: durationpb.New(l.after)})
		}
		if e.ResourceType != "" {
			details = append(details, &errdetails.ResourceInfo{ResourceType: e.ResourceType, ResourceName: e.ResourceName})
		}
	}
	full, err := st.WithDetails(details...)
	if err != nil { // only for a detail that cannot be marshalled
		return st
	}
	return full
}

// messageOf is the message with the first violation, for clients that show
// nothing else.
func messageOf(e *fault.Error) string {
	if len(e.Violations) == 0 {
		return e.Message
	}
	first := e.Violations[0]
	message := e.Message + ": " + first.Field + ": " + first.Description
	if more := len(e.Violations) - 1; more > 0 {
		message += " (and " + strconv.Itoa(more) + " more)"
	}
	return message
}

func badRequest(violations []fault.Violation) *errdetails.BadRequest {
	out := &errdetails.BadRequest{}
	size := 0
	for i, v := range violations {
		field, description := clip(v.Field, mostDescriptionBytes), clip(v.Description, mostDescriptionBytes)
		if size += len(field) + len(description); size > mostViolationBytes {
			out.FieldViolations = append(out.FieldViolations, &errdetails.BadRequest_FieldViolation{
				Description: strconv.Itoa(len(violations)-i) + " more, not listed",
			})
			break
		}
		out.FieldViolations = append(out.FieldViolations, &errdetails.BadRequest_FieldViolation{Field: field, Description: description})
	}
	return out
}

// clip is s, cut between characters to at most size bytes.
func clip(s string, size int) string {
	if len(s) <= size {
		return s
	}
	return strings.ToValidUTF8(s[:size-3], "") + "..."
}
