package rpc

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// bytesCodec sends bytes as they are, whatever they mean.
type bytesCodec struct{}

func (bytesCodec) Marshal(v any) ([]byte, error)      { return v.([]byte), nil } //nolint:forcetypeassert // of a test
func (bytesCodec) Unmarshal(data []byte, v any) error { *v.(*[]byte) = data; return nil }
func (bytesCodec) Name() string                       { return "proto" }

// odd is a way to pack messages that no server knows.
type odd struct{}

func (odd) Type() string                   { return "odd" }
func (odd) Do(w io.Writer, p []byte) error { _, err := w.Write(p); return err }

// Every error that a call ends with says the request id, in its details and as
// metadata, and has a line of log and a reason, wherever it arises. Of a message
// over the limit gRPC tells by itself, so that there it is metadata alone.
func TestEveryErrorHasItsRequestID(t *testing.T) {
	conn, log := serve(t, &estimating.Service{}, Config{MaxRequest: 1000, MaxAnswer: 2000})
	slow, slowLog := serve(t, &estimating.Service{}, Config{Deadline: time.Nanosecond, StreamDeadline: 20 * time.Millisecond})
	plan, imports := wattlev1.LayoutService_PlanLayout_FullMethodName, wattlev1.PriceBookService_ImportPrices_FullMethodName
	unary := func(conn *grpc.ClientConn, method string, message []byte) func(context.Context, ...grpc.CallOption) error {
		return func(ctx context.Context, options ...grpc.CallOption) error {
			var answer []byte
			return conn.Invoke(ctx, method, message, &answer, append(options, grpc.ForceCodec(bytesCodec{}))...)
		}
	}
	stream := func(conn *grpc.ClientConn, method string, message []byte) func(context.Context, ...grpc.CallOption) error {
		return func(ctx context.Context, options ...grpc.CallOption) error {
			s, err := conn.NewStream(ctx, &grpc.StreamDesc{ClientStreams: true, ServerStreams: true}, method, append(options, grpc.ForceCodec(bytesCodec{}))...)
			if err != nil {
				return err
			}
			if message != nil {
				_ = s.SendMsg(message) // how it ends is received
			}
			var answer []byte
			err = s.RecvMsg(&answer)
			for _, option := range options { // which a stream does not see to by itself
				if header, ok := option.(grpc.HeaderCallOption); ok {
					*header.HeaderAddr, _ = s.Header()
				}
			}
			return err
		}
	}
	long := make([]byte, 2000)
	sound, err := proto.Marshal(yard())
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range []struct {
		name   string
		call   func(context.Context, ...grpc.CallOption) error
		log    *logBuffer
		code   codes.Code
		reason string
	}{
		{"a service that there is not", unary(conn, "/wattle.v1.NoService/Do", nil), log, codes.Unimplemented, "METHOD_UNKNOWN"},
		{"a method that there is not", unary(conn, "/wattle.v1.LayoutService/Do", nil), log, codes.Unimplemented, "METHOD_UNKNOWN"},
		{"a stream that there is not", stream(conn, "/grpc.health.v1.Health/Do", nil), log, codes.Unimplemented, "METHOD_UNKNOWN"},
		{"a message over the limit", unary(conn, plan, long), log, codes.ResourceExhausted, "REQUEST_TOO_LARGE"},
		{"a streamed one", stream(conn, imports, long), log, codes.ResourceExhausted, "REQUEST_TOO_LARGE"},
		{"a message that cannot be read", unary(conn, plan, []byte("\xff")), log, codes.InvalidArgument, "MESSAGE_UNREADABLE"},
		{"a streamed one", stream(conn, imports, []byte("\xff")), log, codes.InvalidArgument, "MESSAGE_UNREADABLE"},
		{"an empty message", unary(conn, plan, nil), log, codes.InvalidArgument, "INVALID_REQUEST"},
		{"a panic", unary(conn, wattlev1.QuoteService_GetQuote_FullMethodName, []byte("\x0a\x1acompanies/harrow/quotes/q1")), log, codes.Internal, "INTERNAL"},
		{"an answer over the limit", unary(conn, wattlev1.CatalogService_ListFamilies_FullMethodName, nil), log, codes.ResourceExhausted, "ANSWER_TOO_LARGE"},
		{"a deadline that passed", unary(slow, plan, sound), slowLog, codes.DeadlineExceeded, "DEADLINE_EXCEEDED"},
		{"a stream's", stream(slow, imports, nil), slowLog, codes.DeadlineExceeded, "DEADLINE_EXCEEDED"},
	} {
		id := fmt.Sprintf("way-%d", i)
		ctx := metadata.AppendToOutgoingContext(t.Context(), requestIDKey, id)
		var header metadata.MD
		options := []grpc.CallOption{grpc.Header(&header)}
		err := c.call(ctx, options...)
		st := status.Convert(err)
		told := detail[*errdetails.RequestInfo](st).GetRequestId()
		if c.reason == "REQUEST_TOO_LARGE" {
			told = id
		} else if got := reasonOf(err); got != c.reason {
			t.Errorf("%s: the reason is %s", c.name, got)
		}
		if st.Code() != c.code || told != id {
			t.Errorf("%s: %v, id %q", c.name, err, told)
		}
		if got := header.Get(requestIDKey); len(got) != 1 || got[0] != id {
			t.Errorf("%s: as metadata %q", c.name, got)
		}
		if line := lineOf(t, c.log, id); line["code"] != c.code.String() || line["reason"] != c.reason {
			t.Errorf("%s: logged %v", c.name, line)
		}
	}
}

// lineOf is the log's line of a call.
func lineOf(t *testing.T, log *logBuffer, id string) map[string]any {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(time.Millisecond) {
		for text := range strings.Lines(log.String()) {
			var line map[string]any
			if json.Unmarshal([]byte(text), &line) == nil && line["msg"] == "call" && line["request_id"] == id {
				return line
			}
		}
	}
	t.Errorf("no line of %s in\n%s", id, log)
	return nil
}

// The one error of a call that gRPC answers alone, without a request id: it is
// logged by the id that the caller sent all the same, and counted.
func TestUnknownPackingIsLogged(t *testing.T) {
	log, meters := &logBuffer{}, newScraped()
	server, err := NewServer(&estimating.Service{}, Config{
		Log: slog.New(slog.NewJSONHandler(log, nil)), Access: Access{Nobody: true}, Telemetry: Telemetry{Meters: meters.provider},
	})
	if err != nil {
		t.Fatal(err)
	}
	lis := bufconn.Listen(1 << 20)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, lis) }()
	conn, err := grpc.NewClient("passthrough:///wattle", grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithCompressor(odd{}), //nolint:staticcheck // the other way makes it known to the server too
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	_, err = wattlev1.NewLayoutServiceClient(conn).PlanLayout(metadata.AppendToOutgoingContext(t.Context(), requestIDKey, "packed"), yard())
	if status.Code(err) != codes.Unimplemented {
		t.Errorf("%v", err)
	}
	if line := lineOf(t, log, "packed"); line["code"] != "Unimplemented" || line["method"] != wattlev1.LayoutService_PlanLayout_FullMethodName {
		t.Errorf("logged %v", line)
	}
	stop()
	if err := errors.Join(conn.Close(), <-ended); err != nil {
		t.Error(err)
	}
	if got := meters.text(t); !strings.Contains(got, "wattle.call.errors{code=UNIMPLEMENTED,reason=} 1\n") {
		t.Errorf("counted:\n%s", got)
	}
}
