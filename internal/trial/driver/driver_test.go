package driver

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"
)

// What was written is read back, but for a last line that was cut short, and the
// next entry follows what is whole.
func TestLedgerOutlivesACrash(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger")
	open := func() *Ledger {
		t.Helper()
		l, err := OpenLedger(path)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	add := func(l *Ledger, e Entry) {
		t.Helper()
		if err := l.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	l := open()
	add(l, Entry{ID: "1", Call: Create, Reference: "1", Request: [][]byte{{0, 1, 255}}})
	add(l, Entry{ID: "1", Answer: &Answer{Name: "q1"}})
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(text, `{"id":"2","call":"cre`...), 0o600); err != nil {
		t.Fatal(err)
	}
	l = open()
	add(l, Entry{ID: "3", Call: Import})
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l = open()
	defer func() { _ = l.Close() }()
	var ids []string
	for _, e := range l.Entries() {
		ids = append(ids, e.ID+string(e.Call))
	}
	if got := strings.Join(ids, " "); got != "1create 1 3import" {
		t.Errorf("the ledger has %s", got)
	}
	if got := l.Entries()[0].Request[0]; string(got) != "\x00\x01\xff" {
		t.Errorf("the request was read back as %v", got)
	}
	if err := os.WriteFile(path, []byte("no ledger\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenLedger(path); err == nil {
		t.Error("a file of something else was opened")
	}
}

// What contradicts itself among the acknowledgements alone is found without
// asking the service.
func TestBooksThatContradictThemselves(t *testing.T) {
	made := []Entry{
		{ID: "a", Call: Create, Reference: "a"},
		{ID: "a", Answer: &Answer{Name: "q1", Fingerprint: "f1", State: "DRAFT", Sequence: 1}},
		{ID: "b", Call: Issue, Quote: "q1"},
	}
	for name, c := range map[string]struct {
		then     []Entry
		problems int
		open     int
	}{
		"as it should be":     {[]Entry{{ID: "b", Answer: &Answer{Name: "q1", Fingerprint: "f1", State: "ISSUED", Sequence: 2}}}, 0, 0},
		"not answered":        {nil, 0, 1},
		"refused":             {[]Entry{{ID: "b", Refused: "no"}}, 1, 0},
		"another quote":       {[]Entry{{ID: "b", Answer: &Answer{Name: "q2", Fingerprint: "f1", Sequence: 2}}}, 1, 0},
		"another fingerprint": {[]Entry{{ID: "b", Answer: &Answer{Name: "q1", Fingerprint: "f2", Sequence: 2}}}, 1, 0},
		"no step further":     {[]Entry{{ID: "b", Answer: &Answer{Name: "q1", Fingerprint: "f1", Sequence: 1}}}, 1, 0},
		"one revision to two": {[]Entry{
			{ID: "b", Answer: &Answer{Name: "q1", Fingerprint: "f1", Sequence: 2}},
			{ID: "c", Call: Import}, {ID: "d", Call: Import}, {ID: "c", Answer: &Answer{Revision: 7}}, {ID: "d", Answer: &Answer{Revision: 7}},
		}, 1, 0},
	} {
		v := &Verdict{}
		b := readBooks(slices.Concat(made, c.then), v)
		if len(v.Problems) != c.problems || len(b.open) != c.open {
			t.Errorf("%s: %d open, %q", name, len(b.open), v.Problems)
		}
	}
}

func TestWait(t *testing.T) {
	asked, err := status.New(codes.ResourceExhausted, "too much").WithDetails(&errdetails.RetryInfo{RetryDelay: durationpb.New(3 * time.Second)})
	if err != nil {
		t.Fatal(err)
	}
	if got := wait(asked.Err(), 0); got != 3*time.Second {
		t.Errorf("asked to wait 3 s, it waits %v", got)
	}
	for try, most := range []time.Duration{50 * time.Millisecond, 100 * time.Millisecond, 200 * time.Millisecond, 400 * time.Millisecond, 800 * time.Millisecond, time.Second, time.Second} {
		if got := wait(status.Error(codes.Unavailable, ""), try); got < most/2 || got >= most {
			t.Errorf("before try %d it waits %v, want up to %v", try, got, most)
		}
	}
}

func TestTimeline(t *testing.T) {
	line := newTimeline()
	at := func(ms int) time.Time { return line.start.Add(time.Duration(ms) * time.Millisecond) }
	for i := range 100 {
		line.add(at(i), time.Duration(i+1)*time.Millisecond, nil)
	}
	line.add(at(1500), time.Second, status.Error(codes.Unavailable, ""))
	line.add(at(1600), 2*time.Second, errors.New("of our own"))
	line.add(at(2500), 7*time.Millisecond, nil)
	var text strings.Builder
	if err := line.Write(&text); err != nil {
		t.Fatal(err)
	}
	want := `
  second   ok  p50 ms  p99 ms                    failed
       0  100      50      99                         -
       1    0       -       -  1 Unknown, 1 Unavailable
       2    1       7       7                         -
`
	if "\n"+text.String() != want {
		t.Errorf("got\n%s", text.String())
	}
	if got := line.LongestGap(); got != 2401*time.Millisecond {
		t.Errorf("the longest gap is %v", got)
	}
	if got, ok := line.FirstAfter(at(100)); !ok || got != at(2500) {
		t.Errorf("the first after 0.1 s came at %v", got.Sub(line.start))
	}
	if _, ok := line.FirstAfter(at(2501)); ok || line.LastFailure() != at(1600) || line.LongestFailure() != 2*time.Second || line.Acknowledged() != 101 {
		t.Errorf("%+v", line)
	}
}
