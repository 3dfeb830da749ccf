package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/riverqueue/river"
	"github.com/spf13/cobra"

	"wattle/internal/estimating"
	"wattle/internal/events"
	"wattle/internal/expiry"
	"wattle/internal/impact"
	"wattle/internal/postgres"
	"wattle/internal/webhook"
	"wattle/internal/work"
)

const defaultWorkers = 4

// workerOptions are the flags of whoever works jobs off.
type workerOptions struct {
	databaseURL  string
	count        int
	keyFile      string
	allowHTTP    bool
	allowPrivate bool
	timeout      time.Duration
	rescueAfter  time.Duration
	view         operatorView
	alone        bool // no service beside, which would tell what waits
}

func (o *workerOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.databaseURL, "worker-database-url", "", "database of the worker role (WATTLE_WORKER_DATABASE_URL)")
	f.IntVar(&o.count, "workers", defaultWorkers, "how many jobs of a kind to work on at once")
	f.StringVar(&o.keyFile, "webhook-key-file", "", "file of keys that webhooks' secrets are kept under (WATTLE_WEBHOOK_KEY_FILE)")
	f.BoolVar(&o.allowHTTP, "webhook-allow-http", false, "let webhooks have http addresses")
	f.DurationVar(&o.timeout, "job-timeout", 30*time.Second, "how long a job may run")
	f.DurationVar(&o.rescueAfter, "rescue-after", 60*time.Second, "when a job whose process was killed is given to another; more than --job-timeout")
	f.BoolVar(&o.allowPrivate, "webhook-allow-private", false, "let webhooks reach this machine and private networks")
}

// guard is the keys and the targets of webhooks.
func (o *workerOptions) guard() (webhook.Guard, error) {
	g := webhook.Guard{Targets: webhook.Targets{AllowHTTP: o.allowHTTP, AllowPrivate: o.allowPrivate}}
	if o.keyFile == "" {
		return g, nil
	}
	text, err := os.ReadFile(o.keyFile)
	if err == nil {
		g.Keyring, err = webhook.ParseKeyring(string(text))
	}
	if err != nil {
		return g, fmt.Errorf("--webhook-key-file %s: %w", o.keyFile, err)
	}
	return g, nil
}

// run works jobs off until ctx ends. To be stopped while it still starts is no
// failure.
func (o *workerOptions) run(ctx context.Context, guard webhook.Guard, log *slog.Logger) error {
	if err := o.working(ctx, guard, log); err != nil && ctx.Err() == nil {
		return err
	}
	return nil
}

func (o *workerOptions) working(ctx context.Context, guard webhook.Guard, log *slog.Logger) error {
	store, err := openDatabase(ctx, o.databaseURL, o.view.traced())
	if err != nil {
		return err
	}
	defer store.Close()
	if o.alone {
		err = o.view.watch("worker", store)
	} else {
		err = o.view.Pool("worker", store.PoolStats())
	}
	if err != nil {
		return err
	}
	return work.Run(ctx, store.Queue(), work.Config{Workers: workers(store, guard), Periodic: []*river.PeriodicJob{expiry.Periodic()}, Count: o.count, Log: log, Middleware: o.view.Jobs(), Timeout: o.timeout, RescueAfter: o.rescueAfter})
}

// workers knows how each kind of job is done.
func workers(store *postgres.Store, guard webhook.Guard) *river.Workers {
	all := river.NewWorkers()
	use := &estimating.Service{Quotes: store, Prices: store, Offices: store, Impacts: store}
	river.AddWorker(all, expiry.NewWorker(use))
	river.AddWorker(all, events.NewWorker(store))
	river.AddWorker(all, impact.NewSteps(use))
	river.AddWorker(all, impact.NewChunks(use))
	river.AddWorker(all, webhook.NewWorker(store, guard.Keyring, webhook.NewSender(guard.Targets, time.Now), webhook.Retry{}))
	return all
}

// localWebhookKeys is the key file of a private service, made where it is
// absent.
func localWebhookKeys(dir string) (string, error) {
	path := filepath.Join(dir, "webhook.keys")
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return path, nil
	}
	if err != nil {
		return "", err
	}
	_, err = fmt.Fprintln(file, webhook.NewKey())
	return path, errors.Join(err, file.Close())
}

// beside hears of events and works jobs off until ctx ends, and then says how
// that went. Where the workers cannot go on, neither does the service.
func beside(ctx context.Context, cancel context.CancelCauseFunc, store *postgres.Store, bell *events.Bell, o workerOptions, guard webhook.Guard, log *slog.Logger) <-chan error {
	ended := make(chan error, 1)
	var wg sync.WaitGroup
	wg.Go(func() { bell.Listen(ctx, store, log) })
	wg.Go(func() { sweep(ctx, store, log) })
	var failed error
	switch {
	case o.count > 0 && o.databaseURL != "":
		wg.Go(func() {
			if failed = o.run(ctx, guard, log); failed != nil {
				cancel(failed)
			}
		})
	default:
		log.Info("no workers here; jobs wait for a `wattle work`")
	}
	go func() {
		wg.Wait()
		ended <- failed
	}()
	return ended
}
