package webhook

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	cloudevents "github.com/cloudevents/sdk-go/v2/event"
	standard "github.com/standard-webhooks/standard-webhooks/libraries/go"
	"go.uber.org/goleak"

	"wattle/internal/estimating"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var created = estimating.Event{
	Company: "harrow", ID: "019b0000-0000-7000-8000-000000000001", Office: "north", Type: "quote.created",
	Subject: "companies/harrow/quotes/q1", Sequence: 3, Time: time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC),
}

// post sends created to a local server and says how it went.
func post(t *testing.T, targets Targets, url string, secrets ...[]byte) estimating.Attempt {
	t.Helper()
	a, err := NewSender(targets, time.Now).Send(context.Background(), url, created, secrets)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

var anywhere = Targets{AllowHTTP: true, AllowPrivate: true}

// The message is a CloudEvent 1.0 that another reader of the format takes, and
// each of the secrets verifies it.
func TestAMessage(t *testing.T) {
	secrets := [][]byte{[]byte("a secret of twenty-four b"), []byte("another of twenty-four by")}
	var calls int
	server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		calls++
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Error(err)
		}
		for _, secret := range secrets {
			w, err := standard.NewWebhookRaw(secret)
			if err != nil {
				t.Fatal(err)
			}
			if err := w.Verify(body, r.Header); err != nil {
				t.Errorf("secret %s: %v", secret, err)
			}
		}
		other, _ := standard.NewWebhookRaw([]byte("not the secret"))
		if other.Verify(body, r.Header) == nil {
			t.Error("any secret verifies it")
		}
		if got := r.Header.Get("webhook-id"); got != created.ID {
			t.Errorf("webhook-id %s", got)
		}
		if got := r.Header.Get("Content-Type"); !strings.HasPrefix(got, "application/cloudevents+json") || r.Method != http.MethodPost {
			t.Errorf("%s of %s", r.Method, got)
		}
		var e cloudevents.Event
		if err := json.Unmarshal(body, &e); err != nil {
			t.Fatal(err)
		}
		if err := e.Validate(); err != nil {
			t.Error(err)
		}
		var plain map[string]any
		if err := json.Unmarshal(body, &plain); err != nil {
			t.Fatal(err)
		}
		data, _ := json.Marshal(plain["data"])
		for name, want := range map[string]string{
			"specversion": "1.0", "id": created.ID, "type": "quote.created", "source": "/wattle/companies/harrow", "subject": "companies/harrow/quotes/q1",
			"time": "2026-03-01T12:00:00Z", "sequence": "3", "datacontenttype": "application/json",
		} {
			if plain[name] != want {
				t.Errorf("%s is %v, want %s", name, plain[name], want)
			}
		}
		if want := `{"office":"north","sequence":3,"subject":"companies/harrow/quotes/q1"}`; string(data) != want || len(plain) != 9 {
			t.Errorf("data %s of %d attributes, want %s", data, len(plain), want)
		}
	}))
	defer server.Close()
	if a := post(t, anywhere, server.URL, secrets...); a.Outcome != estimating.Delivered || a.Status != 200 || a.Reason != "" || calls != 1 {
		t.Errorf("%+v after %d calls", a, calls)
	}
}

func TestAnswers(t *testing.T) {
	var followed atomic.Int64
	redirected := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { followed.Add(1) }))
	defer redirected.Close()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/204":
			w.WriteHeader(http.StatusNoContent)
		case "/302":
			http.Redirect(w, r, redirected.URL, http.StatusFound)
		case "/308":
			http.Redirect(w, r, redirected.URL, http.StatusPermanentRedirect)
		case "/410":
			w.WriteHeader(http.StatusGone)
		case "/500":
			w.WriteHeader(http.StatusInternalServerError)
		case "/cut":
			panic(http.ErrAbortHandler)
		}
	}))
	defer server.Close()
	for path, want := range map[string]estimating.Attempt{
		"/204": {Outcome: estimating.Delivered, Status: 204},
		"/302": {Outcome: estimating.Failed, Status: 302, Reason: ReasonRedirect},
		"/308": {Outcome: estimating.Failed, Status: 308, Reason: ReasonRedirect},
		"/410": {Outcome: estimating.Failed, Status: 410, Reason: ReasonStatus},
		"/500": {Outcome: estimating.Failed, Status: 500, Reason: ReasonStatus},
		"/cut": {Outcome: estimating.Failed, Reason: ReasonConnection},
	} {
		got := post(t, anywhere, server.URL+path)
		if got.Took <= 0 {
			t.Errorf("%s took %v", path, got.Took)
		}
		got.Took = 0
		if got != want {
			t.Errorf("%s: %+v, want %+v", path, got, want)
		}
	}
	if n := followed.Load(); n != 0 {
		t.Errorf("%d redirects were followed", n)
	}
	if a := post(t, anywhere, strings.Replace(server.URL, "http", "https", 1)); a.Outcome != estimating.Failed || a.Status != 0 {
		t.Errorf("TLS to a plain server: %+v", a)
	}
	secure := httptest.NewUnstartedServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	secure.Config.ErrorLog = log.New(io.Discard, "", 0)
	secure.StartTLS()
	defer secure.Close()
	if a := post(t, anywhere, secure.URL); a.Reason != ReasonTLS {
		t.Errorf("a certificate nobody vouches for: %+v", a)
	}
	closed, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_ = closed.Close()
	if a := post(t, anywhere, "http://"+closed.Addr().String()); a.Reason != ReasonConnection {
		t.Errorf("nobody there: %+v", a)
	}
}

// A name that resolves to this machine is refused when it is dialled, whatever
// was known of it before; so is an address the URL names.
func TestPrivateTargetsAreNotReached(t *testing.T) {
	var reached atomic.Int64
	server := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { reached.Add(1) }))
	defer server.Close()
	_, port, err := net.SplitHostPort(server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	for _, host := range []string{"localhost", "127.0.0.1", "[::ffff:127.0.0.1]", "0.0.0.0", "127.1"} {
		a := post(t, Targets{AllowHTTP: true}, "http://"+host+":"+port)
		if a.Outcome != estimating.Failed || a.Reason != ReasonRefused && a.Reason != ReasonName {
			t.Errorf("%s: %+v", host, a)
		}
	}
	if a := post(t, Targets{AllowHTTP: true}, "http://localhost:"+port); a.Reason != ReasonRefused {
		t.Errorf("a name of this machine: %+v", a)
	}
	if n := reached.Load(); n != 0 {
		t.Errorf("reached %d times", n)
	}
}

// A proxy would resolve the name itself: none is used.
func TestNoProxy(t *testing.T) {
	var asked atomic.Int64
	proxy := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked.Add(1) }))
	defer proxy.Close()
	t.Setenv("HTTP_PROXY", proxy.URL)
	t.Setenv("HTTPS_PROXY", proxy.URL)
	post(t, Targets{AllowHTTP: true}, "http://example.invalid/")
	if asked.Load() != 0 {
		t.Error("the proxy was asked")
	}
}

// An answer of 2 GB is taken by its status: of the body 64 KiB are read, and the
// connection is closed.
func TestAHugeAnswer(t *testing.T) {
	written := make(chan int64, 1)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Length", "2147483648")
		n, _ := io.Copy(w, io.LimitReader(endless{}, 2<<30))
		written <- n
	}))
	defer server.Close()
	if a := post(t, anywhere, server.URL); a.Outcome != estimating.Delivered || a.Took > 5*time.Second {
		t.Errorf("%+v", a)
	}
	// What else was written fits into the buffers between the two.
	if n := <-written; n > 64<<20 {
		t.Errorf("the receiver got rid of %d bytes", n)
	}
}

// endless is a stream of zeros.
type endless struct{}

func (endless) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// Ten seconds is all a receiver has, whether it accepts and says nothing, sends
// its header byte by byte, or never ends its body.
func TestSlowAnswers(t *testing.T) {
	silent, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = silent.Close() })
	dripping, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = dripping.Close() })
	drip := func(head string) {
		conn, err := dripping.Accept()
		if err != nil {
			return
		}
		defer func() { _ = conn.Close() }()
		// A byte before the request is no answer to it: the client would drop the connection.
		if _, err := http.ReadRequest(bufio.NewReader(conn)); err != nil {
			return
		}
		for text := head + strings.Repeat("x", 1000); text != ""; text = text[1:] {
			if _, err := io.WriteString(conn, text[:1]); err != nil {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
	}
	t.Run("silent", func(t *testing.T) {
		t.Parallel()
		a := post(t, anywhere, "http://"+silent.Addr().String())
		if a.Outcome != estimating.Failed || a.Reason != ReasonTimeout || a.Took > attemptTime+2*time.Second {
			t.Errorf("%+v", a)
		}
	})
	t.Run("header", func(t *testing.T) {
		t.Parallel()
		go drip("HTTP/1.1 200 OK\r\nX-Long: ")
		a := post(t, anywhere, "http://"+dripping.Addr().String())
		if a.Outcome != estimating.Failed || a.Reason != ReasonTimeout || a.Took > attemptTime+2*time.Second {
			t.Errorf("%+v", a)
		}
	})
	t.Run("body", func(t *testing.T) {
		t.Parallel()
		answered := make(chan struct{})
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.WriteHeader(http.StatusOK)
			_ = http.NewResponseController(w).Flush()
			<-answered
		}))
		defer server.Close()
		defer close(answered)
		// The status came in time, and is the answer.
		if a := post(t, anywhere, server.URL); a.Outcome != estimating.Delivered || a.Took > attemptTime+2*time.Second {
			t.Errorf("%+v", a)
		}
	})
}
