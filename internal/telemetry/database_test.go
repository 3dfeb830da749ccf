package telemetry

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"

	"wattle/internal/correlate"
	"wattle/internal/postgres/storetest"
)

// What is told of a statement, in spans and in the log, has neither the values
// that were sent nor those that the database quotes in its errors; it leads to
// the call by request id and trace.
func TestStatementsAreToldWithoutValues(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	recorded := tracetest.NewSpanRecorder()
	traces := trace.NewTracerProvider(trace.WithSpanProcessor(recorded))
	var log bytes.Buffer
	tel := Off()
	tel.Traces, tel.log = traces, slog.New(slog.NewJSONHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	tracer := tel.Statements().(*statements) //nolint:forcetypeassert // made two lines above
	tracer.slow = 0
	config, err := pgx.ParseConfig(db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	config.Tracer = tracer
	conn, err := pgx.ConnectConfig(t.Context(), config)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(t.Context())) }() // nothing is pending
	ctx, span := traces.Tracer("test").Start(correlate.WithRequest(t.Context(), "crm-1"), "call")

	const secret = "Quillfeather"
	for name, f := range map[string]func() error{
		"a row that is refused": func() error {
			_, err := conn.Exec(ctx, `insert into company (company, created_at, title) values ($1, now(), $1)`, secret+" of the capital letters")
			return err
		},
		"text that is no number": func() error { _, err := conn.Exec(ctx, `select $1::text::int`, secret); return err },
		"what the driver cannot send": func() error {
			_, err := conn.Exec(ctx, `select $1::int`, secret)
			return err
		},
		"words of a function": func() error {
			_, err := conn.Exec(ctx, `do $$ begin raise exception 'no %', current_setting('wattle.company'); end $$`)
			return err
		},
		"a batch": func() error {
			var b pgx.Batch
			b.Queue(`select 1`)
			b.Queue(`select $1::text::date`, secret)
			return conn.SendBatch(ctx, &b).Close()
		},
		"a copy": func() error {
			_, err := conn.CopyFrom(ctx, pgx.Identifier{"import_part"}, []string{"company", "import", "office", "part"}, pgx.CopyFromRows([][]any{{secret, secret, secret, 0}}))
			return err
		},
	} {
		if _, err := conn.Exec(ctx, `select set_config('wattle.company', $1, false)`, secret); err != nil {
			t.Fatal(err)
		}
		if f() == nil {
			t.Errorf("%s: no error", name)
		}
	}
	span.End()
	told := log.String()
	for _, s := range recorded.Ended() {
		told += fmt.Sprintln(s.Name(), s.Attributes(), s.Status(), s.Events())
	}
	if strings.Contains(told, secret) {
		t.Errorf("a value is told:\n%s", told)
	}
	for _, want := range []string{
		`"msg":"failed statement"`, `"msg":"slow statement"`, `"statement":"select $1::text::int"`, `(SQLSTATE 22P02)`, `"statement":"a batch"`, `"statement":"copy \"import_part\""`,
		`"request_id":"crm-1"`, `"trace_id":"` + span.SpanContext().TraceID().String() + `"`,
	} {
		if !strings.Contains(told, want) {
			t.Errorf("no %s in\n%s", want, told)
		}
	}
	for _, s := range recorded.Ended() {
		if s.Name() != "call" && s.SpanContext().TraceID() != span.SpanContext().TraceID() {
			t.Errorf("%s is of another trace", s.Name())
		}
	}
}

// What is part of the work is no warning.
func TestWhatIsWarnedOf(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	conn, err := pgx.Connect(t.Context(), db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(t.Context())) }() // nothing is pending
	if _, err := conn.Exec(t.Context(), `set statement_timeout = '10ms'`); err != nil {
		t.Fatal(err)
	}
	_, canceled := conn.Exec(t.Context(), `select pg_sleep(10)`)
	_, absent := conn.Exec(t.Context(), `select 1 from no_such_table`)
	for name, c := range map[string]struct {
		err  error
		want slog.Level
	}{
		"a statement that took too long": {canceled, slog.LevelDebug},
		"a caller who went away":         {fmt.Errorf("x: %w", context.Canceled), slog.LevelDebug},
		"a table that there is not":      {absent, slog.LevelWarn},
		"a broken connection":            {errors.New("EOF"), slog.LevelWarn},
	} {
		if got := levelOf(c.err); got != c.want {
			t.Errorf("%s: %v, want %v (%v)", name, got, c.want, c.err)
		}
	}
	if text := withoutValues(absent).Error(); !strings.Contains(text, "no_such_table") {
		t.Errorf("an operator reads %q", text)
	}
}

func TestStatementNames(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"\n\tselect a\n from b": "SELECT",
		"commit":                "COMMIT",
		"-- name: JobGetAvailable :many\nWITH x as": "JobGetAvailable",
		"": "",
	} {
		if got := statementName(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	if got := shorten("select  a,\n\tb " + strings.Repeat("x", 500)); len(got) != mostStatement || !strings.HasPrefix(got, "select a, b xxx") {
		t.Errorf("%q", got)
	}
	if shorten("begin") != "begin" || time.Second != slow {
		t.Error("slow statements are not those that the documents name")
	}
}
