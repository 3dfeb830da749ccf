package main

import (
	"os"
	"strings"
	"testing"
)

// What is read on the command line is read or refused with a sentence, whatever
// stands in it.
func FuzzJobFile(f *testing.F) {
	for _, file := range []string{"../../testdata/demo/job.yaml", "../../testdata/demo/options.yaml", "../../testdata/client_job.json"} {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("{}"))
	f.Add([]byte("\r0")) // a line that the decoder does not count
	f.Add([]byte("site: &a [*a]"))
	f.Add([]byte("a: &a [&b [*b, *b], *b]"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if job, err := parseJob("job.yaml", text); err == nil && (job.GetSite() == nil || hasSpec("job.yaml", job) != nil) {
			t.Fatal("a job without a site or a spec is taken")
		}
		if _, err := decodeSpecJob("job.yaml", text); err != nil && strings.TrimSpace(err.Error()) == "" {
			t.Fatal("refused without a word")
		}
	})
}

func FuzzFlags(f *testing.F) {
	for _, seed := range []string{"gravel=12 ft3", "a=b=1", "=", "3:5f1c", "9223372036854775808:", ":"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if order, err := readOrder("--order", text); err == nil && !strings.HasPrefix(text, order.GetItem()+"=") {
			t.Errorf("%q is an order of %q", text, order.GetItem())
		}
		if head, err := readExpected(text); err == nil && !strings.HasSuffix(text, ":"+head.GetHash()) {
			t.Errorf("%q expects %q", text, head.GetHash())
		}
	})
}
