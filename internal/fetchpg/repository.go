package fetchpg

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"path"
	"reflect"
	"strings"
	"sync"
	"time"

	embedded "github.com/fergusstrange/embedded-postgres"
)

// Bounds of a download. The archives are of some 10 MiB.
const (
	mostBytes = 256 << 20
	longest   = 10 * time.Minute
)

// repository stands between the library and the repository that was named. The
// library asks it over loopback, by the names that it knows; it asks the other
// with a context and within bounds, and answers with what has the stated hash.
type repository struct {
	base   *url.URL
	sha256 string // of the archive, from elsewhere; or empty
	client *http.Client

	mu      sync.Mutex
	err     error             // the first thing that went wrong
	archive map[string][]byte // by path
}

// repository checks what was named.
func (o Options) repository() (*repository, error) {
	base := o.Repository
	if base == Public {
		// The library does not say it otherwise.
		base = reflect.ValueOf(embedded.DefaultConfig()).FieldByName("binaryRepositoryURL").String()
	}
	u, err := url.Parse(base)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		return nil, fmt.Errorf("expected the URL of a repository to fetch Postgres from, such as https://files.internal/maven, or %q, found %q", Public, o.Repository)
	}
	sum := strings.ToLower(o.SHA256)
	if b, err := hex.DecodeString(sum); sum != "" && (err != nil || len(b) != sha256.Size) {
		return nil, fmt.Errorf("expected the SHA-256 of the archive as %d hexadecimal digits, found %q", 2*sha256.Size, o.SHA256)
	}
	return &repository{base: u, sha256: sum, client: &http.Client{Timeout: longest}, archive: map[string][]byte{}}, nil
}

// serve answers on lis until the function that it returns is called.
func (r *repository) serve(ctx context.Context, lis net.Listener) (stop func()) {
	server := &http.Server{
		Handler: http.HandlerFunc(r.answer), ReadHeaderTimeout: 10 * time.Second,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	var done sync.WaitGroup
	done.Go(func() { _ = server.Serve(lis) }) // ends with the server
	return func() {
		_ = server.Close() // nobody waits for an answer any more
		done.Wait()
	}
}

func (r *repository) answer(w http.ResponseWriter, req *http.Request) {
	name, sum := strings.CutSuffix(req.URL.Path, ".sha256")
	body, err := r.verified(req.Context(), name)
	if err != nil {
		r.mu.Lock()
		if r.err == nil {
			r.err = err
		}
		r.mu.Unlock()
		http.Error(w, "no", http.StatusBadGateway)
		return
	}
	if sum {
		hash := sha256.Sum256(body)
		body = []byte(hex.EncodeToString(hash[:]))
	}
	_, _ = w.Write(body) //nolint:gosec // an archive, for the library alone; it says so where some of it lacks
}

func (r *repository) failed() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.err
}

// verified is the archive of that name.
func (r *repository) verified(ctx context.Context, name string) ([]byte, error) {
	r.mu.Lock()
	body, fetched := r.archive[name]
	r.mu.Unlock()
	if fetched {
		return body, nil
	}
	stated, whose := r.sha256, "given"
	if stated == "" {
		text, err := r.get(ctx, name+".sha256")
		if err != nil {
			return nil, fmt.Errorf("%w; without the archive's .sha256 beside it, give the hash yourself", err)
		}
		stated, whose = firstWord(text), "that "+r.base.Host+" states"
	}
	body, err := r.get(ctx, name)
	if err != nil {
		return nil, err
	}
	hash := sha256.Sum256(body)
	if got := hex.EncodeToString(hash[:]); got != stated {
		return nil, fmt.Errorf("%s has SHA-256 %s, and not %s, which is %s: nothing of it was kept", path.Base(name), got, stated, whose)
	}
	r.mu.Lock()
	r.archive[name] = body
	r.mu.Unlock()
	return body, nil
}

// firstWord of a hash file, which may have a name after the hash.
func firstWord(text []byte) string {
	word, _, _ := bytes.Cut(bytes.TrimSpace(text), []byte(" "))
	return strings.ToLower(string(word))
}

// get fetches one file of the repository, whole.
func (r *repository) get(ctx context.Context, name string) ([]byte, error) {
	address := r.base.JoinPath(name).String()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil) //nolint:gosec // whoever runs the program named the repository
	if err != nil {
		return nil, err
	}
	resp, err := r.client.Do(req) //nolint:gosec // the same
	if err != nil {
		if failed, ok := errors.AsType[*url.Error](err); ok {
			err = failed.Err
		}
		return nil, fmt.Errorf("%s cannot be reached: %w", r.base.Redacted(), err)
	}
	defer func() { _ = resp.Body.Close() }() // it was only read
	switch {
	case resp.StatusCode == http.StatusNotFound:
		return nil, fmt.Errorf("%s has no Postgres for this platform: no %s", r.base.Redacted(), path.Base(name))
	case resp.StatusCode != http.StatusOK:
		return nil, fmt.Errorf("%s answers %s for %s", r.base.Redacted(), resp.Status, path.Base(name))
	}
	body, err := io.ReadAll(io.LimitReader(resp.Body, mostBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s came in part: %w", path.Base(name), err)
	case len(body) > mostBytes:
		return nil, fmt.Errorf("%s is longer than %d MiB, so it is no Postgres", path.Base(name), mostBytes>>20)
	}
	return body, nil
}
