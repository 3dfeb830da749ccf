package rest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/genproto/googleapis/rpc/code"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
)

// Every error is answered as a google.rpc.Status in JSON, with the HTTP status
// that google.rpc.Code names for its code, or the one HTTP has for what went
// wrong before there was a call.

// errorDomain is the domain of every ErrorInfo, the service's own too.
const errorDomain = "wattle"

// mostEcho is how much of what the caller sent is said back, in bytes.
const mostEcho = 300

// ownError is an error of the gateway's own.
func ownError(c codes.Code, reason, message string) *status.Status {
	return withDetails(status.New(c, clip(message)), &errdetails.ErrorInfo{Reason: reason, Domain: errorDomain})
}

func ownErrorf(c codes.Code, reason, format string, args ...any) *status.Status {
	return ownError(c, reason, fmt.Sprintf(format, args...))
}

// answerError answers an error of a call.
func answerError(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, _ *http.Request, err error) {
	if unread, ok := errors.AsType[*runtime.HTTPStatusError](err); ok { // what the generated code makes of an address
		err = status.Error(codes.InvalidArgument, unread.Error())
	}
	st := status.Convert(err)
	if len(st.Details()) == 0 { // not the service's: the gateway's, or the connection's
		switch st.Code() {
		case codes.InvalidArgument:
			st = ownError(st.Code(), "INVALID_REQUEST", st.Message())
		case codes.Unavailable:
			st = ownError(st.Code(), "UNAVAILABLE", "the service does not answer; it may be starting or stopping")
		default:
			st = ownError(st.Code(), code.Code(st.Code()).String(), st.Message())
		}
	}
	if st.Code() == codes.Unauthenticated {
		w.Header().Set("WWW-Authenticate", "Bearer")
	}
	for _, detail := range st.Details() {
		if retry, ok := detail.(*errdetails.RetryInfo); ok {
			w.Header().Set("Retry-After", strconv.FormatInt(int64(math.Ceil(retry.GetRetryDelay().AsDuration().Seconds())), 10))
		}
	}
	writeError(w, runtime.HTTPStatusFromCode(st.Code()), st)
}

// answerNoRoute answers a request whose address or method is nobody's.
func answerNoRoute(ctx context.Context, mux *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, httpStatus int) {
	if ctx.Value(probeKey{}) != nil {
		return
	}
	switch httpStatus {
	case http.StatusNotFound:
		writeError(w, httpStatus, ownErrorf(codes.NotFound, "ROUTE_NOT_FOUND", "there is nothing at %s; /openapi.json says what there is", clip(r.URL.Path)))
	case http.StatusMethodNotAllowed:
		allowed := strings.Join(methodsOf(ctx, mux, r), ", ")
		w.Header().Set("Allow", allowed)
		writeError(w, httpStatus, ownErrorf(codes.Unimplemented, "METHOD_NOT_ALLOWED", "expected %s, found %s", allowed, clip(r.Method)))
	default:
		writeError(w, httpStatus, ownError(codes.InvalidArgument, "INVALID_REQUEST", "the address cannot be read"))
	}
}

// probeKey marks a request that only asks whether its route exists.
type probeKey struct{}

func probed(next runtime.HandlerFunc) runtime.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request, path map[string]string) {
		if found, ok := r.Context().Value(probeKey{}).(*bool); ok {
			*found = true
			return
		}
		next(w, r, path)
	}
}

// methodsOf are the methods that a request's address knows.
func methodsOf(ctx context.Context, mux *runtime.ServeMux, r *http.Request) (known []string) {
	for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
		var found bool
		probe := r.Clone(context.WithValue(ctx, probeKey{}, &found))
		probe.Method = method
		mux.ServeHTTP(nil, probe)
		if found {
			known = append(known, method)
		}
	}
	return known
}

// writeError answers st, with the request's id where the service has not said
// it already.
func writeError(w http.ResponseWriter, httpStatus int, st *status.Status) {
	named := false
	for _, detail := range st.Details() {
		_, is := detail.(*errdetails.RequestInfo)
		named = named || is
	}
	if !named {
		st = withDetails(st, &errdetails.RequestInfo{RequestId: w.Header().Get(requestIDHeader)})
	}
	text, err := protojson.Marshal(st.Proto())
	if err != nil { // a detail of a type that this program does not have
		text, _ = protojson.Marshal(status.New(st.Code(), st.Message()).Proto())
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(httpStatus)
	_, _ = w.Write(text) //nolint:gosec // as JSON, which nosniff keeps from being taken for a page; a reader that went away needs no answer
}

// clip is s, cut between characters to mostEcho bytes.
func clip(s string) string {
	if len(s) <= mostEcho {
		return s
	}
	return strings.ToValidUTF8(s[:mostEcho-3], "") + "..."
}
