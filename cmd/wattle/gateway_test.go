package main

import (
	"crypto/tls"
	"crypto/x509"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestServeHTTP: secured, the program answers over HTTP what it answers over
// gRPC, to the same keys, and ends well.
func TestServeHTTP(t *testing.T) {
	dir, files := dataDir(t), t.TempDir()
	cert, key := certificate(t, files, 1)
	s := start(t, "--local", "--data-dir", dir, "--tls-cert", cert, "--tls-key", key,
		"--http-listen", "127.0.0.1:0", "--http-allow-origin", "https://crm.example")
	defer func() {
		if err := s.stop(t, syscall.SIGTERM); err != nil {
			t.Errorf("asked to stop, the service ended with %v:\n%s", err, s.log)
		}
	}()
	saved := filepath.Join(files, "harrow.key")
	reach := []string{"--server", s.address, "--ca-file", cert}
	wattle(t, exitDone, append([]string{"company", "create", "harrow", "--save-key", saved, "--key-file", localOperatorFile(dir)}, reach...)...)
	wattle(t, exitDone, append([]string{"prices", "import", demoMarch, "--mode", "patch", "--company", "harrow", "--key-file", saved}, reach...)...)

	text, err := os.ReadFile(cert)
	if err != nil {
		t.Fatal(err)
	}
	trusted := x509.NewCertPool()
	trusted.AppendCertsFromPEM(text)
	client := http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trusted, MinVersion: tls.VersionTLS12}, ForceAttemptHTTP2: true}}
	defer client.CloseIdleConnections()
	secret, err := readSecret(saved)
	if err != nil {
		t.Fatal(err)
	}
	get := func(path, secret string) (int, string) {
		t.Helper()
		request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "https://"+s.http+path, http.NoBody)
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Origin", "https://crm.example")
		request.Header.Set("Authorization", "Bearer "+secret)
		response, err := client.Do(request)
		if err != nil {
			t.Fatal(err)
		}
		defer response.Body.Close()
		body, err := io.ReadAll(response.Body)
		if err != nil || response.ProtoMajor != 2 || response.Header.Get("Access-Control-Allow-Origin") != "https://crm.example" {
			t.Errorf("%s: %s %s %v %v %s", path, response.Proto, response.Status, response.Header, err, body)
		}
		return response.StatusCode, string(body)
	}
	for path, want := range map[string]string{
		"/readyz": "ready", "/healthz": "alive", "/openapi.json": `"title": "Wattle"`, "/v1/families": `"chain-link"`,
		"/v1/companies/harrow/prices:history?item=gravel": "Cold Creek Masonry",
	} {
		if code, got := get(path, secret); code != http.StatusOK || !strings.Contains(got, want) {
			t.Errorf("%s said %d %.200s", path, code, got)
		}
	}
	if code, said := get("/v1/families", "wattle_of-nobody-at-all-and-long-enough"); code != http.StatusUnauthorized || !strings.Contains(said, "KEY_UNKNOWN") {
		t.Errorf("with nobody's key: %d %s", code, said)
	}
	plain, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.http+"/healthz", http.NoBody)
	if err != nil {
		t.Fatal(err)
	}
	if response, err := http.DefaultClient.Do(plain); err == nil {
		_ = response.Body.Close()
		if response.StatusCode == http.StatusOK {
			t.Error("it answers without TLS too")
		}
	}
}
