package main

import (
	"bytes"
	"context"
	"database/sql/driver"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// recorder writes down what is sent to the database, to be sent again by pgbench.
type recorder struct {
	mu        sync.Mutex
	recording bool
	sent      []statement
}

type statement struct {
	sql  string
	args []any
}

// record is what do sends.
func (r *recorder) record(do func() error) ([]statement, error) {
	r.set(true)
	defer r.set(false)
	err := do()
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.sent, err
}

func (r *recorder) set(on bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.recording = on; on {
		r.sent = nil
	}
}

func (r *recorder) note(sql string, args []any) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.recording && !strings.HasPrefix(strings.TrimSpace(sql), "-- ping") {
		r.sent = append(r.sent, statement{sql, args})
	}
}

func (r *recorder) TraceQueryStart(ctx context.Context, _ *pgx.Conn, q pgx.TraceQueryStartData) context.Context {
	r.note(q.SQL, q.Args)
	return ctx
}

func (*recorder) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (*recorder) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	return ctx
}

func (r *recorder) TraceBatchQuery(_ context.Context, _ *pgx.Conn, q pgx.TraceBatchQueryData) {
	r.note(q.SQL, q.Args)
}

func (*recorder) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// transactions are the statements between begin and commit, set_config first; what
// is outside, such as who calls, is one of its own.
func transactions(sent []statement) [][]statement {
	var all [][]statement
	open := false
	for _, s := range sent {
		switch word, _, _ := strings.Cut(strings.TrimSpace(s.sql), " "); {
		case word == "begin":
			all, open = append(all, []statement{s}), true
		case open:
			all[len(all)-1] = append(all[len(all)-1], s)
			open = word != "commit" && word != "rollback"
		default:
			all = append(all, []statement{s})
		}
	}
	return all
}

// least is one transaction that finds the prices and keeps the quote: the last one,
// with the as-of query of those before.
func least(b *testing.B, sent []statement) []statement {
	b.Helper()
	isAsOf := func(s statement) bool { return strings.Contains(s.sql, "with recursive") }
	asOf := slices.IndexFunc(sent, isAsOf)
	all := transactions(sent)
	last := all[len(all)-1]
	if asOf < 0 || !strings.Contains(last[1].sql, "set_config") {
		b.Fatal("the statements of a quote are not what they were: look for the as-of query and the last transaction")
	}
	return slices.Insert(slices.Clone(last), 2, sent[asOf])
}

// pgbenchScript is a file that sends the statements, each time with another word in
// place of the ids, which nothing else in them may contain.
func pgbenchScript(b *testing.B, sent []statement, ids ...string) string {
	b.Helper()
	var text bytes.Buffer
	text.WriteString("\\set id random(1, 9000000000000000000)\n")
	for _, s := range sent {
		sql := comment.ReplaceAllString(strings.TrimSpace(s.sql), "")
		for i := len(s.args); i > 0; i-- { // from the last, so that $1 is not taken for the start of $12
			sql = strings.ReplaceAll(sql, fmt.Sprintf("$%d", i), literal(b, s.args[i-1], ids))
		}
		text.WriteString(sql + ";\n")
	}
	file := filepath.Join(b.TempDir(), "quote.sql")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	return file
}

// comment is one of a line; pgbench would look for variables in it.
var comment = regexp.MustCompile(`(?m)^\s*--.*$`)

// variable is what pgbench takes for one wherever it stands.
var variable = regexp.MustCompile(`:\w`)

// literal is an argument as SQL.
func literal(b *testing.B, arg any, ids []string) string {
	switch v := arg.(type) {
	case nil:
		return "null"
	case string:
		return quoted(b, v, ids)
	case []byte:
		for _, id := range ids {
			if bytes.Contains(v, []byte(id)) {
				return "convert_to(" + quoted(b, string(v), ids) + ", 'UTF8')"
			}
		}
		return `'\x` + hex.EncodeToString(v) + `'`
	case time.Time:
		return "'" + v.UTC().Format("20060102T150405.999999Z") + "'" // without colons, see quoted
	case *time.Time:
		if v == nil {
			return "null"
		}
		return literal(b, *v, ids)
	case []string:
		return array(b, v, "text", ids)
	case []time.Time:
		return array(b, v, "timestamptz", ids)
	case []int:
		return array(b, v, "bigint", ids)
	case []int16:
		return array(b, v, "smallint", ids)
	case []int32:
		return array(b, v, "integer", ids)
	case []int64:
		return array(b, v, "bigint", ids)
	case [][]byte: // River's: JSON, and keys where jobs are unique
		texts := make([]any, len(v))
		for i, text := range v {
			if len(text) > 0 {
				texts[i] = string(text)
			}
		}
		return array(b, texts, "text", ids)
	case driver.Valuer:
		plain, err := v.Value()
		if err != nil {
			b.Fatal(err)
		}
		return literal(b, plain, ids)
	case bool, int, int16, int32, int64:
		return fmt.Sprint(v)
	default:
		b.Fatalf("an argument of type %T: say how it is written in SQL", arg)
		return ""
	}
}

func array[T any](b *testing.B, of []T, kind string, ids []string) string {
	elements := make([]string, len(of))
	for i, v := range of {
		elements[i] = literal(b, v, ids)
	}
	return "array[" + strings.Join(elements, ",") + "]::" + kind + "[]"
}

// quoted is a text, with pgbench's variable where an id stands in it.
func quoted(b *testing.B, text string, ids []string) string {
	for _, id := range ids {
		text = strings.ReplaceAll(text, id, "\x00")
	}
	parts := strings.Split(text, "\x00")
	for i, p := range parts {
		if variable.MatchString(p) {
			b.Fatalf("%q has what pgbench takes for a variable", p)
		}
		parts[i] = "'" + strings.ReplaceAll(p, "'", "''") + "'"
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "(" + strings.Join(parts, " || :id::text || ") + ")"
}
