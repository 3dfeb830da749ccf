package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"wattle/internal/fault"
)

// What the program exits with.
const (
	exitDone = iota
	exitFailed
	exitWrongUse
	exitRefused
)

// usageError is a command line that cannot be carried out.
type usageError struct {
	cause   error
	command string
}

func (e *usageError) Error() string {
	return fmt.Sprintf("%v\nSee `%s --help`.", e.cause, e.command)
}

func (e *usageError) Unwrap() error { return e.cause }

func wrongUse(cmd *cobra.Command, err error) error { return &usageError{err, cmd.CommandPath()} }

func wrongUsef(cmd *cobra.Command, format string, args ...any) error {
	return wrongUse(cmd, fmt.Errorf(format, args...))
}

// report prints what went wrong, plainly, and gives the exit code of it.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitDone
	}
	fmt.Fprintln(w, "wattle: "+describe(err))
	return exitCode(err)
}

func exitCode(err error) int {
	if _, ok := errors.AsType[*usageError](err); ok {
		return exitWrongUse
	}
	switch statusOf(err).Code() {
	case codes.FailedPrecondition, codes.Aborted, codes.AlreadyExists, codes.PermissionDenied, codes.Unauthenticated:
		return exitRefused
	case codes.Unknown: // not a status; perhaps an error of our own
	default:
		return exitFailed
	}
	if _, ok := errors.AsType[*fault.Error](err); !ok {
		return exitFailed
	}
	switch fault.KindOf(err) {
	case fault.Refused, fault.Conflict, fault.AlreadyExists:
		return exitRefused
	default:
		return exitFailed
	}
}

// statusOf is the gRPC status in err's chain; Unknown where there is none.
func statusOf(err error) *status.Status {
	if s, ok := errors.AsType[interface {
		error
		GRPCStatus() *status.Status
	}](err); ok {
		return s.GRPCStatus()
	}
	return status.New(codes.Unknown, err.Error())
}

// describe is the message, and each thing wrong with the request on a line.
func describe(err error) string {
	if errors.Is(err, context.Canceled) {
		return "interrupted"
	}
	s := statusOf(err)
	if s.Code() == codes.Unknown {
		return strings.TrimSpace(err.Error())
	}
	message := s.Message()
	if len(s.Details()) == 0 { // the transport's own words, not the service's
		switch s.Code() {
		case codes.ResourceExhausted:
			return "the service takes no request or gives no answer this large (" + message + ")"
		case codes.DeadlineExceeded:
			return "the service did not answer in time"
		default:
		}
	}
	var lines []string
	for _, detail := range s.Details() {
		bad, ok := detail.(*errdetails.BadRequest)
		if !ok {
			continue
		}
		for i, v := range bad.GetFieldViolations() {
			if i == 0 { // the message repeats it, for clients that show nothing else
				message, _, _ = strings.Cut(message, ": "+v.GetField()+": ")
			}
			lines = append(lines, "\n  "+strings.TrimPrefix(v.GetField()+": "+v.GetDescription(), ": "))
		}
	}
	return message + strings.Join(lines, "")
}
