package rpc

import (
	"slices"
	"testing"

	wattlev1 "wattle/api/wattle/v1"
)

// Any text as a token is refused or gives its parts; a token of ours gives back
// what went in, for its own request only.
func FuzzPageToken(f *testing.F) {
	request := &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: 5}
	f.Add("", "2026-03-05T12:00:00.000001Z", "q1")
	f.Add("bm8", "", "\"")
	f.Add(pageToken(request, "a", "b"), "é", "\x00")
	f.Add("WyIiLDEsMl0", "a,b", "[")
	f.Fuzz(func(t *testing.T, token, a, b string) {
		if parts, err := readPageToken(request, token, 2); err == nil && token != "" && len(parts) != 2 {
			t.Errorf("%q gave %q", token, parts)
		}
		ours := pageToken(request, a, b)
		parts, err := readPageToken(&wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageToken: ours}, ours, 2)
		if want := []string{string([]rune(a)), string([]rune(b))}; err != nil || !slices.Equal(parts, want) {
			t.Errorf("%q, %q came back as %q, %v", a, b, parts, err)
		}
		if _, err := readPageToken(&wattlev1.ListQuotesRequest{Parent: "companies/otley"}, ours, 2); err == nil {
			t.Error("a token of one list opened another")
		}
	})
}
