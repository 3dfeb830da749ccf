package rpc

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc/codes"
	_ "google.golang.org/grpc/encoding/gzip" // which the service itself does not take
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

const planMethod = wattlev1.LayoutService_PlanLayout_FullMethodName

// settles fails unless as many goroutines run as before, but for the few that a
// connection in closing has.
func settles(t *testing.T, before int) {
	t.Helper()
	for range 500 {
		if runtime.NumGoroutine() <= before+4 {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines, %d before", runtime.NumGoroutine(), before)
}

// Connections that do not speak HTTP/2, or speak it wrong, are closed; the others
// never notice.
func TestBadFrames(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{Limits: DefaultLimits(2)})
	answersStill(t, address)
	before := runtime.NumGoroutine()
	raw := func(text string) func(framed) error {
		return func(f framed) error { _, err := io.WriteString(f.Conn, text); return err }
	}
	block := headers(planMethod)
	for _, c := range []struct {
		name string
		send func(framed) error
		want http2.ErrCode // NO_ERROR where the connection may just be closed
	}{
		{"another protocol", raw("GET / HTTP/1.1\r\nHost: x\r\n\r\n"), http2.ErrCodeNo},
		{"noise", raw(strings.Repeat("\x00\xff\x13\x37", 4096)), http2.ErrCodeNo},
		{"a frame over the limit", func(f framed) error { return f.WriteRawFrame(http2.FrameData, 0, 1, make([]byte, 1<<20)) }, http2.ErrCodeNo},
		{"headers that cannot be decoded", func(f framed) error {
			return f.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: bytes.Repeat([]byte{0xff}, 64), EndHeaders: true})
		}, http2.ErrCodeNo},
		{"a continuation of nothing", func(f framed) error { return f.WriteContinuation(1, true, block) }, http2.ErrCodeNo},
		{"data on stream 0", func(f framed) error { return f.WriteRawFrame(http2.FrameData, 0, 0, []byte("x")) }, http2.ErrCodeNo},
		{"headers on stream 0", func(f framed) error {
			return f.WriteRawFrame(http2.FrameHeaders, http2.FlagHeadersEndHeaders, 0, block)
		}, http2.ErrCodeNo},
		{"settings of half a setting", func(f framed) error { return f.WriteRawFrame(http2.FrameSettings, 0, 0, make([]byte, 5)) }, http2.ErrCodeNo},
		{"a stream of the server's", func(f framed) error { return f.call(2, planMethod) }, http2.ErrCodeNo},
		{"a flood of pings", func(f framed) error {
			for i := range 50 {
				if err := f.WritePing(false, [8]byte{byte(i)}); err != nil {
					return nil //nolint:nilerr // it was closed meanwhile, as it should
				}
			}
			return nil
		}, http2.ErrCodeEnhanceYourCalm},
	} {
		f := connect(t, address)
		if err := c.send(f); err != nil && !strings.Contains(err.Error(), "reset") && !strings.Contains(err.Error(), "broken pipe") {
			t.Errorf("%s: %v", c.name, err)
		}
		if code, said := f.ends(t); c.want != http2.ErrCodeNo && said && code != c.want {
			t.Errorf("%s: the connection ends with %v, want %v", c.name, code, c.want)
		}
	}
	answersStill(t, address)
	settles(t, before+8) // and those of the connections of answersStill
}

// A caller who goes on and on with the headers of one call is cut off before
// they amount to anything.
func TestFloodOfContinuations(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{})
	f := connect(t, address)
	var b bytes.Buffer
	e := hpack.NewEncoder(&b)
	chance := rand.New(rand.NewPCG(1, 2))
	field := func() []byte {
		b.Reset()
		_ = e.WriteField(hpack.HeaderField{Name: fmt.Sprint("x-", chance.Uint64()), Value: strings.Repeat("v", 4000), Sensitive: true})
		return b.Bytes()
	}
	err := f.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: headers(planMethod)})
	sent := 0
	for sent < 64<<20 && err == nil {
		fragment := field()
		sent += len(fragment)
		err = f.WriteContinuation(1, false, fragment)
	}
	if err == nil {
		t.Errorf("%d bytes of headers were taken", sent)
	}
	answersStill(t, address)
}

// Calls that are reset as soon as they are made, thousands of them, leave nothing
// running.
func TestRapidReset(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{Limits: DefaultLimits(2)})
	answersStill(t, address)
	before, most := runtime.NumGoroutine(), 0
	f := connect(t, address)
	go func() { _, _ = io.Copy(io.Discard, f.Conn) }() // reads, so that the server need not wait
	body := message(false, marshalled(t, yard()))
	for i := range 5000 {
		id := uint32(2*i + 1)
		if f.call(id, planMethod) != nil || f.WriteData(id, true, body) != nil || f.WriteRSTStream(id, http2.ErrCodeCancel) != nil {
			break // cut off, as well
		}
		most = max(most, runtime.NumGoroutine())
	}
	if most > before+600 {
		t.Errorf("%d goroutines at most", most)
	}
	answersStill(t, address)
	_ = f.Close()
	settles(t, before+8)
}

// Settings that want an answer, sent by one who never reads, do not pile up.
func TestFloodOfSettings(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{})
	f := connect(t, address)
	if err := f.SetWriteDeadline(time.Now().Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	var err error
	sent := 0
	for ; sent < 5_000_000 && err == nil; sent++ {
		err = f.WriteSettings(http2.Setting{ID: http2.SettingInitialWindowSize, Val: uint32(sent%1000 + 1)})
	}
	if err == nil {
		t.Errorf("%d settings were taken of one who reads no answer", sent)
	}
	answersStill(t, address)
}

// A megabyte of metadata is no call.
func TestMetadataOfAMegabyte(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{})
	large := strings.Repeat("m", 1<<20)
	_, err := wattlev1.NewLayoutServiceClient(dialTCP(t, address)).PlanLayout(metadata.AppendToOutgoingContext(t.Context(), "x-large", large), yard())
	if c := status.Code(err); c != codes.Internal && c != codes.ResourceExhausted && c != codes.Unavailable {
		t.Errorf("by the library's client: %v", err)
	}
	f := connect(t, address)
	block := headers(planMethod, "x-large", large)
	err = f.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: block[:16<<10]})
	for rest := block[16<<10:]; len(rest) > 0 && err == nil; {
		n := min(len(rest), 16<<10)
		err = f.WriteContinuation(1, n == len(rest), rest[:n])
		rest = rest[n:]
	}
	if got := f.status(t, 1); got == "0" {
		t.Error("by frames: it was answered")
	}
	answersStill(t, address)
}

// What comes compressed is measured by what it decompresses to, and an unknown
// compression is refused by name.
func TestCompressedMessages(t *testing.T) {
	address := onTCP(t, &estimating.Service{}, Config{})
	plain := marshalled(t, &wattlev1.PlanLayoutRequest{Spec: &wattlev1.Spec{Name: strings.Repeat("x", 16<<20)}})
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write(plain); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for _, c := range []struct {
		name, encoding string
		body           []byte
		want           codes.Code
	}{
		{"a bomb of 16 MiB", "gzip", b.Bytes(), codes.ResourceExhausted},
		{"no gzip at all", "gzip", []byte("not gzip"), codes.Internal},
		{"an unknown compression", "middling", []byte("x"), codes.Unimplemented},
	} {
		f := connect(t, address)
		if err := f.call(1, planMethod, "grpc-encoding", c.encoding); err != nil {
			t.Fatal(err)
		}
		framedBody := message(true, c.body)
		for len(framedBody) > 0 {
			n := min(len(framedBody), 16<<10)
			if err := f.WriteData(1, n == len(framedBody), framedBody[:n]); err != nil {
				break // refused meanwhile
			}
			framedBody = framedBody[n:]
		}
		if got := f.status(t, 1); got != fmt.Sprint(uint32(c.want)) {
			t.Errorf("%s: status %s, want %v", c.name, got, c.want)
		}
	}
	runtime.ReadMemStats(&after)
	if grown := (after.TotalAlloc - before.TotalAlloc) >> 20; grown > 14 {
		t.Errorf("%d MiB were allocated", grown)
	}
	answersStill(t, address)
}

// Who never reads a long answer holds a piece of it, and not for longer than his
// deadline, or else the service's.
func TestReaderWhoDoesNotRead(t *testing.T) {
	log := &logBuffer{}
	address := onTCP(t, &estimating.Service{}, Config{StreamDeadline: 1500 * time.Millisecond, Log: logTo(log)})
	answersStill(t, address)
	before := runtime.NumGoroutine()
	request := marshalled(t, &wattlev1.StreamLayoutRequest{Site: longLine(), Spec: &wattlev1.Spec{Height: "6 ft"}})
	start := time.Now()
	for _, more := range [][]string{{"grpc-timeout", "1S"}, nil} {
		f := connect(t, address, http2.Setting{ID: http2.SettingInitialWindowSize, Val: 0})
		if err := f.call(1, wattlev1.LayoutService_StreamLayout_FullMethodName, more...); err != nil {
			t.Fatal(err)
		}
		if err := f.WriteData(1, true, message(false, request)); err != nil {
			t.Fatal(err)
		}
	}
	ended := func() int { return strings.Count(log.String(), "/StreamLayout\"") }
	for ended() < 2 && time.Since(start) < 20*time.Second {
		if ended() > 0 && time.Since(start) < time.Second {
			t.Fatalf("the answer was taken by nobody, and the call is over:\n%s", log)
		}
		time.Sleep(10 * time.Millisecond)
	}
	for line := range strings.Lines(log.String()) {
		if strings.Contains(line, "/StreamLayout") && !strings.Contains(line, `"code":"DeadlineExceeded"`) && !strings.Contains(line, `"code":"Canceled"`) {
			t.Errorf("ended otherwise than by its deadline: %s", line)
		}
	}
	if n := ended(); n != 2 {
		t.Errorf("%d of 2 calls have ended", n)
	}
	settles(t, before+8) // with the two connections open
	answersStill(t, address)
}

// longLine is a line of some 10,000 bays.
func longLine() *wattlev1.Site {
	return &wattlev1.Site{Runs: []*wattlev1.Run{{Id: "line", Vertices: []*wattlev1.Vertex{{East: "0 ft", North: "0 ft"}, {East: "80000 ft", North: "0 ft"}}}}}
}

// A message that does not come whole is given up, and its place is another's.
func TestWriterWhoDoesNotWrite(t *testing.T) {
	limits := Limits{Calls: 1, Reading: 200 * time.Millisecond}
	address := onTCP(t, &estimating.Service{}, Config{Limits: limits, StreamDeadline: 300 * time.Millisecond})
	body := message(false, marshalled(t, yard()))
	f := connect(t, address)
	if err := f.call(1, planMethod); err != nil {
		t.Fatal(err)
	}
	if err := f.WriteData(1, false, body[:len(body)/2]); err != nil {
		t.Fatal(err)
	}
	if got := f.status(t, 1); got != fmt.Sprint(uint32(codes.DeadlineExceeded)) {
		t.Errorf("half a message: status %s", got)
	}
	f = connect(t, address)
	if err := f.call(1, wattlev1.PriceBookService_ImportPrices_FullMethodName); err != nil {
		t.Fatal(err)
	}
	if err := f.WriteData(1, false, body[:3]); err != nil {
		t.Fatal(err)
	}
	if got := f.status(t, 1); got != fmt.Sprint(uint32(codes.DeadlineExceeded)) {
		t.Errorf("an import that does not go on: status %s", got)
	}
	answersStill(t, address)
}

// With a deadline of a millisecond or a few a quote is stored whole or not at
// all, and the same request again is the same quote.
func TestDeadlinesOfAMillisecond(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	var answered int
	for i := range 40 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(1+i/2)*time.Millisecond)
		_, err := o.quotes.CreateQuote(ctx, job(fmt.Sprint("hasty-", i)))
		cancel()
		switch status.Code(err) {
		case codes.OK:
			answered++
		case codes.DeadlineExceeded, codes.Canceled:
		default:
			t.Errorf("try %d: %v", i, err)
		}
	}
	list, err := o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: 100})
	if err != nil || len(list.GetQuotes()) < answered {
		t.Fatalf("%d were answered, %d are stored: %v", answered, len(list.GetQuotes()), err)
	}
	for _, q := range list.GetQuotes() {
		replay, err := o.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: q.GetName()})
		if err != nil || !replay.GetIdentical() {
			t.Errorf("%s: %v, %v", q.GetName(), replay, err)
		}
	}
	names := make(map[string]bool)
	for i := range 40 {
		names[o.create(t, job(fmt.Sprint("hasty-", i))).GetName()] = true
	}
	list, err = o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: 100})
	if err != nil || len(list.GetQuotes()) != 40 || len(names) != 40 {
		t.Errorf("asked for once more there are %d of %d, %v", len(list.GetQuotes()), len(names), err)
	}
}

// Thousands of connections on which nothing happens cost little, and a caller
// with a new one is answered.
func TestIdleConnections(t *testing.T) {
	const connections = 2000
	address := onTCP(t, &estimating.Service{}, Config{Limits: DefaultLimits(2)})
	answersStill(t, address)
	inUse := func() uint64 {
		runtime.GC()
		runtime.GC() // what is pooled goes at the second
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapInuse + m.StackInuse
	}
	before := inUse()
	for range connections {
		f := connect(t, address)
		if _, err := f.ReadFrame(); err != nil { // it is served
			t.Fatal(err)
		}
	}
	if each := int64(inUse()-before) / connections; each > 60<<10 {
		t.Errorf("%d bytes for each idle connection, the caller's side with it", each)
	} else {
		t.Logf("%d bytes for each idle connection, the caller's side with it", each)
	}
	answersStill(t, address)
}
