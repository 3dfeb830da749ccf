package rpc

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"log/slog"
	"net"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// What tests of the wire share: a server on a real port, and callers who write
// frames of their own.

func logTo(w io.Writer) *slog.Logger { return slog.New(slog.NewJSONHandler(w, nil)) }

// onTCP serves on a port of loopback until the test ends.
func onTCP(t testing.TB, use *estimating.Service, config Config) (address string) {
	t.Helper()
	config.Log, config.Drain = cmp.Or(config.Log, discard), cmp.Or(config.Drain, time.Second)
	config.Access.Nobody = use.Offices == nil
	server, err := NewServer(use, config)
	if err != nil {
		t.Fatal(err)
	}
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, lis) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Serve: %v", err)
		}
	})
	return lis.Addr().String()
}

func dialTCP(t testing.TB, address string, options ...grpc.DialOption) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient(address, append(options, grpc.WithTransportCredentials(insecure.NewCredentials()))...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// answersStill fails unless a well-behaved caller with a connection of his own
// gets an answer. Where he is told that too many calls are open, since those of
// an ill-behaved one still end, he comes back.
func answersStill(t *testing.T, address string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	client := wattlev1.NewLayoutServiceClient(dialTCP(t, address))
	_, err := client.PlanLayout(ctx, yard())
	for status.Code(err) == codes.Unavailable && ctx.Err() == nil {
		time.Sleep(20 * time.Millisecond)
		_, err = client.PlanLayout(ctx, yard())
	}
	if err != nil {
		t.Errorf("afterwards a good call: %v", err)
	}
}

// rawCodec sends and takes bytes as they are.
type rawCodec struct{}

func (rawCodec) Marshal(v any) (mem.BufferSlice, error) {
	return mem.BufferSlice{mem.SliceBuffer(v.([]byte))}, nil
}

func (rawCodec) Unmarshal(data mem.BufferSlice, v any) error {
	*v.(*[]byte) = data.Materialize()
	return nil
}

func (rawCodec) Name() string { return "proto" }

// framed is a caller who writes frames of his own.
type framed struct {
	net.Conn
	*http2.Framer
}

// connect opens a connection and sends a caller's first words.
func connect(t testing.TB, address string, settings ...http2.Setting) framed {
	t.Helper()
	conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	if err := conn.SetDeadline(time.Now().Add(30 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(conn, http2.ClientPreface); err != nil {
		t.Fatal(err)
	}
	f := framed{conn, http2.NewFramer(conn, conn)}
	f.AllowIllegalWrites = true
	if err := f.WriteSettings(settings...); err != nil {
		t.Fatal(err)
	}
	return f
}

// headers are those of a call, encoded.
func headers(method string, more ...string) []byte {
	var b bytes.Buffer
	e := hpack.NewEncoder(&b)
	fields := append([]string{":method", "POST", ":scheme", "http", ":path", method, ":authority", "x", "content-type", "application/grpc", "te", "trailers"}, more...)
	for i := 0; i < len(fields); i += 2 {
		_ = e.WriteField(hpack.HeaderField{Name: fields[i], Value: fields[i+1]}) // into memory
	}
	return b.Bytes()
}

// call opens a stream of a method.
func (f framed) call(id uint32, method string, more ...string) error {
	return f.WriteHeaders(http2.HeadersFrameParam{StreamID: id, BlockFragment: headers(method, more...), EndHeaders: true})
}

// message is a message as it travels.
func message(compressed bool, body []byte) []byte {
	out := make([]byte, 5, 5+len(body))
	if compressed {
		out[0] = 1
	}
	binary.BigEndian.PutUint32(out[1:], uint32(len(body)))
	return append(out, body...)
}

func marshalled(t testing.TB, m proto.Message) []byte {
	t.Helper()
	b, err := proto.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// ends reads until the server closes the connection, and gives the code of its
// GOAWAY, if it said one.
func (f framed) ends(t testing.TB) (code http2.ErrCode, said bool) {
	t.Helper()
	for {
		frame, err := f.ReadFrame()
		if goAway, ok := frame.(*http2.GoAwayFrame); ok && err == nil && goAway.ErrCode != http2.ErrCodeNo {
			code, said = goAway.ErrCode, true
		}
		if err != nil {
			if wait, ok := errors.AsType[net.Error](err); ok && wait.Timeout() {
				t.Errorf("the connection stays open")
			}
			return code, said
		}
	}
}

// status reads until the stream ends, and gives its grpc-status, or the code of
// its RST_STREAM.
func (f framed) status(t testing.TB, id uint32) string {
	t.Helper()
	f.ReadMetaHeaders = hpack.NewDecoder(4096, nil)
	for {
		frame, err := f.ReadFrame()
		if err != nil {
			return err.Error()
		}
		if frame.Header().StreamID != id {
			continue
		}
		switch frame := frame.(type) {
		case *http2.RSTStreamFrame:
			return frame.ErrCode.String()
		case *http2.MetaHeadersFrame:
			for _, field := range frame.Fields {
				if field.Name == "grpc-status" {
					return field.Value
				}
			}
		}
	}
}
