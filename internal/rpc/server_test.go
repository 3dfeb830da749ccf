package rpc

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"log/slog"
	"net"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	reflectionv1 "google.golang.org/grpc/reflection/grpc_reflection_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// logBuffer is a log that a test may read while calls go on.
type logBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// serve runs a real server over a connection in memory, with all interceptors,
// until the test ends.
func serve(t testing.TB, use *estimating.Service, config Config) (*grpc.ClientConn, *logBuffer) {
	t.Helper()
	conn, log, stop := serveUntil(t, use, config)
	t.Cleanup(stop)
	return conn, log
}

// serveUntil is serve with a stop of the test's own: it begins the end, and
// waits for it.
func serveUntil(t testing.TB, use *estimating.Service, config Config) (*grpc.ClientConn, *logBuffer, func()) {
	t.Helper()
	log := &logBuffer{}
	config.Log = slog.New(slog.NewJSONHandler(log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	options := []grpc.DialOption{grpc.WithTransportCredentials(insecure.NewCredentials())}
	if store, ok := use.Offices.(*postgres.Store); ok {
		options = append(options, grpc.WithPerRPCCredentials(key(storetest.FirstKey(t, store, "harrow"))))
	} else {
		config.Access.Nobody = true
	}
	server, err := NewServer(use, config)
	if err != nil {
		t.Fatal(err)
	}
	lis := bufconn.Listen(1 << 20)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, lis) }()
	conn, err := grpc.NewClient("passthrough:///wattle", append(options,
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }))...)
	if err != nil {
		t.Fatal(err)
	}
	return conn, log, sync.OnceFunc(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Serve: %v", err)
		}
		if err := conn.Close(); err != nil {
			t.Error(err)
		}
	})
}

// key sends a key's secret with every call.
type key string

func (k key) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	return map[string]string{"authorization": "Bearer " + string(k)}, nil
}

func (key) RequireTransportSecurity() bool { return false }

// yard is one straight run, with a gate.
func yard() *wattlev1.PlanLayoutRequest {
	return &wattlev1.PlanLayoutRequest{
		Site: &wattlev1.Site{Runs: []*wattlev1.Run{{
			Id:       "back",
			Vertices: []*wattlev1.Vertex{{East: "0 ft", North: "0 ft"}, {East: "54' 6\"", North: "0 ft"}},
			Gates:    []*wattlev1.Gate{{Id: "walk", Station: "20 ft", Width: "4 ft"}},
		}}},
		Spec: &wattlev1.Spec{Height: "6 ft"},
	}
}

func TestPlanLayout(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	request := yard()
	request.Site.Runs[0].Gates = nil
	request.Spec.Layout = &wattlev1.Spec_Layout{TerminalLimit: new(false)}
	answer, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	// Common practice: 54 ft 6 in in even bays of at most 8 ft are seven, six
	// printed 7 ft 9-7/16 in and the fourth 7 ft 9-3/8 in.
	var widths []string
	var sum int64
	for _, b := range answer.GetLayout().GetBays() {
		widths = append(widths, b.GetWidth().GetPrinted())
		sum += b.GetWidth().GetNanometres()
	}
	want := slices.Repeat([]string{"7 ft 9-7/16 in"}, 7)
	want[3] = "7 ft 9-3/8 in"
	if !slices.Equal(widths, want) || sum != 654*25_400_000 {
		t.Errorf("bays %q, %d nm in all", widths, sum)
	}
	posts := answer.GetLayout().GetPosts()
	if len(posts) != 8 || posts[0].GetId() != "P1" || posts[0].GetRole() != wattlev1.Post_ROLE_END ||
		posts[7].GetVisits()[0].GetRun() != "back" || posts[7].GetVisits()[0].GetStation().GetPrinted() != "54 ft 6 in" {
		t.Errorf("posts %v", posts)
	}
	if spec := answer.GetSpec(); spec.GetKerf() != "1/8 in" || spec.GetRails().GetSize() != "2x4" || spec.GetLayout().GetTerminalLimit() {
		t.Errorf("the defaulted spec is not echoed: %v", spec)
	}
}

func TestComputeTakeoff(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	job := yard()
	answer, err := wattlev1.NewTakeoffServiceClient(conn).ComputeTakeoff(t.Context(), &wattlev1.ComputeTakeoffRequest{Site: job.GetSite(), Spec: job.GetSpec()})
	if err != nil {
		t.Fatal(err)
	}
	takeoff := answer.GetTakeoff()
	if len(takeoff.GetLines()) < 10 || len(takeoff.GetCutPlans()) == 0 || len(takeoff.GetFaces()) != 2 || len(takeoff.GetGateLeaves()) != 1 {
		t.Fatalf("%d lines, %d cut plans, %d faces, %d gate leaves", len(takeoff.GetLines()), len(takeoff.GetCutPlans()), len(takeoff.GetFaces()), len(takeoff.GetGateLeaves()))
	}
	for _, line := range takeoff.GetLines() {
		steps := line.GetDerivation().GetSteps()
		if len(steps) == 0 {
			t.Errorf("%s has no derivation", line.GetItem())
		}
		for _, s := range steps {
			if s.GetRule() == "" || s.GetSource() == "" || s.GetResult() == "" || s.GetSentence() == "" {
				t.Errorf("%s: a step lacks something: %v", line.GetItem(), s)
			}
		}
	}
	if takeoff.GetGateLeaves()[0].GetGate() != "walk" {
		t.Errorf("leaf of %q", takeoff.GetGateLeaves()[0].GetGate())
	}
}

// refused calls PlanLayout and gives the status it must fail with.
func refused(t *testing.T, conn *grpc.ClientConn, request *wattlev1.PlanLayoutRequest) *status.Status {
	t.Helper()
	_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), request)
	if err == nil {
		t.Fatal("not refused")
	}
	return status.Convert(err)
}

func TestBadJobs(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	for name, c := range map[string]struct {
		spoil func(*wattlev1.PlanLayoutRequest)
		want  []string // the start of each violation
	}{
		"10,001 runs": {
			func(r *wattlev1.PlanLayoutRequest) { r.Site.Runs = slices.Repeat(r.GetSite().GetRuns(), 10_001) },
			[]string{"site.runs: must contain no more than 10000 item(s)"},
		},
		"no site, no height": {
			func(r *wattlev1.PlanLayoutRequest) { r.Site, r.Spec.Height = nil, "" },
			[]string{"site: value is required", "spec.height: must be at least 1 character"},
		},
		"several shapes": {
			func(r *wattlev1.PlanLayoutRequest) {
				r.Site.Runs[0].Id = "back\nyard"
				r.Site.Runs[0].Vertices = nil
				r.Site.Runs[0].Face = 9
				r.Site.Runs[0].Gates[0].Leaves = 3
				r.Spec.Kerf = new("")
				r.Spec.Rails = &wattlev1.Spec_Rails{Count: -1, Stock: []string{"8 ft", ""}}
			},
			[]string{
				"site.runs[0].id: does not match regex pattern",
				"site.runs[0].face: value must be one of the defined enum values", "site.runs[0].gates[0].leaves: must be greater than or equal to 0 and less than or equal to 2",
				"spec.kerf: must be at least 1 character", "spec.rails.count: must be greater than or equal to 0", "spec.rails.stock[1]: must be at least 1 character",
				"site.runs[0].vertices: expected vertices or a traverse, found neither",
			},
		},
		"no unit": {
			func(r *wattlev1.PlanLayoutRequest) {
				r.Site.Runs[0].Vertices[1].East, r.Spec.Height = "54", "6"
			},
			[]string{`site.runs[0].vertices[1].east: "54" is not a length: it needs a unit`, `spec.height: "6" is not a length: it needs a unit`},
		},
		"negative": {
			func(r *wattlev1.PlanLayoutRequest) {
				r.Site.Runs[0].Gates[0].Width, r.Spec.Boards = "-4 ft", &wattlev1.Spec_Boards{Gap: "-1/4 in"}
			},
			[]string{"site.runs[0].gates[0].width: ", "spec.boards.gap: "},
		},
		"zero length": {
			func(r *wattlev1.PlanLayoutRequest) { r.Site.Runs[0].Vertices[1].East = "0 in" },
			[]string{"site.runs[0].vertices[1]: "},
		},
		"a gate wider than its run": {
			func(r *wattlev1.PlanLayoutRequest) { r.Site.Runs[0].Gates[0].Width = "60 ft" },
			[]string{"site.runs[0].gates[0]"},
		},
		"reveals over the height": {
			func(r *wattlev1.PlanLayoutRequest) {
				r.Spec.Rails = &wattlev1.Spec_Rails{TopReveal: new("4 ft"), BottomReveal: new("4 ft")}
			},
			[]string{"spec.rails"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			request := yard()
			c.spoil(request)
			st := refused(t, conn, request)
			got := describe(st)
			ok := st.Code() == codes.InvalidArgument && len(got) == len(c.want)
			for i := range min(len(got), len(c.want)) {
				ok = ok && strings.HasPrefix(got[i], c.want[i])
			}
			if !ok {
				t.Errorf("%v, got\n%s\nwant, in this order, the starts\n%s", st.Code(), strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
			for _, v := range detail[*errdetails.BadRequest](st).GetFieldViolations() {
				if err := leadsToField(request.ProtoReflect().Descriptor(), v.GetField()); err != nil {
					t.Error(err)
				}
			}
		})
	}
}

var subscript = regexp.MustCompile(`\[[^\]]*\]`)

// leadsToField is nil where the path names a field of the message: the domain's
// errors and the .proto use one set of names.
func leadsToField(m protoreflect.MessageDescriptor, path string) error {
	for name := range strings.SplitSeq(subscript.ReplaceAllString(path, ""), ".") {
		if m == nil || m.Fields().ByName(protoreflect.Name(name)) == nil {
			return fmt.Errorf("%q leads to no field of the request: there is no %q", path, name)
		}
		m = m.Fields().ByName(protoreflect.Name(name)).Message()
	}
	return nil
}

func TestFiveMegabyteRequest(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	request := yard()
	request.Spec.Name = strings.Repeat("x", 5<<20)
	if st := refused(t, conn, request); st.Code() != codes.ResourceExhausted {
		t.Errorf("%v", st)
	}
}

func TestAnswerTooLarge(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{MaxAnswer: 1000})
	st := refused(t, conn, yard())
	if info := detail[*errdetails.ErrorInfo](st); st.Code() != codes.ResourceExhausted || info.GetReason() != "ANSWER_TOO_LARGE" ||
		!strings.Contains(st.Message(), "call StreamLayout") {
		t.Errorf("%v, %v", st, info)
	}
}

// Without a quote store GetQuote panics: a real one, deep in a use case.
func TestPanicIsRecovered(t *testing.T) {
	conn, log := serve(t, &estimating.Service{}, Config{})
	_, err := wattlev1.NewQuoteServiceClient(conn).GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: "companies/harrow/quotes/q1"})
	if st := status.Convert(err); st.Code() != codes.Internal || st.Message() != unexplained {
		t.Errorf("%v", st)
	}
	if text := log.String(); !strings.Contains(text, "nil pointer") || !strings.Contains(text, "estimating") {
		t.Errorf("the log does not say where: %s", text)
	}
	if _, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), yard()); err != nil {
		t.Errorf("the server answers no more: %v", err)
	}
}

func TestDeadlineAlreadyPassed(t *testing.T) {
	ctx, cancel := context.WithDeadline(t.Context(), time.Now().Add(-time.Second))
	defer cancel()
	called := false
	_, err := deadlines{time.Minute, time.Minute}.unary(ctx, nil, nil, func(context.Context, any) (any, error) {
		called = true
		return nil, nil
	})
	if st := statusOf(err, "r"); called || st.Code() != codes.DeadlineExceeded {
		t.Errorf("called %t, %v", called, st)
	}
	conn, _ := serve(t, &estimating.Service{}, Config{})
	if _, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(ctx, yard()); status.Code(err) != codes.DeadlineExceeded {
		t.Errorf("%v", err)
	}
}

func TestDefaultDeadline(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{Deadline: time.Nanosecond, StreamDeadline: 20 * time.Millisecond})
	if st := refused(t, conn, yard()); st.Code() != codes.DeadlineExceeded {
		t.Errorf("%v", st)
	}
	// The caller opens an import and then says nothing more.
	stream, err := wattlev1.NewPriceBookServiceClient(conn).ImportPrices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.RecvMsg(&wattlev1.ImportPricesResponse{}); status.Code(err) != codes.DeadlineExceeded {
		t.Errorf("%v", err)
	}
}

func TestRequestID(t *testing.T) {
	conn, log := serve(t, &estimating.Service{}, Config{})
	call := func(ids ...string) (answered string, err error) {
		ctx := metadata.NewOutgoingContext(t.Context(), metadata.MD{requestIDKey: ids})
		var header metadata.MD
		_, err = wattlev1.NewLayoutServiceClient(conn).PlanLayout(ctx, &wattlev1.PlanLayoutRequest{}, grpc.Header(&header))
		if got := header.Get(requestIDKey); len(got) == 1 {
			answered = got[0]
		}
		return answered, err
	}
	id, err := call("crm-4411")
	if id != "crm-4411" || detail[*errdetails.RequestInfo](status.Convert(err)).GetRequestId() != id {
		t.Errorf("answered %q, %v", id, err)
	}
	if !strings.Contains(log.String(), `"request_id":"crm-4411"`) {
		t.Errorf("not in the log: %s", log)
	}
	for _, ids := range [][]string{nil, {"two words"}, {"a", "b"}, {strings.Repeat("x", 129)}} {
		if id, _ := call(ids...); len(id) < 20 || slices.Contains(ids, id) {
			t.Errorf("%q: answered %q", ids, id)
		}
	}
}

func TestLogKeepsWhatTheCallerWroteOut(t *testing.T) {
	conn, log := serve(t, &estimating.Service{}, Config{})
	request := yard()
	request.Spec.Height = "six feet for Mr Example"
	refused(t, conn, request)
	if text := log.String(); strings.Contains(text, "Example") || !strings.Contains(text, `"fields":["spec.height"]`) || !strings.Contains(text, `"code":"InvalidArgument"`) {
		t.Errorf("log: %s", text)
	}
}

func TestHealthAndReflection(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	h, err := healthv1.NewHealthClient(conn).Check(t.Context(), &healthv1.HealthCheckRequest{})
	if err != nil || h.GetStatus() != healthv1.HealthCheckResponse_SERVING {
		t.Errorf("health: %v, %v", h, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	stream, err := reflectionv1.NewServerReflectionClient(conn).ServerReflectionInfo(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&reflectionv1.ServerReflectionRequest{MessageRequest: &reflectionv1.ServerReflectionRequest_ListServices{}}); err != nil {
		t.Fatal(err)
	}
	answer, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	var services []string
	for _, s := range answer.GetListServicesResponse().GetService() {
		services = append(services, s.GetName())
	}
	for _, want := range []string{"wattle.v1.LayoutService", "wattle.v1.TakeoffService", "wattle.v1.PriceBookService", "wattle.v1.QuoteService", "wattle.v1.CatalogService", "grpc.health.v1.Health"} {
		if !slices.Contains(services, want) {
			t.Errorf("%s is not listed in %q", want, services)
		}
	}
}

// openImport begins an import and waits until the server has it.
func openImport(t *testing.T, conn *grpc.ClientConn) grpc.ClientStreamingClient[wattlev1.ImportPricesRequest, wattlev1.ImportPricesResponse] {
	t.Helper()
	stream, err := wattlev1.NewPriceBookServiceClient(conn).ImportPrices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(header()); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Header(); err != nil {
		t.Fatal(err)
	}
	return stream
}

// Who is told to stop before he has begun ends well.
func TestStopBeforeTheStart(t *testing.T) {
	server, err := NewServer(&estimating.Service{}, Config{Access: Access{Nobody: true}})
	if err != nil {
		t.Fatal(err)
	}
	server.grpc.Stop()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if err := server.Serve(ctx, bufconn.Listen(1)); err != nil {
		t.Error(err)
	}
}

func TestStopWaitsForOpenCalls(t *testing.T) {
	conn, _, stop := serveUntil(t, &estimating.Service{}, Config{Drain: time.Minute})
	stream := openImport(t, conn)
	stopped := make(chan struct{})
	go func() { defer close(stopped); stop() }()
	time.Sleep(20 * time.Millisecond) // for the stop to begin; on a slow machine the test only proves less
	if err := stream.Send(chunk("item;price\n")); err != nil {
		t.Fatal(err)
	}
	// An answer of our own, not a broken connection.
	if _, err := stream.CloseAndRecv(); status.Code(err) != codes.InvalidArgument {
		t.Errorf("%v", err)
	}
	<-stopped
}

func TestStopCutsCallsThatTakeTooLong(t *testing.T) {
	conn, _, stop := serveUntil(t, &estimating.Service{}, Config{Drain: 10 * time.Millisecond})
	stream := openImport(t, conn)
	stop()
	if err := stream.RecvMsg(&wattlev1.ImportPricesResponse{}); status.Code(err) != codes.Unavailable && status.Code(err) != codes.Canceled {
		t.Errorf("%v", err)
	}
}

// discard is the log of a server whose log no test reads.
var discard = slog.New(slog.DiscardHandler)

func base64Of(text string) string { return base64.StdEncoding.EncodeToString([]byte(text)) }
