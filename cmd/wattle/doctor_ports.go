package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"syscall"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
)

// ports tries each address that serve would listen on.
func (d *doctor) ports(ctx context.Context) []finding {
	secured := d.tlsCert != ""
	all := []finding{port(ctx, "listen", d.listen, secured)}
	if d.httpListen != "" {
		all = append(all, port(ctx, "http-listen", d.httpListen, secured))
	}
	if d.adminListen != "" {
		all = append(all, port(ctx, "admin-listen", d.adminListen, false))
	}
	return all
}

func port(ctx context.Context, flag, address string, secured bool) finding {
	what := "address --" + flag
	lis, err := listen(ctx, "--"+flag, address, secured)
	switch {
	case err == nil:
		_ = lis.Close() // nothing came in
		return found(what, fine, "%s is free", address)
	case errors.Is(err, syscall.EADDRINUSE):
		f := found(what, warning, "%s is taken", address)
		if flag == "listen" && serves(ctx, address, secured) == nil {
			return f.but("nothing, if that is the service you mean: one answers there; else name another address")
		}
		f.State = missing
		return f.but("see who has it (ss -ltnp), or name another with --%s", flag)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return found(what, missing, "%s is no address of this machine", address).but("name one that `ip address` lists, or 0.0.0.0 for all")
	case errors.Is(err, fs.ErrPermission):
		return found(what, missing, "%v", err).but("take a port from 1024 on, or give the service CAP_NET_BIND_SERVICE")
	default: // not an address, or one that keys may not be sent to in the clear
		return found(what, missing, "%v", err).but("give --%s a HOST:PORT of this machine", flag)
	}
}

// runningService asks the one that client commands would talk to.
func runningService(ctx context.Context) []finding {
	const what = "service (quote, prices)"
	address := environment("WATTLE_SERVER", "")
	state := missing
	if address == "" {
		address, state = defaultAddress, unused
	}
	if err := serves(ctx, address, false); err != nil {
		f := found(what, state, "%v", err)
		if state == missing {
			f = f.but("start it, or set WATTLE_SERVER to where it is")
		}
		return []finding{f}
	}
	return []finding{found(what, fine, "one answers at %s", address)}
}

// serves says why no service answers at an address. Nothing but its health is
// asked and no key is sent, so whose certificate it shows does not matter.
func serves(ctx context.Context, address string, secured bool) error {
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	credential := insecure.NewCredentials()
	if secured {
		credential = credentials.NewTLS(&tls.Config{InsecureSkipVerify: true}) //nolint:gosec // as said
	}
	conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(credential))
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	answer, err := healthv1.NewHealthClient(conn).Check(ctx, &healthv1.HealthCheckRequest{})
	switch {
	case err != nil:
		return errors.New("none answers at " + address + "; start one with `wattle serve --local`")
	case answer.GetStatus() != healthv1.HealthCheckResponse_SERVING:
		return fmt.Errorf("the one at %s says %s", address, answer.GetStatus())
	default:
		return nil
	}
}
