package rpc

import (
	"testing"

	wattlev1 "wattle/api/wattle/v1"
)

// Any text as a token is refused or gives a place; a token of ours gives back
// what went in, for its own request only.
func FuzzPageToken(f *testing.F) {
	request := &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: 5}
	f.Add("", "2026-03-05T12:00:00.000001Z", "q1")
	f.Add("bm8", "", "\"")
	f.Add(pageToken(request, place{"a", "b"}), "é", "\x00")
	f.Add("WyIiLDEsMl0", "a,b", "[")
	f.Fuzz(func(t *testing.T, token, a, b string) {
		if at, err := readPageToken(request, token); err == nil && (at == nil) != (token == "") {
			t.Errorf("%q gave %q", token, at)
		}
		ours := pageToken(request, place{a, b})
		at, err := readPageToken(&wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageToken: ours}, ours)
		// What is not UTF-8 comes back as U+FFFD; our own places are ASCII.
		if want := (place{string([]rune(a)), string([]rune(b))}); err != nil || *at != want {
			t.Errorf("%q, %q came back as %q, %v", a, b, at, err)
		}
		if _, err := readPageToken(&wattlev1.ListQuotesRequest{Parent: "companies/otley"}, ours); err == nil {
			t.Error("a token of one list opened another")
		}
	})
}
