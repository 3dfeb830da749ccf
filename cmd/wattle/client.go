package main

import (
	"cmp"
	"context"
	"fmt"
	"net"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
)

// defaultAddress is where serve listens and the client commands look.
const defaultAddress = "127.0.0.1:7453"

// remote is which service a client command talks to, for which company.
type remote struct {
	server, company string
	keyFile, caFile string
	tls             bool
	timeout         time.Duration
	// operator: the commands are for who runs the service, not for a company.
	operator bool
}

// flags adds the flags to a group of client commands.
func (r *remote) flags(cmd *cobra.Command) {
	f := cmd.PersistentFlags()
	f.StringVar(&r.server, "server", environment("WATTLE_SERVER", defaultAddress), "address of the service (WATTLE_SERVER)")
	if !r.operator {
		f.StringVar(&r.company, "company", environment("WATTLE_COMPANY", ""), "id of the company, such as harrow (WATTLE_COMPANY)")
	}
	f.StringVar(&r.keyFile, "key-file", environment("WATTLE_KEY_FILE", ""), "file that holds your key (WATTLE_KEY_FILE; default the one that company create kept)")
	f.BoolVar(&r.tls, "tls", false, "secure the connection, trusting the system's authorities")
	f.StringVar(&r.caFile, "ca-file", environment("WATTLE_CA_FILE", ""), "secure the connection, trusting the authorities in this PEM file (WATTLE_CA_FILE)")
	f.DurationVar(&r.timeout, "timeout", 30*time.Second, "how long to wait for the answer (imports: 10m)")
}

// call runs f with a connection and a deadline.
func (r *remote) call(cmd *cobra.Command, f func(context.Context, *grpc.ClientConn) error) error {
	conn, err := r.dial()
	if err != nil {
		return wrongUse(cmd, err)
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	ctx, cancel := r.deadline(cmd.Context())
	defer cancel()
	err = f(ctx, conn)
	// The service's own statuses have details; the transport's have none.
	if s := status.Convert(err); s.Code() == codes.Unavailable && len(s.Details()) == 0 {
		return fmt.Errorf("no service answers at %s; start one with `wattle serve --local`, or name another with --server (%s)", r.server, s.Message())
	}
	return err
}

// dial connects with the key that the flags, or the defaults, name.
func (r *remote) dial() (*grpc.ClientConn, error) {
	var secret string
	path := cmp.Or(r.keyFile, defaultKeyFile(r.company, r.operator))
	if path != "" {
		var err error
		if secret, err = readSecret(path); err != nil {
			return nil, err
		}
	}
	if !r.tls && r.caFile == "" {
		return dial(r.server, secret)
	}
	secured, err := clientTLS(r.caFile)
	if err != nil {
		return nil, err
	}
	return grpc.NewClient(r.server, grpc.WithTransportCredentials(secured), grpc.WithPerRPCCredentials(bearer(secret)), grpc.WithUnaryInterceptor(patient))
}

// dial connects in the clear, so with a key only to this machine.
func dial(address, secret string) (*grpc.ClientConn, error) {
	options := []grpc.DialOption{grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithUnaryInterceptor(patient)}
	if secret != "" {
		host, _, err := net.SplitHostPort(address)
		if err == nil && !loopback(host) {
			return nil, fmt.Errorf("a key would travel in the clear to %s: secure the connection with --tls or --ca-file", address)
		}
		options = append(options, grpc.WithPerRPCCredentials(bearer(secret)))
	}
	return grpc.NewClient(address, options...)
}

// parent is the company's resource name.
func (r *remote) parent(cmd *cobra.Command) (string, error) {
	if r.company == "" {
		return "", wrongUsef(cmd, "name the company with --company (or WATTLE_COMPANY)")
	}
	return "companies/" + r.company, nil
}

// reads takes the company from the name of something of it, where no flag names
// one: the key kept for it is then found.
func (r *remote) reads(name string) {
	if rest, ok := strings.CutPrefix(name, "companies/"); ok && r.company == "" {
		r.company, _, _ = strings.Cut(rest, "/")
	}
}

// named takes the full name of something in a collection, or its id within the
// company.
func (r *remote) named(cmd *cobra.Command, collection, name string) (string, error) {
	if strings.Contains(name, "/") {
		r.reads(name)
		return name, nil
	}
	parent, err := r.parent(cmd)
	return parent + "/" + collection + "/" + name, err
}

// quoteName takes a quote's full name, or its id within the company.
func (r *remote) quoteName(cmd *cobra.Command, name string) (string, error) {
	return r.named(cmd, "quotes", name)
}

// newRequestID is for calls whose caller named none.
func newRequestID() string { return uuid.NewString() }

func quotes(conn *grpc.ClientConn) wattlev1.QuoteServiceClient {
	return wattlev1.NewQuoteServiceClient(conn)
}

func offices(conn *grpc.ClientConn) wattlev1.OfficeServiceClient {
	return wattlev1.NewOfficeServiceClient(conn)
}

func prices(conn *grpc.ClientConn) wattlev1.PriceBookServiceClient {
	return wattlev1.NewPriceBookServiceClient(conn)
}

// deadline is ctx with the time the caller waits; zero is for ever.
func (r *remote) deadline(ctx context.Context) (context.Context, context.CancelFunc) {
	if r.timeout == 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, r.timeout)
}
