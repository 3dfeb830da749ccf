package main

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	trace "go.opentelemetry.io/proto/otlp/trace/v1"

	"wattle/internal/postgres/storetest"
)

// logged finds a line of a process's log.
func (s *serving) logged(t *testing.T, holds func(line map[string]any) bool) map[string]any {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		for text := range strings.Lines(s.log.String()) {
			var line map[string]any
			if json.Unmarshal([]byte(text), &line) == nil && holds(line) {
				return line
			}
		}
		if time.Now().After(end) {
			t.Fatalf("no such line:\n%s", s.log)
		}
	}
}

// operator is the address that a process tells its operator at.
func (s *serving) operator(t *testing.T) string {
	t.Helper()
	address, _ := s.logged(t, func(line map[string]any) bool { return line["msg"] == "listening for the operator" })["address"].(string)
	return address
}

// ask makes an HTTP request, which must go well, and gives its answer.
func ask(t *testing.T, method, url, body string, headers ...string) string {
	t.Helper()
	return askFor(t, http.StatusOK, method, url, body, headers...)
}

func askFor(t *testing.T, want int, method, url, body string, headers ...string) string {
	t.Helper()
	request, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(headers); i += 2 {
		request.Header.Set(headers[i], headers[i+1])
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = response.Body.Close() }()
	answer, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != want {
		t.Fatalf("%s %s: %s, %v\n%s", method, url, response.Status, err, answer)
	}
	return string(answer)
}

// A running service is watched as its operator would: a quote over HTTP is one
// trace down to its statements, and the log, the trace and the job that it left
// behind have the same names; what is scraped has every metric that the alerts
// and the dashboard ask for; and nothing of a person is in any of them.
func TestServeTellsItsOperator(t *testing.T) {
	dir := dataDir(t)
	sent := collect(t)
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", sent.url)
	t.Setenv("OTEL_BSP_SCHEDULE_DELAY", "100") // ms
	s := start(t, "--local", "--data-dir", dir, "--http-listen", "127.0.0.1:0", "--admin-listen", "127.0.0.1:0")
	flags := s.harrow(t, dir)
	wattle(t, exitDone, append([]string{"prices", "import", demoMarch, "--mode", "patch"}, flags...)...)
	secret, err := os.ReadFile(flags[5])
	if err != nil {
		t.Fatal(err)
	}
	key := "Bearer " + strings.TrimSpace(string(secret))
	quotes := "http://" + s.http + "/v1/companies/harrow/quotes"

	const person, street = "Pat Quillfeather", "7 Orchard Row"
	ask(t, http.MethodPost, "http://"+s.http+"/v1/companies/harrow/customers", `{"requestId":"c","customerId":"C-2001","customer":{"displayName":"`+person+`","address":{"lines":["`+street+`"]}}}`,
		"Authorization", key, "Content-Type", "application/json")
	// What a caller wrote in a wrong place is said back to him, and to nobody else.
	if said := askFor(t, http.StatusBadRequest, http.MethodPost, "http://"+s.http+"/v1/layouts:plan", `{"site":{"runs":[{"id":"r","vertices":[{"east":"0 ft","north":"0 ft"},{"east":"9 ft","north":"0 ft"}]}]},"spec":{"height":"as tall as `+person+`"}}`,
		"Authorization", key, "Content-Type", "application/json"); !strings.Contains(said, person) {
		t.Errorf("said back: %s", said)
	}
	job, err := os.ReadFile("../../testdata/client_job.json")
	if err != nil {
		t.Fatal(err)
	}
	const traceID = "4bf92f3577b34da6a3ce929d0e0e4736"
	answer := ask(t, http.MethodPost, quotes, string(job), "Authorization", key, "Content-Type", "application/json",
		"X-Request-Id", "crm-1", "traceparent", "00-"+traceID+"-00f067aa0ba902b7-01")
	name := regexp.MustCompile(`"name":"([^"]*)"`).FindStringSubmatch(answer)[1]
	ask(t, http.MethodGet, "http://"+s.http+"/v1/"+name+":replay", "", "Authorization", key)

	all := sent.wait(t, func(all []*trace.Span) bool {
		return slices.ContainsFunc(all, func(s *trace.Span) bool { return s.GetName() == "river.work/event" && linked(s, traceID) }) &&
			slices.ContainsFunc(all, func(s *trace.Span) bool {
				return hex.EncodeToString(s.GetTraceId()) == traceID && strings.HasPrefix(s.GetName(), "POST ")
			})
	})
	oneTrace(t, all, traceID, s)
	metrics := ask(t, http.MethodGet, "http://"+s.operator(t)+"/metrics", "")
	for _, want := range []string{
		`wattle_quotes_total{outcome="made"} 1`, `wattle_replays_total{identical="true"} 1`, `wattle_replays_total{identical="false"} 0`,
		`wattle_imports_total{outcome="made"} 1`, `wattle_imports_changes_total 64`, `wattle_ready 1`, `wattle_database_up 1`,
		`http_server_request_duration_seconds_count{http_request_method="POST",http_response_status_code="200",http_route="/v1/{parent=companies/*}/quotes"} 1`,
		`rpc_server_call_duration_seconds_count{rpc_method="wattle.v1.QuoteService/CreateQuote",rpc_response_status_code="OK"} 1`,
		`pgxpool_max_connections{db_client_connection_pool_name="worker"}`, `wattle_jobs_waiting{queue="webhooks"} 0`,
	} {
		if !strings.Contains(metrics, "\n"+want) {
			t.Errorf("not among the metrics: %s", want)
		}
	}
	exposesWhatIsAskedFor(t, metrics)
	if err := s.stop(t, syscall.SIGTERM); err != nil {
		t.Error(err)
	}
	told := fmt.Sprint(all) + metrics + s.log.String()
	for _, secret := range []string{"Quillfeather", "Orchard", strings.TrimSpace(string(secret))} {
		if strings.Contains(told, secret) {
			t.Errorf("%q is told", secret)
		}
	}
	if strings.Contains(metrics, "harrow") || strings.Contains(metrics, strings.TrimPrefix(name, "companies/harrow/quotes/")) {
		t.Error("a company or a quote is the label of a metric")
	}
}

func linked(s *trace.Span, traceID string) bool {
	return slices.ContainsFunc(s.GetLinks(), func(l *trace.Span_Link) bool { return hex.EncodeToString(l.GetTraceId()) == traceID })
}

// oneTrace holds a quote's trace, the caller's, from HTTP down to the statements.
func oneTrace(t *testing.T, all []*trace.Span, traceID string, s *serving) {
	t.Helper()
	var its []*trace.Span
	byID := make(map[string]*trace.Span)
	for _, span := range all {
		if hex.EncodeToString(span.GetTraceId()) == traceID {
			its = append(its, span)
			byID[string(span.GetSpanId())] = span
		}
	}
	t.Logf("one CreateQuote:\n%s", tree(its))
	statements := 0
	for _, span := range its {
		text := attr(span, "db.query.text")
		if text == "" {
			continue
		}
		statements++
		if strings.Contains(text, "harrow") || strings.Contains(text, "crm-") {
			t.Errorf("a statement with its values: %s", text)
		}
		var way []string
		for up := byID[string(span.GetParentSpanId())]; up != nil; up = byID[string(up.GetParentSpanId())] {
			way = append(way, up.GetKind().String()+" "+up.GetName())
		}
		want := []string{"SPAN_KIND_SERVER wattle.v1.QuoteService/CreateQuote", "SPAN_KIND_CLIENT wattle.v1.QuoteService/CreateQuote", "SPAN_KIND_SERVER POST /v1/{parent=companies/*}/quotes"}
		if len(way) < 3 || !slices.Equal(way[len(way)-3:], want) {
			t.Errorf("a statement's way up is %q", way)
		}
	}
	if statements < 10 {
		t.Errorf("only %d statements", statements)
	}
	call := s.logged(t, func(line map[string]any) bool { return line["msg"] == "call" && line["request_id"] == "crm-1" })
	span := slices.IndexFunc(its, func(s *trace.Span) bool {
		return s.GetName() == "wattle.v1.QuoteService/CreateQuote" && s.GetKind() == trace.Span_SPAN_KIND_SERVER
	})
	if call["trace_id"] != traceID || span < 0 || call["span_id"] != hex.EncodeToString(its[span].GetSpanId()) || attr(its[span], "wattle.request_id") != "crm-1" {
		t.Errorf("the call's line is %v", call)
	}
}

// watched are the names of metrics in a query.
var watched = regexp.MustCompile(`\b(?:wattle|rpc|http|db|pgxpool|river|process|go)_[a-z0-9_]+\b`)

// exposesWhatIsAskedFor holds the alerts and the dashboard against what is told.
func exposesWhatIsAskedFor(t *testing.T, metrics string) {
	t.Helper()
	exposed := make(map[string]bool)
	for line := range strings.Lines(metrics) {
		if !strings.HasPrefix(line, "#") {
			exposed[line[:strings.IndexAny(line, "{ ")]] = true
		}
	}
	for _, file := range []string{"alerts.yml", "README.md", "dashboard.json"} {
		text, err := os.ReadFile(filepath.Join("../../deploy/observability", file))
		if err != nil {
			t.Fatal(err)
		}
		named := 0
		for _, name := range watched.FindAllString(string(text), -1) {
			named++
			if !exposed[name] && !labels[name] {
				t.Errorf("%s asks for %s, which is not told", file, name)
			}
		}
		if named < 5 {
			t.Errorf("%s names %d metrics", file, named)
		}
	}
}

// labels are those whose names look like a metric's.
var labels = map[string]bool{
	"rpc_method": true, "rpc_response_status_code": true, "http_route": true, "http_request_method": true,
	"http_response_status_code": true, "db_client_connection_pool_name": true,
}

// Who works alone tells his operator too, of his own connections and of what
// waits.
func TestWorkTellsItsOperator(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	s := &serving{log: &processLog{}}
	s.Cmd = exec.CommandContext(t.Context(), "wattle", "work", "--worker-database-url", db.WorkerURL(), "--admin-listen", "127.0.0.1:0")
	s.Stderr = s.log
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	s.logged(t, func(line map[string]any) bool { return line["msg"] == "working" })
	metrics := ask(t, http.MethodGet, "http://"+s.operator(t)+"/metrics", "")
	for _, want := range []string{`wattle_database_up 1`, `wattle_jobs_waiting{queue="webhooks"} 0`, `pgxpool_max_connections{db_client_connection_pool_name="worker"}`} {
		if !strings.Contains(metrics, "\n"+want) {
			t.Errorf("not among the metrics: %s", want)
		}
	}
	if err := s.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := s.Wait(); err != nil {
		t.Errorf("%v\n%s", err, s.log)
	}
}

// A collector's address that cannot be read is refused before anything starts.
func TestWrongCollector(t *testing.T) {
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", "127.0.0.1:4318")
	for _, command := range [][]string{{"serve", "--local", "--listen", "127.0.0.1:0"}, {"work", "--worker-database-url", "postgres://127.0.0.1:1/none"}} {
		if _, said := wattle(t, exitWrongUse, command...); !strings.Contains(said, "OTEL_EXPORTER_OTLP_ENDPOINT: expected an address such as http://127.0.0.1:4318") {
			t.Errorf("%v: %s", command, said)
		}
	}
}

// The dashboard's panels are those that the README explains, with its queries.
func TestDashboardIsExplained(t *testing.T) {
	t.Parallel()
	var dashboard struct {
		Panels []struct {
			Title, Description string
			Targets            []struct{ Expr string }
		}
	}
	text, err := os.ReadFile("../../deploy/observability/dashboard.json")
	if err == nil {
		err = json.Unmarshal(text, &dashboard)
	}
	if err != nil {
		t.Fatal(err)
	}
	explained, err := os.ReadFile("../../deploy/observability/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, panels, _ := strings.Cut(string(explained), "\n## Panels\n")
	var drawn strings.Builder
	for _, p := range dashboard.Panels {
		drawn.WriteString("### " + p.Title + "\n\n```promql\n")
		for _, target := range p.Targets {
			drawn.WriteString(target.Expr + "\n")
		}
		drawn.WriteString("```\n\n" + p.Description + "\n\n")
		if !strings.Contains(panels, drawn.String()+"Otherwise: ") {
			t.Errorf("the README has no panel like\n%s", &drawn)
		}
		drawn.Reset()
	}
	if n := strings.Count(panels, "\n### "); n != len(dashboard.Panels) || n < 10 {
		t.Errorf("%d panels explained, %d drawn", n, len(dashboard.Panels))
	}
}
