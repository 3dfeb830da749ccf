package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"
)

// newHealth is the probe for who starts and stops services: a container from
// scratch has no shell and no other program to ask with. It takes no key.
func newHealth() *cobra.Command {
	var server, caFile, name string
	var secured bool
	var timeout time.Duration
	cmd := &cobra.Command{
		Use:   "health",
		Short: "Ask a running service whether it can answer",
		Long: `Ask a running service whether it can answer, by the standard health service. Exits
0 where it says SERVING, else 1. No key is needed and none is sent.`,
		Example: `  wattle health
  wattle health --ca-file ca.pem --server-name estimates.example.com`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			how := insecure.NewCredentials()
			if secured || caFile != "" {
				var err error
				if how, err = clientTLS(caFile); err != nil {
					return wrongUse(cmd, err)
				}
			}
			options := []grpc.DialOption{grpc.WithTransportCredentials(how)}
			if name != "" {
				options = append(options, grpc.WithAuthority(name))
			}
			conn, err := grpc.NewClient(server, options...)
			if err != nil {
				return wrongUse(cmd, err)
			}
			defer func() { _ = conn.Close() }() // nothing is pending
			ctx, cancel := context.WithTimeout(cmd.Context(), timeout)
			defer cancel()
			answer, err := healthv1.NewHealthClient(conn).Check(ctx, &healthv1.HealthCheckRequest{})
			if err != nil {
				return fmt.Errorf("%s does not answer: %s", server, status.Convert(err).Message())
			}
			if answer.GetStatus() != healthv1.HealthCheckResponse_SERVING {
				return fmt.Errorf("%s cannot answer calls at the moment: %s", server, answer.GetStatus())
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), answer.GetStatus())
			return err
		},
	}
	f := cmd.Flags()
	f.StringVar(&server, "server", environment("WATTLE_SERVER", defaultAddress), "address of the service (WATTLE_SERVER)")
	f.BoolVar(&secured, "tls", false, "secure the connection, trusting the system's authorities")
	f.StringVar(&caFile, "ca-file", environment("WATTLE_CA_FILE", ""), "secure the connection, trusting the authorities in this PEM file (WATTLE_CA_FILE)")
	f.StringVar(&name, "server-name", "", "name that the certificate must be of (default the host of the address)")
	f.DurationVar(&timeout, "timeout", 3*time.Second, "how long to wait for the answer")
	return cmd
}
