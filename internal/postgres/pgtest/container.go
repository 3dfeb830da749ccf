package pgtest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"os"
	"time"

	"github.com/containerd/errdefs"
	"github.com/jackc/pgx/v5"
	"github.com/moby/moby/client"
	"github.com/testcontainers/testcontainers-go"
	"github.com/testcontainers/testcontainers-go/modules/postgres"
	"github.com/testcontainers/testcontainers-go/wait"
)

// label marks our containers with the folder whose keeper runs them.
const label = "wattle.pgtest"

// dataFolder is where the usual Postgres images, and ours, keep their data; in
// memory it is quick, and gone with the container.
const dataFolder = "/var/lib/postgresql/data"

// startContainer starts Postgres in a container. Its error completes "but ...".
func startContainer(ctx context.Context, w ways, dir string) (running, error) {
	if w.image == noImage {
		return running{}, errors.New("WATTLE_TEST_POSTGRES_IMAGE=none forbids one")
	}
	// The library's own cleaner is an image that may be out of reach; the
	// keeper does its work.
	if err := os.Setenv("TESTCONTAINERS_RYUK_DISABLED", "true"); err != nil {
		return running{}, err
	}
	if err := reachOwnEngine(); err != nil {
		return running{}, err
	}
	if err := engineAnswers(ctx, w); err != nil {
		return running{}, err
	}
	c, err := postgres.Run(ctx, w.image,
		postgres.WithPassword(rand.Text()), // the port is open to the machine's neighbours
		testcontainers.WithTmpfs(map[string]string{dataFolder: "rw"}),
		testcontainers.WithLabels(map[string]string{label: dir}),
		// Test data need not outlive the machine. Many test processes at once
		// hold more connections than the usual hundred. A benchmark's book is to be
		// in Postgres's memory, as where it is deployed (deploy/compose).
		testcontainers.WithCmd("postgres", "-c", "fsync=off", "-c", "synchronous_commit=off",
			"-c", "full_page_writes=off", "-c", "max_connections=200", "-c", "shared_buffers=512MB"),
		testcontainers.WithWaitStrategyAndDeadline(startWait,
			wait.ForListeningPort("5432/tcp").SkipInternalCheck().WithStartupTimeout(startWait)),
	)
	stop := func() error {
		if c == nil {
			return nil
		}
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		return c.Terminate(ctx, testcontainers.StopTimeout(0)) // there is nothing to write
	}
	if err != nil {
		return running{}, errors.Join(fmt.Errorf("the container does not start: %w", err), stop())
	}
	where, err := c.ConnectionString(ctx, "sslmode=disable")
	if err == nil {
		err = answers(ctx, where)
	}
	if err != nil {
		return running{}, errors.Join(fmt.Errorf("the Postgres in the container does not answer: %w", err), stop())
	}
	return running{address: address{URL: where, How: "a container of " + w.image}, stop: stop}, nil
}

// reachOwnEngine helps where this machine looks like a container and yet runs
// an engine of its own, as build machines do: the library would then look for
// the port at the gateway, which is for containers that use the engine outside
// of them. The engine's bridge among our own interfaces tells the two apart.
func reachOwnEngine() error {
	const override = "TESTCONTAINERS_HOST_OVERRIDE"
	if _, set := os.LookupEnv(override); set {
		return nil
	}
	if _, err := net.InterfaceByName("docker0"); err != nil {
		return nil //nolint:nilerr // no bridge: the library knows best
	}
	return os.Setenv(override, "127.0.0.1")
}

// engineAnswers also removes containers whose keeper is dead.
func engineAnswers(ctx context.Context, w ways) error {
	ctx, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	engine, err := testcontainers.NewDockerClientWithOpts(ctx)
	if err != nil {
		return fmt.Errorf("no container engine answers: %s", firstLine(err))
	}
	defer engine.Close()
	if _, err := engine.Ping(ctx, client.PingOptions{}); err != nil {
		return fmt.Errorf("no container engine answers: %s", firstLine(err))
	}
	if _, err := engine.ImageInspect(ctx, w.image); err != nil && !w.imageSet {
		return fmt.Errorf("the image %s is not on this machine (deploy/postgres-image/build makes it): %s", w.image, firstLine(err))
	}
	return removeStale(ctx, engine.Client)
}

// removeStale takes the containers of every dead keeper on this machine, so
// several test processes may be at the same one: what another has removed, or
// is removing, needs no more of us.
func removeStale(ctx context.Context, engine *client.Client) error {
	found, err := engine.ContainerList(ctx, client.ContainerListOptions{All: true, Filters: client.Filters{}.Add("label", label)})
	if err != nil {
		return fmt.Errorf("the containers cannot be listed: %w", err)
	}
	for _, c := range found.Items {
		if !orphaned(c.Labels[label]) {
			continue
		}
		_, err := engine.ContainerRemove(ctx, c.ID, client.ContainerRemoveOptions{Force: true, RemoveVolumes: true})
		if err != nil && !errdefs.IsNotFound(err) && !errdefs.IsConflict(err) {
			return fmt.Errorf("the left-over container %s cannot be removed: %w", c.ID, err)
		}
	}
	return nil
}

// orphaned says whether the keeper of that folder is gone. Our own folder has
// no container yet; a folder that is not there may be another machine's.
func orphaned(dir string) bool {
	if dir == os.Getenv(keeperEnv) {
		return true
	}
	if _, err := os.Stat(dir); err != nil {
		return false
	}
	return !keeperLives(dir)
}

// answers waits until the server takes a connection: the port is open before.
func answers(ctx context.Context, where string) error {
	for {
		conn, err := pgx.Connect(ctx, where)
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), err)
		case <-time.After(50 * time.Millisecond):
		}
	}
}
