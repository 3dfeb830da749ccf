package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/trial/driver"
	"wattle/internal/trial/line"
)

// settings are what a case runs with.
type settings struct {
	dir, program string
	clients      int
	verbose      bool
}

// try is the deadline that clients give each try.
const try = 5 * time.Second

// scene is a service on its Postgres, with clients before it.
type scene struct {
	settings
	db *database
	// way is the URL's host and port by which the service reaches its database;
	// empty is the socket.
	way  string
	line *line.Line // where the way is one of ours
	// Where it is a cable: the namespace that Postgres seems to be in, and the
	// device there.
	space, far string

	address, http string // of the service, the same each time it starts
	service       *process
	worker        *process // none where the service works by itself
	peak          int      // MB, of services that are gone
	slowest       time.Duration

	hooks  *receiver
	driver *driver.Driver
	ledger *driver.Ledger
	ready  *driver.Readiness

	began, ended time.Time // the fault
	undo         []func() error
}

// raise sets a scene: Postgres, perhaps a bad line to it, the service, a company
// with a webhook, and the prices that quotes need.
func raise(ctx context.Context, c fault, s settings) (*scene, error) {
	sc := &scene{settings: s}
	if err := os.MkdirAll(s.dir, 0o711); err != nil { //nolint:gosec // Postgres runs as another user
		return sc, err
	}
	var err error
	for _, address := range []*string{&sc.address, &sc.http} {
		if *address, err = freeAddress(ctx); err != nil {
			return sc, err
		}
	}
	for _, name := range []string{"operator.key", "webhook.keys"} {
		secret := make([]byte, 32)
		_, _ = rand.Read(secret) // never fails
		if err := os.WriteFile(filepath.Join(s.dir, name), []byte(base64.StdEncoding.EncodeToString(secret)+"\n"), 0o600); err != nil {
			return sc, err
		}
	}
	if c.disk != nil {
		if err := c.disk(ctx, sc, sc.dataDir()); err != nil {
			return sc, err
		}
	}
	if !c.local {
		if sc.db, err = startDatabase(ctx, sc.dataDir()); err != nil {
			return sc, err
		}
		sc.finally(func() error { _ = sc.db.Close(); return nil }) // how it ends does not matter any more
	}
	if c.prepare != nil {
		if err := c.prepare(ctx, sc); err != nil {
			return sc, err
		}
	}
	if sc.hooks, err = receive(ctx); err != nil {
		return sc, err
	}
	sc.finally(sc.hooks.Close)
	if err := sc.serve(c); err != nil {
		return sc, err
	}
	sc.finally(func() error { sc.service.end(syscall.SIGTERM); return nil })
	if c.apart {
		if err := sc.work(); err != nil {
			return sc, err
		}
		sc.finally(func() error { sc.worker.end(syscall.SIGTERM); return nil })
	}
	secret, err := sc.company(ctx, c)
	if err != nil {
		return sc, err
	}
	if sc.ledger, err = driver.OpenLedger(filepath.Join(s.dir, "ledger")); err != nil {
		return sc, err
	}
	sc.finally(sc.ledger.Close)
	if sc.driver, err = driver.New(driver.Config{
		Servers: []string{sc.address}, Company: "trial", Keys: []string{secret}, Clients: s.clients, Try: try,
		Pause: 20 * time.Millisecond, Patience: 90 * time.Second, Ledger: sc.ledger,
	}); err != nil {
		return sc, err
	}
	sc.finally(sc.driver.Close)
	return sc, sc.driver.Prepare(ctx)
}

func (s *scene) dataDir() string { return filepath.Join(s.dir, "pg") }

// finally adds what clears the scene away; the last comes first.
func (s *scene) finally(do func() error) { s.undo = append(s.undo, do) }

// clear takes everything down.
func (s *scene) clear() error {
	var errs []error
	for _, undo := range slices.Backward(s.undo) {
		errs = append(errs, undo())
	}
	return errors.Join(errs...)
}

// url is a role's, by the scene's way to the database.
func (s *scene) url(overSocket string) string {
	if s.way == "" {
		return overSocket
	}
	role, _, _ := strings.Cut(strings.TrimPrefix(overSocket, "postgres://"), "@")
	return "postgres://" + role + "@" + s.way + "/postgres?sslmode=disable"
}

// serve starts the service, at the same addresses each time.
func (s *scene) serve(c fault) (err error) {
	args := []string{"serve", "--listen", s.address, "--http-listen", s.http, "--webhook-allow-http", "--webhook-allow-private",
		"--job-timeout", "5s", "--rescue-after", "6s"}
	if c.local {
		args = append(args, "--local", "--data-dir", s.dataDir())
	} else {
		args = append(args, "--operator-key-file", filepath.Join(s.dir, "operator.key"), "--database-url", s.url(s.db.service()),
			"--webhook-key-file", filepath.Join(s.dir, "webhook.keys"))
		if !c.apart {
			args = append(args, "--worker-database-url", s.url(s.db.worker()))
		}
	}
	s.service, err = launch(s.program, filepath.Join(s.dir, "serve.log"), "listening", args...)
	return err
}

// work starts a worker apart from the service.
func (s *scene) work() (err error) {
	s.worker, err = launch(s.program, filepath.Join(s.dir, "work.log"), "working", "work", "--worker-database-url", s.url(s.db.worker()),
		"--webhook-key-file", filepath.Join(s.dir, "webhook.keys"), "--webhook-allow-http", "--webhook-allow-private",
		"--job-timeout", "5s", "--rescue-after", "6s")
	return err
}

// kill ends the service as a crash does.
func (s *scene) kill() {
	s.note()
	s.service.end(syscall.SIGKILL)
}

// note keeps what is asked of the service at the end, before it is gone.
func (s *scene) note() {
	s.peak = max(s.peak, s.service.peak())
	s.slowest = max(s.slowest, s.service.slowestCall())
}

// begin and end bound the fault.
func (s *scene) begin() { s.began = time.Now() }

func (s *scene) end() { s.ended = time.Now() }

// company makes the trial's, with a webhook that hears everything of its quotes
// and prices, and returns its key.
func (s *scene) company(ctx context.Context, c fault) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	path := filepath.Join(s.dir, "operator.key")
	if c.local {
		path = filepath.Join(s.dataDir(), "operator.key")
	}
	operator, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	conn, err := grpc.NewClient(s.address, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		return "", err
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	made, err := wattlev1.NewOfficeServiceClient(conn).CreateCompany(with(ctx, strings.TrimSpace(string(operator))),
		&wattlev1.CreateCompanyRequest{CompanyId: "trial", RequestId: "trial"})
	if err != nil {
		return "", fmt.Errorf("make the company: %w", err)
	}
	_, err = wattlev1.NewWebhookServiceClient(conn).CreateWebhook(with(ctx, made.GetSecret()), &wattlev1.CreateWebhookRequest{
		Parent: "companies/trial", RequestId: "trial", Webhook: &wattlev1.Webhook{Url: s.hooks.url, Types: driver.EventTypes()},
	})
	if err != nil {
		return "", fmt.Errorf("make the webhook: %w", err)
	}
	return made.GetSecret(), nil
}

func with(ctx context.Context, key string) context.Context {
	return metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+key)
}

// freeAddress is one on loopback that nobody listens on, for a moment at least.
func freeAddress(ctx context.Context) (string, error) {
	lis, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	return lis.Addr().String(), lis.Close()
}

// pause waits, unless ctx ends.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-time.After(d):
		return nil
	case <-ctx.Done():
		return cmp.Or(context.Cause(ctx), ctx.Err())
	}
}
