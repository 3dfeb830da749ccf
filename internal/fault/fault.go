// Package fault is the one vocabulary of errors. Every layer speaks it; the
// edge (internal/rpc) translates it to gRPC codes in one table, and
// internal/postgres translates driver errors into it. Messages are for the
// person who made the request; causes are for the log and never leave the
// process.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Kind says what a caller can do about an error.
type Kind int

const (
	// Internal is a defect of ours; nothing the caller sent explains it.
	Internal Kind = iota
	// Invalid: the request is wrong; Violations lists everything wrong with it.
	Invalid
	// NotFound: the named resource does not exist.
	NotFound
	// AlreadyExists: the resource, or the request id with another body, exists.
	AlreadyExists
	// Conflict: the state moved underneath the caller; read again and retry.
	Conflict
	// Refused: a business rule says no to a well-formed request.
	Refused
	// Exhausted: a limit is passed.
	Exhausted
	// Unavailable: try the same call later.
	Unavailable
	// DeadlineExceeded: the caller's deadline passed before the answer.
	DeadlineExceeded
	// Canceled: the caller went away.
	Canceled
	// Unauthenticated: it is not known who calls.
	Unauthenticated
	// Denied: the caller is known and may not do this.
	Denied
)

var kindNames = [...]string{
	"internal", "invalid", "not found", "already exists", "conflict",
	"refused", "exhausted", "unavailable", "deadline exceeded", "canceled",
	"unauthenticated", "denied",
}

// Kinds lists every kind, so that a table over them can be tested for holes.
func Kinds() []Kind {
	kinds := make([]Kind, len(kindNames))
	for i := range kinds {
		kinds[i] = Kind(i)
	}
	return kinds
}

func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return fmt.Sprintf("kind(%d)", int(k))
	}
	return kindNames[k]
}

// Violation is one thing wrong with a request. Field is a path in the
// request's own names, such as `site.runs[0].gates[1].width`; Description says
// what was expected and what was found.
type Violation struct {
	Field       string
	Description string
}

// Error is an error with a kind, a stable machine-readable reason
// (UPPER_SNAKE_CASE) and the data a client needs to act on it.
type Error struct {
	Kind       Kind
	Reason     string
	Message    string
	Violations []Violation
	// Resource names the thing the error is about, as type and name, where
	// there is one: {"quote", "companies/harrow/quotes/..."}.
	ResourceType, ResourceName string
	// Meta is further data for the client; keys are lowerCamel.
	Meta  map[string]string
	cause error
}

// New makes an error without a cause.
func New(kind Kind, reason, format string, args ...any) *Error {
	return &Error{Kind: kind, Reason: reason, Message: fmt.Sprintf(format, args...)}
}

// Wrap makes an error that keeps its cause for the log. The cause's text is
// not part of the message.
func Wrap(cause error, kind Kind, reason, format string, args ...any) *Error {
	e := New(kind, reason, format, args...)
	e.cause = cause
	return e
}

// About names the resource the error is about.
func (e *Error) About(resourceType, name string) *Error {
	e.ResourceType, e.ResourceName = resourceType, name
	return e
}

// With adds one piece of data for the client.
func (e *Error) With(key, value string) *Error {
	if e.Meta == nil {
		e.Meta = make(map[string]string)
	}
	e.Meta[key] = value
	return e
}

// Error is the message followed by every violation, a line each.
func (e *Error) Error() string {
	var s strings.Builder
	s.WriteString(e.Message)
	for _, v := range e.Violations {
		s.WriteString("\n  " + v.Field + ": " + v.Description)
	}
	return s.String()
}

func (e *Error) Unwrap() error { return e.cause }

// KindOf is the kind of the first Error in err's chain; Internal where there
// is none.
func KindOf(err error) Kind {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Internal
}
