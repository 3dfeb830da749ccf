package main

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newWebhookDeliveries(r *remote) *cobra.Command {
	var format, state string
	var limit int
	cmd := &cobra.Command{
		Use:     "deliveries WEBHOOK",
		Short:   "List what was or will be sent to a webhook, newest first",
		Example: `  wattle webhook deliveries WEBHOOK --company harrow --state dead`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.webhookName(cmd, args[0])
			if err != nil {
				return err
			}
			if limit < 1 {
				return wrongUsef(cmd, "--limit: expected at least 1, found %d", limit)
			}
			request := &wattlev1.ListWebhookDeliveriesRequest{
				Parent: name, State: wattlev1.WebhookDeliveryState(wattlev1.WebhookDeliveryState_value["WEBHOOK_DELIVERY_STATE_"+strings.ToUpper(state)]),
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				all := &wattlev1.ListWebhookDeliveriesResponse{}
				for {
					request.PageSize = int32(min(limit-len(all.GetDeliveries()), 1000))
					page, err := webhooks(conn).ListWebhookDeliveries(ctx, request)
					if err != nil {
						return err
					}
					all.Deliveries = append(all.Deliveries, page.GetDeliveries()...)
					all.NextPageToken, request.PageToken = page.GetNextPageToken(), page.GetNextPageToken()
					if all.GetNextPageToken() == "" || len(all.GetDeliveries()) >= limit {
						break
					}
				}
				if format == asJSON {
					return printMessage(cmd.OutOrStdout(), all)
				}
				return deliveryTable(all).print(cmd.OutOrStdout(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asJSON, asCSV)
	choose(cmd, &state, "state", "", "only those in this state", "pending", "failed", "delivered", "dead")
	cmd.Flags().IntVar(&limit, "limit", 100, "at most so many deliveries")
	return cmd
}

func deliveryTable(all *wattlev1.ListWebhookDeliveriesResponse) *table {
	t := newTable("event", "type", "subject", "state", ">tries", "last_try", ">status", "reason")
	for _, d := range all.GetDeliveries() {
		tries := 0
		last := &wattlev1.WebhookAttempt{}
		for _, a := range d.GetAttempts() {
			if a.GetOutcome() != "replayed" {
				tries++
				last = a
			}
		}
		at, code := "", ""
		if tries > 0 {
			at = last.GetTime().AsTime().Format(time.RFC3339)
		}
		if last.GetStatusCode() > 0 {
			code = strconv.Itoa(int(last.GetStatusCode()))
		}
		t.add(d.GetEvent().GetId(), d.GetEvent().GetType(), d.GetEvent().GetSubject(), word("WEBHOOK_DELIVERY_STATE_", d.GetState()),
			strconv.Itoa(tries), at, code, last.GetReason())
	}
	return t
}
