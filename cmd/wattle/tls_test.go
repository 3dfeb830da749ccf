package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// certificate writes a certificate of 127.0.0.1, signed by itself, and its key.
func certificate(t *testing.T, dir string, serial int64) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	about := &x509.Certificate{
		SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: "wattle test"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, about, about, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for path, block := range map[string]*pem.Block{key: {Type: "PRIVATE KEY", Bytes: secret}, cert: {Type: "CERTIFICATE", Bytes: der}} {
		if err := os.WriteFile(path, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// A secured service is reached by who trusts its certificate and by no other, and
// takes a renewed certificate without a restart.
func TestServeWithTLS(t *testing.T) {
	dir, files := dataDir(t), t.TempDir()
	cert, key := certificate(t, files, 1)
	s := start(t, "--local", "--data-dir", dir, "--tls-cert", cert, "--tls-key", key)
	reach := []string{"--server", s.address, "--key-file", localOperatorFile(dir)}
	wattle(t, exitDone, append([]string{"company", "list", "--ca-file", cert}, reach...)...)
	for _, how := range [][]string{nil, {"--tls"}} {
		if _, said := wattle(t, exitFailed, append(append([]string{"company", "list"}, how...), reach...)...); strings.Contains(said, "wattle_") {
			t.Errorf("the key is told: %s", said)
		}
	}
	serial := func() int64 {
		look := tls.Dialer{Config: &tls.Config{InsecureSkipVerify: true, NextProtos: []string{"h2"}}}
		conn, err := look.DialContext(t.Context(), "tcp", s.address)
		if err != nil {
			t.Fatal(err)
		}
		defer func() { _ = conn.Close() }()
		return conn.(*tls.Conn).ConnectionState().PeerCertificates[0].SerialNumber.Int64()
	}
	if n := serial(); n != 1 {
		t.Errorf("serial %d", n)
	}
	certificate(t, files, 2)
	later := time.Now().Add(2 * time.Second)
	if err := os.Chtimes(cert, later, later); err != nil {
		t.Fatal(err)
	}
	if n := serial(); n != 2 {
		t.Errorf("after the renewal serial %d", n)
	}
	if err := s.stop(t, syscall.SIGTERM); err != nil {
		t.Error(err)
	}
}

// Offices and keys from the command line, as who runs the company does it.
func TestOfficesAndKeys(t *testing.T) {
	dir := dataDir(t)
	reach := start(t, "--local", "--data-dir", dir).harrow(t, dir)
	run := func(want int, args ...string) string {
		t.Helper()
		out, errs := wattle(t, want, append(args, reach...)...)
		return out + errs
	}
	run(exitDone, "office", "create", "north", "--title", "North", "--margin-floor", "22.5")
	run(exitDone, "office", "create", "yard", "--parent", "north", "--time-zone", "America/Denver")
	if out := run(exitDone, "office", "list", "--format", "csv"); !strings.Contains(out, "yard,north,,America/Denver,22.5,,,no") {
		t.Errorf("the offices:\n%s", out)
	}
	if out := run(exitFailed, "office", "update", "north", "--parent", "yard"); !strings.Contains(out, "would close a circle") {
		t.Errorf("a circle: %s", out)
	}
	if out := run(exitDone, "office", "update", "north", "--margin-floor", "", "--title", ""); strings.Contains(out, "22.5") {
		t.Errorf("the floor stays: %s", out)
	}
	north := filepath.Join(t.TempDir(), "north.key")
	made := run(exitDone, "key", "create", "--office", "north", "--role", "estimator", "--save-key", north)
	id := made[strings.Index(made, "/keys/")+len("/keys/") : strings.Index(made, ":")]
	as := append(append([]string{}, reach[:4]...), "--key-file", north)
	if _, said := wattle(t, exitRefused, append([]string{"prices", "import", demoMarch, "--mode", "patch"}, as...)...); !strings.Contains(said, "this needs a key with the role pricer") {
		t.Errorf("an estimator imports: %s", said)
	}
	wattle(t, exitDone, append([]string{"quote", "list"}, as...)...)
	run(exitDone, "key", "revoke", id)
	if _, said := wattle(t, exitRefused, append([]string{"quote", "list"}, as...)...); !strings.Contains(said, "this key is dead (revoked)") {
		t.Errorf("a revoked key: %s", said)
	}
	if out := run(exitDone, "key", "list"); !strings.Contains(out, "estimator") {
		t.Errorf("the keys:\n%s", out)
	}
	run(exitRefused, "office", "remove", "north")
	run(exitDone, "office", "remove", "yard")
}
