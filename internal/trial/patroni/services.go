package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"wattle/internal/trial/driver"
)

// services are the containers of the program itself.
type services struct {
	folder, image string
	started       []string
}

// ways are how a service finds the primary.
var ways = []struct{ name, hosts string }{
	{"haproxy", "haproxy:5000"},
	{"nodes", "n1:5432,n2:5432,n3:5432"},
}

// up migrates, and starts for each way a service with a company of its own, and
// workers. It gives a load for each.
func (s *services) up(ctx context.Context, clients int) ([]*load, error) {
	if s.image == "wattle:latest" {
		if err := loud(ctx, "deploy/wattle-image/build"); err != nil {
			return nil, err
		}
	}
	if err := s.secrets(); err != nil {
		return nil, err
	}
	if _, err := docker(ctx, s.run(true, "migrate", "migrate",
		"--admin-url", databaseURL("postgres", ways[0].hosts), "--database-url", databaseURL("wattle_owner", ways[0].hosts))...); err != nil {
		return nil, err
	}
	if err := s.start(ctx, "work", "work", "--worker-database-url", databaseURL("wattle_worker", ways[0].hosts)); err != nil {
		return nil, err
	}
	var loads []*load
	for _, way := range ways {
		if err := s.start(ctx, "serve-"+way.name, "serve", "--listen", "0.0.0.0:7453", "--workers", "0",
			"--tls-cert", "/run/secrets/cert.pem", "--tls-key", "/run/secrets/key.pem", "--operator-key-file", "/run/secrets/operator",
			"--database-url", databaseURL("wattle_service", way.hosts)); err != nil {
			return nil, err
		}
		l, err := s.load(ctx, way.name, clients)
		if err != nil {
			return nil, err
		}
		loads = append(loads, l)
	}
	return loads, nil
}

// secrets are files that every one of the services is mounted.
func (s *services) secrets() error {
	var passwords strings.Builder
	for user, file := range map[string]string{"postgres": "superuser", "wattle_owner": "owner", "wattle_service": "service", "wattle_worker": "worker"} {
		password, err := read(s.folder, file)
		if err != nil {
			return err
		}
		fmt.Fprintf(&passwords, "*:*:*:%s:%s\n", user, password)
	}
	// The containers' user has a number of his own; who may enter the folder decides.
	return errors.Join(os.WriteFile(filepath.Join(s.folder, "pgpass"), []byte(passwords.String()), 0o444), //nolint:gosec // as said
		os.WriteFile(filepath.Join(s.folder, "operator"), []byte(rand.Text()+rand.Text()), 0o444)) //nolint:gosec // as said
}

// databaseURL never leads to a standby, whatever HAProxy says.
func databaseURL(user, hosts string) string {
	return fmt.Sprintf("postgres://%s@%s/wattle?passfile=/run/secrets/pgpass&sslmode=verify-full&sslrootcert=/run/secrets/ca.pem&target_session_attrs=read-write&connect_timeout=3", user, hosts)
}

// run is the command line of docker for a container of the program.
func (s *services) run(once bool, name string, args ...string) []string {
	line := []string{"run", "--name", container(name), "--network", network, "--read-only", "--cap-drop", "ALL", "--publish", "127.0.0.1::7453"}
	if once {
		line = append(line, "--rm")
	} else {
		line = append(line, "--detach", "--restart", "unless-stopped")
	}
	for _, file := range []string{"pgpass", "operator", "ca.pem", "cert.pem", "key.pem"} {
		line = append(line, "--volume", filepath.Join(s.folder, file)+":/run/secrets/"+file+":ro")
	}
	return append(append(line, s.image), args...)
}

func (s *services) start(ctx context.Context, name string, args ...string) error {
	s.started = append(s.started, container(name))
	_, err := docker(ctx, s.run(false, name, args...)...)
	return err
}

// load makes a company on a service, once it answers, and its driver.
func (s *services) load(ctx context.Context, name string, clients int) (*load, error) {
	out, err := docker(ctx, "port", container("serve-"+name), "7453/tcp")
	if err != nil {
		return nil, err
	}
	address := "localhost:" + strings.TrimSpace(out[strings.LastIndex(out, ":")+1:])
	ca, key := filepath.Join(s.folder, "ca.pem"), filepath.Join(s.folder, name+".key")
	program := filepath.Join(s.folder, "wattle")
	if _, err := os.Stat(program); err != nil {
		if err := loud(ctx, "go", "build", "-o", program, "./cmd/wattle"); err != nil {
			return nil, err
		}
	}
	for try := 0; ; try++ {
		_, err := quiet(ctx, program, "company", "create", name, "--server", address, "--ca-file", ca,
			"--key-file", filepath.Join(s.folder, "operator"), "--save-key", key)
		if err == nil {
			break
		}
		if try == 60 || ctx.Err() != nil {
			return nil, err
		}
		time.Sleep(500 * time.Millisecond)
	}
	secret, err := read(s.folder, name+".key")
	if err != nil {
		return nil, err
	}
	trusted := x509.NewCertPool()
	text, err := os.ReadFile(ca)
	if err != nil || !trusted.AppendCertsFromPEM(text) {
		return nil, errors.Join(err, errors.New("no certificates in ca.pem"))
	}
	ledger, err := driver.OpenLedger(filepath.Join(s.folder, name+".ledger"))
	if err != nil {
		return nil, err
	}
	d, err := driver.New(driver.Config{
		Servers: []string{address}, Company: name, Keys: []string{secret}, Clients: clients, Ledger: ledger, Pause: 50 * time.Millisecond,
		TLS: &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: trusted}, Patience: 2 * time.Minute,
	})
	if err != nil {
		return nil, err
	}
	return &load{name: name, driver: d, ledger: ledger}, d.Prepare(ctx)
}

func (s *services) down(ctx context.Context) error {
	if len(s.started) == 0 {
		return nil
	}
	_, err := docker(ctx, append([]string{"rm", "--force"}, s.started...)...)
	return err
}
