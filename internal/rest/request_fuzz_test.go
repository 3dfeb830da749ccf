package rest_test

import (
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"wattle/internal/rest"
)

// Whatever stands in a path, a query or a body, it is a call that the service gets
// whole, or an error of the one form; and it is told as the caller's fault.
func FuzzHTTP(f *testing.F) {
	for _, seed := range [][3]string{
		{"POST", "/v1/layouts:plan", `{"site":{"runs":[{"id":"a","vertices":[{"east":"0 ft","north":"0 ft"}]}]},"spec":{"height":"6 ft"}}`},
		{"GET", "/v1/companies/harrow/quotes?pageSize=5&state=STATE_DRAFT&pageToken=x", ""},
		{"PATCH", "/v1/companies/harrow/offices/north?updateMask=title", `{"title":"North"}`},
		{"GET", "/v1/companies/harrow/quotes/q:render?format=FORMAT_PLAN_SVG&alt=media", ""},
		{"POST", "/v1/layouts:plan", `{"site":{},"site":{}}`},
		{"GET", "/v1/families?a.b.c=1&a=2", ""},
	} {
		f.Add(seed[0], seed[1], seed[2])
	}
	e, base := startEcho(f, rest.Config{MaxBody: 10_000})
	e.say(status.Error(codes.NotFound, "nothing is here"))
	f.Fuzz(func(t *testing.T, method, target, body string) {
		address, err := url.Parse(target)
		if err != nil || !strings.HasPrefix(target, "/") || strings.HasPrefix(target, "//") {
			t.Skip()
		}
		request, err := http.NewRequestWithContext(t.Context(), method, base, strings.NewReader(body))
		if err != nil {
			t.Skip()
		}
		request.URL.Path, request.URL.RawPath, request.URL.RawQuery = address.Path, address.RawPath, address.RawQuery
		request.Header.Set("Content-Type", "application/json")
		response, err := http.DefaultTransport.RoundTrip(request)
		if err != nil {
			t.Skip() // nothing that HTTP lets through
		}
		defer func() { _ = response.Body.Close() }()
		if response.StatusCode >= http.StatusInternalServerError && response.StatusCode != http.StatusNotImplemented {
			t.Fatalf("%s %q: %s", method, target, response.Status)
		}
		if method != http.MethodHead && method != http.MethodOptions && response.StatusCode >= 400 {
			told, err := io.ReadAll(response.Body)
			if err != nil {
				t.Fatal(err)
			}
			if kinds := response.Header.Values("Content-Type"); !slices.Equal(kinds, []string{"application/json"}) {
				t.Fatalf("%s %q: %s, %v: %s", method, target, response.Status, kinds, told)
			}
		}
	})
}
