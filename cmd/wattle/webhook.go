package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
)

func newWebhook() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "webhook",
		Short: "Have an address told of events, and see how that goes",
		Example: `  wattle webhook create https://crm.example.com/hooks/wattle --company harrow --type quote.created
  wattle webhook deliveries WEBHOOK --company harrow --state dead`,
	})
	r.flags(cmd)
	cmd.AddCommand(newWebhookCreate(r), newWebhookList(r), newWebhookRotate(r), newWebhookPing(r), newWebhookDeliveries(r), newWebhookReplay(r))
	for _, c := range []stateCommand{
		{"pause", "Hold back what a webhook would be told", "paused", func(ctx context.Context, s wattlev1.WebhookServiceClient, name, id string) error {
			_, err := s.PauseWebhook(ctx, &wattlev1.PauseWebhookRequest{Name: name, RequestId: id})
			return err
		}},
		{"resume", "Tell a webhook what was held back, and go on", "active", func(ctx context.Context, s wattlev1.WebhookServiceClient, name, id string) error {
			_, err := s.ResumeWebhook(ctx, &wattlev1.ResumeWebhookRequest{Name: name, RequestId: id})
			return err
		}},
		{"delete", "End a webhook", "deleted", func(ctx context.Context, s wattlev1.WebhookServiceClient, name, id string) error {
			_, err := s.DeleteWebhook(ctx, &wattlev1.DeleteWebhookRequest{Name: name, RequestId: id})
			return err
		}},
	} {
		cmd.AddCommand(c.command(r))
	}
	return cmd
}

func webhooks(conn *grpc.ClientConn) wattlev1.WebhookServiceClient {
	return wattlev1.NewWebhookServiceClient(conn)
}

// webhookName takes a webhook's full name, or its id within the company.
func (r *remote) webhookName(cmd *cobra.Command, name string) (string, error) {
	return r.named(cmd, "webhooks", name)
}

func newWebhookCreate(r *remote) *cobra.Command {
	var types []string
	var office string
	cmd := &cobra.Command{
		Use:   "create URL",
		Short: "Have an address told of events; prints the secret, this once",
		Long: `Have an address told of events. Prints the webhook's name and, this once, the
secret to check signatures with.`,
		Example: `  wattle webhook create https://crm.example.com/hooks/wattle --company harrow --type quote.created --type prices.imported`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := webhooks(conn).CreateWebhook(ctx, &wattlev1.CreateWebhookRequest{
					Parent: parent, RequestId: newRequestID(), Webhook: &wattlev1.Webhook{Url: args[0], Types: types, Office: office},
				})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "Webhook  %s\nSecret   %s\n", answer.GetWebhook().GetName(), answer.GetSecret())
				return err
			})
		},
	}
	cmd.Flags().StringSliceVar(&types, "type", nil, "only events of this type; may be given several times")
	cmd.Flags().StringVar(&office, "office", "", "only events in this office and those under it")
	return cmd
}

func newWebhookList(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:     "list",
		Short:   "List a company's webhooks",
		Example: `  wattle webhook list --company harrow`,
		Args:    takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				all := &wattlev1.ListWebhooksResponse{}
				err := everyPage(func(token string) (*wattlev1.ListWebhooksResponse, error) {
					return webhooks(conn).ListWebhooks(ctx, &wattlev1.ListWebhooksRequest{Parent: parent, PageSize: mostPage, PageToken: token})
				}, func(page *wattlev1.ListWebhooksResponse) { all.Webhooks = append(all.Webhooks, page.GetWebhooks()...) })
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), all)
				}
				t := newTable("name", "state", "office", "types", "url")
				for _, w := range all.GetWebhooks() {
					t.add(w.GetName(), word("WEBHOOK_STATE_", w.GetState()), w.GetOffice(), strings.Join(w.GetTypes(), " "), w.GetUrl())
				}
				return t.print(cmd.OutOrStdout(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asJSON, asCSV)
	return cmd
}

// word is the name of an enum's value as people write it.
func word(prefix string, value fmt.Stringer) string {
	return strings.ToLower(strings.TrimPrefix(value.String(), prefix))
}

func newWebhookRotate(r *remote) *cobra.Command {
	var overlap time.Duration
	cmd := &cobra.Command{
		Use:     "rotate WEBHOOK",
		Short:   "Make a new secret; prints it, this once",
		Example: `  wattle webhook rotate WEBHOOK --company harrow --overlap 48h`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.webhookName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := webhooks(conn).RotateWebhookSecret(ctx, &wattlev1.RotateWebhookSecretRequest{
					Name: name, RequestId: newRequestID(), Overlap: durationpb.New(overlap),
				})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "Secret  %s\nThe one before it signs too for %s.\n", answer.GetSecret(), overlap)
				return err
			})
		},
	}
	cmd.Flags().DurationVar(&overlap, "overlap", 24*time.Hour, "how long the old secret signs too")
	return cmd
}

func newWebhookPing(r *remote) *cobra.Command {
	return &cobra.Command{
		Use:     "ping WEBHOOK",
		Short:   "Send a webhook an event of its own",
		Example: `  wattle webhook ping WEBHOOK --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.webhookName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := webhooks(conn).PingWebhook(ctx, &wattlev1.PingWebhookRequest{Name: name, RequestId: newRequestID()})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "Event %s is on its way; `wattle webhook deliveries` says how it went.\n", answer.GetEvent().GetId())
				return err
			})
		},
	}
}

// stateCommand changes what becomes of a webhook.
type stateCommand struct {
	verb, short, done string
	call              func(ctx context.Context, s wattlev1.WebhookServiceClient, name, requestID string) error
}

func (c stateCommand) command(r *remote) *cobra.Command {
	return &cobra.Command{
		Use:     c.verb + " WEBHOOK",
		Short:   c.short,
		Example: "  wattle webhook " + c.verb + " WEBHOOK --company harrow",
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.webhookName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				if err := c.call(ctx, webhooks(conn), name, newRequestID()); err != nil {
					return err
				}
				_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s is %s.\n", name, c.done)
				return err
			})
		},
	}
}

func newWebhookReplay(r *remote) *cobra.Command {
	var event, since string
	cmd := &cobra.Command{
		Use:     "replay WEBHOOK",
		Short:   "Send one delivery again, or all that are dead since a time",
		Example: `  wattle webhook replay WEBHOOK --company harrow --dead-since 2026-03-01T00:00:00Z`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.webhookName(cmd, args[0])
			if err != nil {
				return err
			}
			request := &wattlev1.ReplayWebhookDeliveriesRequest{Parent: name, RequestId: newRequestID(), Event: event}
			switch {
			case (event == "") == (since == ""):
				return wrongUsef(cmd, "expected either --event or --dead-since")
			case since != "":
				at, err := time.Parse(time.RFC3339, since)
				if err != nil {
					return wrongUsef(cmd, "--dead-since: expected a time such as 2026-03-01T00:00:00Z, found %q", since)
				}
				request.DeadSince = timestamppb.New(at)
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := webhooks(conn).ReplayWebhookDeliveries(ctx, request)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%d to be sent again.\n", answer.GetReplayed())
				return err
			})
		},
	}
	cmd.Flags().StringVar(&event, "event", "", "the event of one delivery")
	cmd.Flags().StringVar(&since, "dead-since", "", "all that died at this time or later, as 2026-03-01T00:00:00Z")
	return cmd
}
