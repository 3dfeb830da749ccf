package rest

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"io"
	"log/slog"
	"mime"
	"net"
	"net/http"
	"net/url"
	"runtime/debug"
	"time"
	"unicode/utf8"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"go.opentelemetry.io/otel/trace"
	"google.golang.org/grpc/codes"

	"wattle/internal/admission"
	"wattle/internal/correlate"
)

// requestIDHeader names the request, in the answer too; requestIDKey is the
// same in the service's metadata.
const (
	requestIDHeader = "X-Request-Id"
	requestIDKey    = "x-request-id"
)

// observed names every request, as the caller did where that is one plain word,
// and logs those that fail. (The service logs every call; this line is for what
// does not reach it, and has the same request id.)
func observed(log *slog.Logger, patience time.Duration, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start, id := time.Now(), r.Header.Get(requestIDHeader)
		if !plainWord(id) {
			id = rand.Text()
			r.Header.Set(requestIDHeader, id)
		}
		r = r.WithContext(correlate.WithRequest(r.Context(), id))
		trace.SpanFromContext(r.Context()).SetAttributes(requestIDAttribute.String(id))
		h := w.Header()
		h.Set(requestIDHeader, id)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cache-Control", "no-store") // prices are nobody else's business
		answer := &answerWriter{ResponseWriter: w, control: http.NewResponseController(w), patience: patience, status: http.StatusOK}
		// A body that nobody asks for is read too, by the server, after the answer.
		_ = answer.control.SetReadDeadline(start.Add(patience)) // fails only where nothing comes over a network
		next.ServeHTTP(answer, r)
		if answer.status >= http.StatusBadRequest {
			log.LogAttrs(r.Context(), slog.LevelInfo, "http", slog.String("method", r.Method), slog.Int("status", answer.status),
				slog.Float64("took_ms", float64(time.Since(start).Microseconds())/1000), slog.String("peer", r.RemoteAddr))
		}
	})
}

// rescued answers a request whose handling panicked, where net/http would close
// the connection without a word. An answer that had begun breaks off.
func rescued(log *slog.Logger, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			p := recover()
			if p == nil {
				return
			}
			if p == http.ErrAbortHandler { //nolint:errorlint // the value itself is net/http's signal
				panic(p)
			}
			log.LogAttrs(r.Context(), slog.LevelError, "http panicked", slog.Any("panic", p), slog.String("trace", string(debug.Stack())))
			if answer, ok := w.(*answerWriter); ok && answer.begun {
				panic(http.ErrAbortHandler)
			}
			writeError(w, http.StatusInternalServerError, ownError(codes.Internal, "INTERNAL", "something went wrong on our side; the request id finds the reason in the log"))
		}()
		next.ServeHTTP(w, r)
	})
}

// answerWriter cuts off who does not read.
type answerWriter struct {
	http.ResponseWriter
	control  *http.ResponseController
	patience time.Duration
	status   int
	begun    bool // something was sent
}

func (w *answerWriter) WriteHeader(status int) {
	w.status, w.begun = status, true
	w.ResponseWriter.WriteHeader(status)
}

func (w *answerWriter) Write(p []byte) (int, error) {
	w.begun = true
	_ = w.control.SetWriteDeadline(time.Now().Add(w.patience)) // as above
	return w.ResponseWriter.Write(p)
}

// Unwrap is for http.ResponseController.
func (w *answerWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

func plainWord(s string) bool {
	for _, r := range s {
		if r <= ' ' || r > '~' {
			return false
		}
	}
	return s != "" && len(s) <= 128
}

// asked is what a request says beside its path and body.
type asked struct {
	method string
	query  url.Values
	file   bool // alt=media: the document itself, not a message that holds it
}

type askedKey struct{}

func askedOf(ctx context.Context) asked {
	a, _ := ctx.Value(askedKey{}).(asked)
	return a
}

// reader takes a request in, once its route is known.
type reader struct {
	maxBody int64
	bodies  *admission.Places // of those that are being read
}

func (l reader) middleware(next runtime.HandlerFunc) runtime.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request, path map[string]string) {
		if !utf8.ValidString(r.URL.Path) {
			writeError(w, http.StatusBadRequest, ownError(codes.InvalidArgument, "INVALID_REQUEST", "the address is not UTF-8"))
			return
		}
		query, err := url.ParseQuery(r.URL.RawQuery)
		if err != nil {
			writeError(w, http.StatusBadRequest, ownError(codes.InvalidArgument, "INVALID_REQUEST", "the query cannot be read: "+err.Error()))
			return
		}
		a := asked{method: r.Method, query: query, file: query.Get("alt") == "media"}
		if a.file {
			query.Del("alt")
		}
		body, ok := l.body(w, r)
		if !ok {
			return
		}
		r = r.WithContext(context.WithValue(r.Context(), askedKey{}, a))
		// The gateway passes over what it does not know in a query; see fill.
		address := *r.URL
		address.RawQuery = ""
		r.URL, r.Body, r.ContentLength = &address, io.NopCloser(bytes.NewReader(body)), int64(len(body))
		next(w, r, path)
	}
}

// body reads the body whole; where it cannot, the error is answered. Only JSON
// is taken, also since a page of any origin may send the other forms unasked.
func (l reader) body(w http.ResponseWriter, r *http.Request) ([]byte, bool) {
	tooLarge := func() ([]byte, bool) {
		writeError(w, http.StatusRequestEntityTooLarge, ownErrorf(codes.ResourceExhausted, "REQUEST_TOO_LARGE", "the body is over the limit of %d bytes", l.maxBody))
		return nil, false
	}
	if r.ContentLength > l.maxBody {
		return tooLarge()
	}
	if r.ContentLength == 0 {
		_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
		return nil, true
	}
	host, _, _ := net.SplitHostPort(r.RemoteAddr) // the server's own form
	if !l.bodies.Take(host) {
		answerError(r.Context(), nil, nil, w, r, full(l.bodies.Most()))
		return nil, false
	}
	defer l.bodies.Leave(host)
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, l.maxBody))
	if _, over := errors.AsType[*http.MaxBytesError](err); over {
		return tooLarge()
	}
	if err != nil {
		writeError(w, http.StatusBadRequest, ownError(codes.InvalidArgument, "INVALID_REQUEST", "the body did not come whole"))
		return nil, false
	}
	// From here on nothing more is read, and the call may take its time.
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
	if len(body) == 0 {
		return body, true
	}
	media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || media != "application/json" || r.Header.Get("Content-Encoding") != "" {
		writeError(w, http.StatusUnsupportedMediaType, ownError(codes.InvalidArgument, "UNSUPPORTED_MEDIA_TYPE", "expected a body of Content-Type application/json, without an encoding"))
		return nil, false
	}
	return body, true
}
