package main

import (
	"crypto/tls"
	"encoding/json"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
)

// examined runs doctor and answers its findings by what they are about.
func examined(t *testing.T, want int, args ...string) map[string][]finding {
	t.Helper()
	out, _ := wattle(t, want, append([]string{"doctor", "--format", "json", "--listen", "127.0.0.1:0"}, args...)...)
	var told struct {
		Findings []finding `json:"findings"`
	}
	if err := json.Unmarshal([]byte(out), &told); err != nil {
		t.Fatalf("%v:\n%s", err, out)
	}
	by := map[string][]finding{}
	for _, f := range told.Findings {
		if f.State == missing && f.Found == "" || (f.State == missing || f.State == warning) && f.Do == "" && f.What != "settings" {
			t.Errorf("%s: %s, and not what to do", f.What, f.Found)
		}
		by[f.What] = append(by[f.What], f)
	}
	return by
}

// has says of what a finding is expected with that state and those words.
func has(t *testing.T, by map[string][]finding, what string, s state, words string) {
	t.Helper()
	for _, f := range by[what] {
		if f.State == s && strings.Contains(f.Found+" "+f.Do, words) {
			return
		}
	}
	t.Errorf("%s: expected %s with %q, found %+v", what, s, words, by[what])
}

// A configured machine: three databases as three roles, files, a certificate.
func TestDoctorOfAConfiguredMachine(t *testing.T) {
	db := pgtest.New(t, storetest.Schema())
	dir := t.TempDir()
	cert, key := certificate(t, dir, 1)
	write := func(name, text string, mode os.FileMode) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), mode); err != nil {
			t.Fatal(err)
		}
		return path
	}
	operator, hooks := write("operator.key", strings.Repeat("k", 40), 0o600), write("webhook.keys", "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n", 0o600)
	t.Setenv("WATTLE_DATABASE_URL", db.ServiceURL()) // with a password, as no file may have it
	t.Setenv("WATTLE_WORKER_DATABASE_URL", db.WorkerURL())
	t.Setenv("WATTLE_OWNER_DATABASE_URL", db.OwnerURL())
	file := write("wattle.yaml", "tls-cert: "+cert+"\ntls-key: "+key+"\noperator-key-file: "+operator+"\nwebhook-key-file: "+hooks+"\nhttp-listen: 127.0.0.1:0\n", 0o644)
	by := examined(t, exitDone, "--config", file)
	has(t, by, "settings", fine, "can be used")
	has(t, by, "private Postgres (demo, serve --local)", unused, "database of its own")
	has(t, by, "owner's database (migrate)", fine, " as wattle_owner, ")
	has(t, by, "operator's key", fine, "its owner alone")
	has(t, by, "webhooks' keys", fine, "its owner alone")
	has(t, by, "TLS certificate", warning, "for 127.0.0.1, ends on ") // an hour, by the test's certificate
	has(t, by, "address --listen", fine, "is free")
	has(t, by, "address --http-listen", fine, "is free")
	// The tests' server writes without fsync, which is just what doctor warns of.
	for _, what := range []string{"service's database", "workers' database"} {
		for _, f := range by[what] {
			if f.State == missing {
				t.Errorf("%+v", f)
			}
		}
	}

	by = examined(t, exitFailed, "--config", file, "--database-url", db.AdminURL(), "--worker-database-url", db.OwnerURL())
	has(t, by, "service's database", missing, "is a superuser: row-level security does not bind it")
	has(t, by, "workers' database", missing, "owns the tables")
	empty := pgtest.New(t, pgtest.Schema{Hash: "empty"})
	by = examined(t, exitFailed, "--config", file, "--database-url", empty.ServiceURL(), "--owner-database-url", empty.OwnerURL())
	has(t, by, "service's database", missing, "no tables yet run wattle migrate")
	has(t, by, "owner's database (migrate)", warning, "no tables yet run wattle migrate")

	loose := write("loose.key", strings.Repeat("k", 40), 0o644)
	short := write("short.key", "word", 0o600)
	_, otherKey := certificate(t, t.TempDir(), 2)
	by = examined(t, exitFailed, "--config", file, "--operator-key-file", loose, "--webhook-key-file", short, "--tls-key", otherKey)
	has(t, by, "operator's key", warning, "chmod 600 "+loose)
	has(t, by, "webhooks' keys", missing, "expected the base64 of 32 random bytes")
	has(t, by, "TLS certificate", missing, "private key does not match")
}

func TestDoctorTellsNoSecret(t *testing.T) {
	const secret = "hunter2-is-secret"
	dir := t.TempDir()
	key := filepath.Join(dir, "k e y")
	if err := os.WriteFile(key, []byte(secret), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, url := range []string{"postgres://wattle_service:" + secret + "@127.0.0.1:1/wattle", "postgres://w:" + secret + "%zz@127.0.0.1:1/wattle"} {
		t.Setenv("WATTLE_WORKER_DATABASE_URL", url)
		out, bad := wattle(t, exitFailed, "doctor", "--database-url", url, "--operator-key-file", key, "--webhook-key-file", key, "--listen", "127.0.0.1:0")
		if strings.Contains(out+bad, secret) {
			t.Errorf("it is told:\n%s%s", out, bad)
		}
		if !strings.Contains(out, "MISSING  service's database: ") || !strings.Contains(out, "         -> head -c 32 /dev/urandom | base64 >'"+key+"'\n") {
			t.Errorf("found\n%s", out)
		}
	}
}

func TestDoctorOfAWrongFileAndATakenPort(t *testing.T) {
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = lis.Close() }()
	file := filepath.Join(t.TempDir(), "wattle.yaml")
	if err := os.WriteFile(file, []byte("lisen: 127.0.0.1:1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"--database-url", "postgres://wattle_service@127.0.0.1:1/wattle?passfile=" + file + "x", "--config", file, "--http-listen", lis.Addr().String(), "--admin-listen", "192.0.2.1:1"}
	by := examined(t, exitFailed, args...)
	has(t, by, "settings", missing, `line 1: there is no setting "lisen"; did you mean listen?`)
	has(t, by, "address --http-listen", missing, "is taken see who has it")
	has(t, by, "address --admin-listen", missing, "without TLS")
	has(t, by, "service's database, passfile", missing, "no such file")
	has(t, by, "service's database", missing, "no server answers at 127.0.0.1:1")
	has(t, by, "workers' database", warning, "jobs (events, webhooks, expiry) wait")
	if err := os.WriteFile(file+"x", nil, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PGPASSWORD", "x")
	has(t, examined(t, exitFailed, args...), "service's database, passfile", warning, "unset PGPASSWORD")
}

// What an examination means does not depend on the server that the tests have.
func TestWhatAnExaminationMeans(t *testing.T) {
	good := func() postgres.Examination {
		return postgres.Examination{
			Role: "wattle_service", Host: "db.internal", Database: "wattle", Version: "15.14", Major: 15, Encrypted: true,
			Schema: 16, Program: 16, OldestProgram: 13, Pool: 8, Free: 90, Bytes: 3 << 30,
			Settings: map[string]string{"max_connections": "100", "fsync": "on", "full_page_writes": "on", "synchronous_commit": "on", "wal_level": "replica", "server_encoding": "UTF8"},
		}
	}
	for name, c := range map[string]struct {
		spoil func(*postgres.Examination)
		s     state
		words string
	}{
		"good":            {func(*postgres.Examination) {}, fine, "Postgres 15.14 answers, database wattle as wattle_service, 3 GiB on disk"},
		"old":             {func(e *postgres.Examination) { e.Major, e.Version = 13, "13.2" }, missing, "upgrade it to 15 or newer"},
		"behind":          {func(e *postgres.Examination) { e.Schema = 12 }, missing, "at schema 12, and this program needs 16 run wattle migrate"},
		"ahead":           {func(e *postgres.Examination) { e.Schema = 18 }, fine, "newer than this program's 16, which it still serves"},
		"far ahead":       {func(e *postgres.Examination) { e.Schema, e.OldestProgram = 20, 19 }, missing, "use a newer program"},
		"bypassing":       {func(e *postgres.Examination) { e.BypassesRLS = true }, missing, "NOBYPASSRLS"},
		"unbound":         {func(e *postgres.Examination) { e.Unbound = []string{"quote"} }, missing, "does not bind wattle_service on quote"},
		"a standby":       {func(e *postgres.Examination) { e.Standby = true }, missing, "target_session_attrs=read-write"},
		"no fsync":        {func(e *postgres.Examination) { e.Settings["fsync"] = "off" }, warning, "a power cut may ruin the data"},
		"asynchronous":    {func(e *postgres.Examination) { e.Settings["synchronous_commit"] = "off" }, warning, "loses quotes that were acknowledged"},
		"minimal":         {func(e *postgres.Examination) { e.Settings["wal_level"] = "minimal" }, warning, "wal_level = replica"},
		"another text":    {func(e *postgres.Examination) { e.Settings["server_encoding"] = "LATIN1" }, missing, "ENCODING 'UTF8'"},
		"few connections": {func(e *postgres.Examination) { e.Free = 5 }, warning, "5 of its 100 connections are free, and one process takes up to 8"},
		"a clock ahead":   {func(e *postgres.Examination) { e.Ahead, e.Slack = 3*time.Second, time.Millisecond }, warning, "its clock is 3s ahead of this machine's"},
		"a clock behind":  {func(e *postgres.Examination) { e.Ahead, e.Slack = -5*time.Second, time.Millisecond }, warning, "its clock is 5s behind this machine's"},
		"a slow answer":   {func(e *postgres.Examination) { e.Ahead, e.Slack = 3*time.Second, 2*time.Second }, fine, "answers"},
		"in the clear":    {func(e *postgres.Examination) { e.Encrypted = false }, warning, "sslmode=verify-full"},
		"on this machine": {func(e *postgres.Examination) { e.Encrypted, e.Local = false, true }, fine, "answers"},
	} {
		e := good()
		c.spoil(&e)
		u := duty{what: name, role: "wattle_service"}
		has(t, map[string][]finding{name: u.judge(e)}, name, c.s, c.words)
	}
}

func TestValidityOfACertificate(t *testing.T) {
	cert, key := certificate(t, t.TempDir(), 1) // of an hour from now, for 127.0.0.1
	d := doctor{serveOptions: serveOptions{tlsCert: cert, tlsKey: key}}
	all := d.certificate(t.Context())
	if len(all) != 1 || all[0].State != warning {
		t.Fatalf("%+v", all)
	}
	pair := loadPair(t, cert, key)
	for days, want := range map[int]state{-100: missing, 0: warning, 100: missing} {
		if f := validity("x", cert, pair, time.Now().AddDate(0, 0, days)); f.State != want {
			t.Errorf("in %d days: %+v", days, f)
		}
	}
	pair.Leaf.NotAfter = time.Now().AddDate(1, 0, 0)
	if f := validity("x", cert, pair, time.Now()); f.State != fine || !strings.Contains(f.Found, "for 127.0.0.1, holds until ") {
		t.Errorf("%+v", f)
	}
	pair.Leaf.IPAddresses = nil
	if f := validity("x", cert, pair, time.Now()); f.State != warning || !strings.Contains(f.Found, "names no host") {
		t.Errorf("%+v", f)
	}
}

func loadPair(t *testing.T, cert, key string) *tls.Certificate {
	t.Helper()
	pair, err := tls.LoadX509KeyPair(cert, key)
	if err != nil {
		t.Fatal(err)
	}
	return &pair
}

func TestSizes(t *testing.T) {
	for bytes, want := range map[int64]string{0: "0 B", 1023: "1023 B", 1024: "1 KiB", 512 << 20: "512 MiB", 5<<30 + 1<<29: "5.5 GiB"} {
		if got := size(bytes); got != want {
			t.Errorf("%d is %q, want %q", bytes, got, want)
		}
	}
	dir := t.TempDir()
	if there, err := existing(filepath.Join(dir, "a", "b")); err != nil || there != dir {
		t.Errorf("%s, %v", there, err)
	}
	if free, err := freeBytes(dir); err != nil || free <= 0 {
		t.Errorf("%d, %v", free, err)
	}
}
