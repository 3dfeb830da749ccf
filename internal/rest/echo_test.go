package rest_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"wattle/internal/rest"
)

// echo is a gRPC server that has every RPC: it keeps what arrived and answers
// with what it was told to.
type echo struct {
	mu      sync.Mutex
	last    arrival
	answers []proto.Message
	err     error
	hold    func()      // called before answering
	ended   func(error) // called after
}

// arrival is what came of a call.
type arrival struct {
	method   string
	request  proto.Message
	metadata metadata.MD
	deadline time.Time
}

func (e *echo) handle(_ any, s grpc.ServerStream) error {
	method, _ := grpc.MethodFromServerStream(s)
	found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(strings.ReplaceAll(method[1:], "/", ".")))
	if err != nil {
		return err
	}
	request := newMessage(found.(protoreflect.MethodDescriptor).Input())
	if err := s.RecvMsg(request); err != nil {
		return err
	}
	e.mu.Lock()
	e.last = arrival{method: method, request: request}
	e.last.metadata, _ = metadata.FromIncomingContext(s.Context())
	e.last.deadline, _ = s.Context().Deadline()
	answers, failure, hold, ended := e.answers, e.err, e.hold, e.ended
	e.mu.Unlock()
	if hold != nil {
		hold()
	}
	for _, answer := range answers {
		if err := s.SendMsg(answer); err != nil {
			failure = err
			break
		}
	}
	if ended != nil {
		ended(failure)
	}
	return failure
}

func (e *echo) say(err error, answers ...proto.Message) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.err, e.answers, e.last = err, answers, arrival{}
}

func (e *echo) arrived() arrival {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.last
}

func newMessage(d protoreflect.MessageDescriptor) proto.Message {
	kind, err := protoregistry.GlobalTypes.FindMessageByName(d.FullName())
	if err != nil {
		panic(err)
	}
	return kind.New().Interface()
}

// startEcho runs an echo with a gateway in front; base is the gateway's.
func startEcho(t testing.TB, config rest.Config) (e *echo, base string) {
	t.Helper()
	e = &echo{}
	server := grpc.NewServer(grpc.UnknownServiceHandler(e.handle))
	lis := bufconn.Listen(1 << 20)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(lis) }()
	base = startGateway(t, lis, config)
	t.Cleanup(func() {
		server.Stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return e, base
}

// startGateway runs a gateway to the server behind lis.
func startGateway(t testing.TB, lis *bufconn.Listener, config rest.Config) (base string) {
	t.Helper()
	conn := dial(t, lis)
	if config.Log == nil {
		config.Log = slog.New(slog.DiscardHandler)
	}
	handler, err := rest.New(conn, config)
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(handler)
	t.Cleanup(server.Close)
	return server.URL
}

func dial(t testing.TB, lis *bufconn.Listener, options ...grpc.DialOption) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient("passthrough:///service", append(options,
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()))...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := conn.Close(); err != nil {
			t.Error(err)
		}
	})
	return conn
}

// reply is the head of an answer that is read already.
type reply struct {
	StatusCode int
	Status     string
	Header     http.Header
}

// do makes a request and reads its whole answer.
func do(t fataler, request *http.Request) (reply, string) {
	t.Helper()
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(response.Body)
	if err := errors.Join(err, response.Body.Close()); err != nil {
		t.Fatal(err)
	}
	return reply{response.StatusCode, response.Status, response.Header}, string(body)
}

// fataler is *testing.T or *rapid.T.
type fataler interface {
	Helper()
	Fatal(args ...any)
}

// ask makes a request of a method, an address, a JSON body and headers in
// pairs.
func ask(t *testing.T, method, address, body string, headers ...string) (reply, string) {
	t.Helper()
	request, err := http.NewRequestWithContext(t.Context(), method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if body != "" {
		request.Header.Set("Content-Type", "application/json")
	}
	if len(headers)%2 != 0 {
		t.Fatal(fmt.Sprint("a header without a value: ", headers))
	}
	for i := 0; i < len(headers); i += 2 {
		request.Header.Set(headers[i], headers[i+1])
	}
	return do(t, request)
}
