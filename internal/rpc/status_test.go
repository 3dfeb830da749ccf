package rpc

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"wattle/internal/fault"
)

func TestEveryKindHasACodeOfItsOwn(t *testing.T) {
	seen := make(map[codes.Code]fault.Kind)
	for _, kind := range fault.Kinds() {
		code, ok := codeOf[kind]
		if !ok || code == codes.OK || code == codes.Unknown {
			t.Errorf("%v: code %v", kind, code)
		}
		if other, taken := seen[code]; taken {
			t.Errorf("%v and %v are both %v", kind, other, code)
		}
		seen[code] = kind
		if got := statusOf(fault.New(kind, "REASON", "words"), "r1").Code(); got != code {
			t.Errorf("%v: status %v, want %v", kind, got, code)
		}
	}
	if len(codeOf) != len(fault.Kinds()) {
		t.Errorf("the table has %d kinds, there are %d", len(codeOf), len(fault.Kinds()))
	}
}

// detail is the status's detail of a type; nil where it has none.
func detail[D proto.Message](st *status.Status) D {
	var none D
	for _, d := range st.Details() {
		if found, ok := d.(D); ok {
			return found
		}
	}
	return none
}

func TestStatusDetails(t *testing.T) {
	cause := errors.New("pq: relation quotes, host db-1")
	e := fault.Wrap(cause, fault.Invalid, "INVALID_REQUEST", "two things").About("quote", "companies/harrow/quotes/q1").With("limit", "4")
	e.Violations = []fault.Violation{{Field: "site.runs[0].id", Description: "expected an id"}, {Field: "spec.height", Description: "too low"}}
	st := statusOf(fmt.Errorf("on the way: %w", e), "req-7")

	if want := "two things: site.runs[0].id: expected an id (and 1 more)"; st.Code() != codes.InvalidArgument || st.Message() != want {
		t.Errorf("%v %q, want %q", st.Code(), st.Message(), want)
	}
	if id := detail[*errdetails.RequestInfo](st).GetRequestId(); id != "req-7" {
		t.Errorf("request id %q", id)
	}
	info := detail[*errdetails.ErrorInfo](st)
	if info.GetReason() != "INVALID_REQUEST" || info.GetDomain() != "wattle" || info.GetMetadata()["limit"] != "4" || info.GetMetadata()["violations"] != "2" {
		t.Errorf("error info %v", info)
	}
	if r := detail[*errdetails.ResourceInfo](st); r.GetResourceType() != "quote" || r.GetResourceName() != "companies/harrow/quotes/q1" {
		t.Errorf("resource %v", r)
	}
	if got := describe(st); !slices.Equal(got, []string{"site.runs[0].id: expected an id", "spec.height: too low"}) {
		t.Errorf("violations %q", got)
	}
	if strings.Contains(st.Proto().String(), "db-1") {
		t.Error("the cause left the process")
	}
}

// describe is the status's violations, a line each.
func describe(st *status.Status) []string {
	var out []string
	for _, v := range detail[*errdetails.BadRequest](st).GetFieldViolations() {
		out = append(out, v.GetField()+": "+v.GetDescription())
	}
	return out
}

func TestOtherErrors(t *testing.T) {
	for _, c := range []struct {
		err     error
		code    codes.Code
		message string
	}{
		{errors.New("password of db-1"), codes.Internal, unexplained},
		{fmt.Errorf("query: %w", context.DeadlineExceeded), codes.DeadlineExceeded, "the deadline passed before the answer was ready"},
		{context.Canceled, codes.Canceled, "the call was cancelled"},
		{status.Error(codes.ResourceExhausted, "larger than max"), codes.ResourceExhausted, "larger than max"},
	} {
		st := statusOf(c.err, "r")
		if st.Code() != c.code || st.Message() != c.message {
			t.Errorf("%v: %v %q", c.err, st.Code(), st.Message())
		}
		if detail[*errdetails.RequestInfo](st).GetRequestId() != "r" {
			t.Errorf("%v: no request id", c.err)
		}
	}
}

// A status fits the 8 KiB of trailers that the most modest clients take,
// however much is wrong, and says how much it left out. The details travel in
// base64, 4 bytes for 3; the message once more by itself, 3 bytes for each that
// is not ASCII.
func TestStatusFitsTrailers(t *testing.T) {
	var v fault.List
	for i := range 10_000 {
		v.Add(fmt.Sprintf("site.runs[%d].vertices[0].east", i), "%s", strings.Repeat("é", 300))
	}
	e := faultOf(v.Err())
	for i := range 5 {
		e = e.With(fmt.Sprint("key", i), strings.Repeat("v", 1000))
	}
	st := statusOf(e, strings.Repeat("r", 128))
	if size := proto.Size(st.Proto())*4/3 + 3*len(st.Message()); size > 8<<10 {
		t.Errorf("%d bytes", size)
	}
	lines := describe(st)
	last := lines[len(lines)-1]
	if want := fmt.Sprintf(": %d more, not listed", 10_000-(len(lines)-1)); last != want {
		t.Errorf("the last line is %q, want %q", last, want)
	}
	if n := detail[*errdetails.ErrorInfo](st).GetMetadata()["violations"]; n != "10000" {
		t.Errorf("violations: %s", n)
	}
}
