// Package pgtest gives each test a database of its own on a real Postgres.
//
// One server serves all test processes of a `go test ./...`, and one template
// database, named by the hash of the migrations, is copied for each test.
// Where the server comes from, in this order:
//
//   - WATTLE_TEST_DATABASE_URL: a server that is there already, as a superuser
//   - a container, where a container engine answers and the image is on this
//     machine (wattle-postgres:15, see deploy/postgres-image) or was named by
//     WATTLE_TEST_POSTGRES_IMAGE ("none": no container)
//   - the Postgres installed on this machine, through internal/localpg
//
// WATTLE_TEST_REQUIRE_CONTAINER=1 admits the container only. Without any
// server a test fails; it is never skipped.
package pgtest

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// The roles of every test server. None is a superuser: a superuser passes
// row-level security, so what it may do proves nothing.
const (
	Owner   = "wattle_owner"   // owns the databases and applies the migrations
	Service = "wattle_service" // answers calls
	Worker  = "wattle_worker"  // works off jobs
	// Password is the same for the three of them.
	Password = "wattle"
)

// Schema is what a fresh database is filled with.
type Schema struct {
	// Hash names the schema: databases with the same hash are alike.
	Hash string
	// Apply fills an empty database as its owner, once per server and hash.
	// Nil leaves it empty.
	Apply func(ctx context.Context, ownerURL string) error
}

// DB is one test's database.
type DB struct {
	Name   string
	server *url.URL
}

// OwnerURL connects as the role that owns the schema.
func (db *DB) OwnerURL() string { return roleURL(db.server, Owner, db.Name) }

// ServiceURL connects as the role the service runs as.
func (db *DB) ServiceURL() string { return roleURL(db.server, Service, db.Name) }

// WorkerURL connects as the role the background workers run as.
func (db *DB) WorkerURL() string { return roleURL(db.server, Worker, db.Name) }

// AdminURL connects as a superuser: for what a test must see or break behind
// the program's back.
func (db *DB) AdminURL() string {
	u := *db.server
	u.Path = "/" + db.Name
	return u.String()
}

func roleURL(server *url.URL, role, database string) string {
	u := *server
	u.User = url.UserPassword(role, Password)
	u.Path = "/" + database
	return u.String()
}

// New gives t a database with the schema in it, dropped when t ends.
func New(t testing.TB, s Schema) *DB {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	server, err := theServer(ctx)
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	server.announce.Do(func() { t.Logf("pgtest: the server is %s", server.how) })
	template, err := server.template(ctx, s)
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	db := &DB{Name: copyName(time.Now(), os.Getpid(), copies.Add(1)), server: server.url}
	if err := server.exec(ctx, "CREATE DATABASE "+quote(db.Name)+" TEMPLATE "+quote(template)+" OWNER "+Owner); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		if err := server.exec(ctx, "DROP DATABASE "+quote(db.Name)+" WITH (FORCE)"); err != nil {
			t.Errorf("pgtest: %v", err)
		}
	})
	return db
}

var copies atomic.Int64

// server is the one this process uses.
type server struct {
	url      *url.URL // as a superuser
	how      string   // a sentence for people
	announce sync.Once

	mu        sync.Mutex
	templates map[string]string // by hash, those known to be complete
}

// theServer finds or starts the server, once per process.
var theServer = func() func(context.Context) (*server, error) {
	var once sync.Once
	var s *server
	var err error
	return func(ctx context.Context) (*server, error) {
		once.Do(func() { s, err = findServer(ctx) })
		return s, err
	}
}()

func findServer(ctx context.Context) (*server, error) {
	w := waysFromEnvironment()
	at, err := w.find()
	if err != nil {
		return nil, err
	}
	u, err := url.Parse(at.URL)
	if err != nil {
		return nil, fmt.Errorf("the URL of the test server cannot be read: %w", err)
	}
	s := &server{url: u, how: at.How, templates: map[string]string{}}
	if err := s.prepare(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// exec runs statements one by one on the server's own database.
func (s *server) exec(ctx context.Context, statements ...string) error {
	conn, err := pgx.Connect(ctx, s.url.String())
	if err != nil {
		return fmt.Errorf("connect to the test server: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	for _, sql := range statements {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return fmt.Errorf("%s: %w", sql, err)
		}
	}
	return nil
}

func quote(name string) string { return pgx.Identifier{name}.Sanitize() }
