package archtest

import (
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
)

// A checker that finds nothing is only worth something if it can find.
func TestViolationsAreCaught(t *testing.T) {
	for _, c := range []struct {
		pkg, imported string
		want          string // part of the one sentence; empty: allowed
	}{
		{"internal/site", "strings", ""},
		{"internal/site", "wattle/internal/measure", ""},
		{"internal/civil", "time", ""},
		{"internal/render", "wattle/internal/costindex", ""},
		{"internal/quote", "golang.org/x/text/unicode/norm", ""},
		{"internal/estimating", "context", ""},
		{"internal/postgres", "github.com/jackc/pgx/v5/pgxpool", ""},
		{"internal/postgres/pgtest", "wattle/internal/localpg", ""},
		{"internal/postgres/pgtest", "testing", ""},
		{"internal/rpc", "wattle/api/wattle/v1", ""},
		{"cmd/wattle", "example.com/any/thing", ""},

		{"internal/layout", "time", "a clock makes two runs differ"},
		{"internal/takeoff", "context", "a search stops at its node budget"},
		{"internal/cutting", "math/rand/v2", "chance"},
		{"internal/render", "os/exec", "only what it is handed"},
		{"internal/render", "log/slog", "only what it is handed"},
		{"internal/quote", "google.golang.org/protobuf/proto", "the wire format may change"},
		{"internal/estimating", "google.golang.org/grpc/codes", "the wire format may change"},
		{"internal/postgres", "buf.build/go/protovalidate", "the wire format may change"},
		{"internal/book", "github.com/jackc/pgx/v5", "SQL lives in internal/postgres"},
		{"internal/rpc", "github.com/jackc/pgx/v5/pgconn", "SQL lives in internal/postgres"},
		{"internal/rpc", "wattle/internal/postgres", "meet only through internal/estimating"},
		{"internal/rpc", "wattle/internal/postgres/pgtest", "meet only through internal/estimating"},
		{"internal/postgres", "wattle/internal/rpc", "meet only through internal/estimating"},
		{"internal/postgres", "wattle/api/wattle/v1", "meet only through"},
		{"internal/estimating", "wattle/internal/postgres/pgtest", "what only tests need"},
		{"cmd/wattle", "wattle/internal/postgres/pgtest", "what only tests need"},

		{"internal/fault", "wattle/internal/measure", "may import nothing, because every layer speaks it"},
		{"internal/layout", "wattle/internal/money", "may import spacing, site, spec, section, timber, measure, fault, because where the posts stand"},
		{"internal/layout", "wattle/internal/takeoff", "must not import"},
		{"internal/localpg", "golang.org/x/sys/unix", "std only"},
		{"internal/measure", "github.com/govalues/decimal", "may import rational, fault,"},
		{"internal/site", "wattle/internal/measure/sub", "must not import"},
		{"internal/postgres", "github.com/jackc/pgx/v5evil", "must not import"},
		{"internal/estimating", "wattle/api/wattle/v1", "must not import"},
		{"api/wattle/v1", "wattle/internal/measure", "never the other way"},

		{"internal/weather", "fmt", "add it to rows in internal/archtest/rules_test.go"},
		{"cmd/wattle/util", "fmt", "name it after the thing it holds"},
	} {
		found := violations(graph{c.pkg: {c.imported}})
		if c.want == "" && len(found) > 0 || c.want != "" && !strings.Contains(strings.Join(found, "\n"), c.want) {
			t.Errorf("%s importing %s: got %q, want %q", c.pkg, c.imported, found, c.want)
		}
	}
}

func TestReadTakesWhatIsBuilt(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	got, err := read(fstest.MapFS{
		"go.mod":                       file("module wattle"),
		"internal/a/a.go":              file("package a\nimport (\n\t\"fmt\"\n\tx \"os\"\n)"),
		"internal/a/a_windows.go":      file("package a\nimport \"fmt\"\nimport \"syscall\""),
		"internal/a/a_test.go":         file("package a\nimport \"time\""),
		"internal/a/notes.txt":         file("import"),
		"internal/b/doc.go":            file("package b"),
		"internal/b/testdata/x.go":     file("package x\nimport \"net\""),
		"internal/tools/go.mod":        file("module wattle/internal/tools"),
		"internal/tools/main.go":       file("package main\nimport \"net\""),
		".cache/c.go":                  file("package c\nimport \"net\""),
		"internal/onlytests/a_test.go": file("package onlytests\nimport \"net\""),
	})
	want := graph{"internal/a": {"fmt", "os", "syscall"}, "internal/b": nil}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, %v; want %v", got, err, want)
	}
}

func TestEveryRuleIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range rows {
		if r.pkg == "" || r.why == "" || seen[r.pkg] {
			t.Errorf("row %q: no package, no reason, or twice", r.pkg)
		}
		seen[r.pkg] = true
	}
	for p := range strings.FieldsSeq(pure) {
		if !seen["internal/"+p] {
			t.Errorf("%s is called pure and has no row", p)
		}
	}
	for _, r := range rows {
		for word := range strings.FieldsSeq(r.may) {
			if special := word == "pure" || word == "anything" || strings.ContainsAny(word, "./"); !special && !seen["internal/"+word] && !seen[word] {
				t.Errorf("row %s may import %q, which has no row", r.pkg, word)
			}
		}
	}
	for i, b := range bans {
		if b.imports == "" || b.why == "" || b.in == "" && b.unless == "" {
			t.Errorf("ban %d: forbids nothing, or to nobody, or without a reason", i)
		}
	}
}
