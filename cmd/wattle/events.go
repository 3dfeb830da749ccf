package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
)

func newEvents() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:     "events",
		Short:   "See what happens to quotes, prices and specs",
		Example: `  wattle events watch --company harrow --from-start`,
	})
	r.flags(cmd)
	cmd.AddCommand(newEventsWatch(r))
	return cmd
}

func newEventsWatch(r *remote) *cobra.Command {
	var format, from, office string
	var types []string
	var fromStart, once bool
	cmd := &cobra.Command{
		Use:   "watch",
		Short: "Print events as they come, a line each, until stopped",
		Long: `Print events as they come, a line each, until SIGINT or SIGTERM: token, time, type,
sequence, office and subject. A watch --from the token of the last line misses
nothing. When the stream ends or the service is away, the watch goes on from
where it was.`,
		Example: `  wattle events watch --company harrow --from 1042 --type quote.created`,
		Args:    takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			if from != "" && fromStart {
				return wrongUsef(cmd, "--from and --from-start exclude each other")
			}
			w := &watcher{
				request: &wattlev1.WatchEventsRequest{Parent: parent, Token: from, FromStart: fromStart, Types: types, Office: office},
				print:   func(e *wattlev1.Event) error { return printEvent(cmd.OutOrStdout(), e, format) },
				once:    once,
			}
			r.timeout = 0 // a watch lasts
			return r.call(cmd, w.follow)
		},
	}
	choose(cmd, &format, "format", asText, "how to print an event", asText, asJSON)
	f := cmd.Flags()
	f.StringVar(&from, "from", "", "go on after this token")
	f.BoolVar(&fromStart, "from-start", false, "begin with the first event")
	f.BoolVar(&once, "once", false, "end where the events known at the start end")
	f.StringSliceVar(&types, "type", nil, "only events of this type; may be given several times")
	f.StringVar(&office, "office", "", "only events in this office and those under it")
	return cmd
}

// watcher follows events over any number of streams.
type watcher struct {
	request *wattlev1.WatchEventsRequest
	print   func(*wattlev1.Event) error
	once    bool
}

// Longest wait before the watch takes up again.
const longestAbsence = 30 * time.Second

func (w *watcher) follow(ctx context.Context, conn *grpc.ClientConn) error {
	if w.once {
		return w.list(ctx, conn)
	}
	for wait := time.Second; ; wait = min(2*wait, longestAbsence) {
		seen := w.request.GetToken()
		err := w.stream(ctx, conn)
		if ctx.Err() != nil {
			return nil //nolint:nilerr // stopped, as asked
		}
		if code := status.Code(err); err != nil && code != codes.Unavailable && code != codes.DeadlineExceeded {
			return err
		}
		if err == nil || w.request.GetToken() != seen {
			wait = time.Second
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(wait):
		}
	}
}

// stream is nil where the service ended the stream.
func (w *watcher) stream(ctx context.Context, conn *grpc.ClientConn) error {
	stream, err := wattlev1.NewEventServiceClient(conn).WatchEvents(ctx, w.request)
	if err != nil {
		return err
	}
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if e := m.GetEvent(); e != nil {
			if err := w.print(e); err != nil {
				return err
			}
		}
		w.request.Token, w.request.FromStart = m.GetToken(), false
	}
}

// list prints what there is.
func (w *watcher) list(ctx context.Context, conn *grpc.ClientConn) error {
	request := &wattlev1.ListEventsRequest{Parent: w.request.GetParent(), Token: w.request.GetToken(), Types: w.request.GetTypes(), Office: w.request.GetOffice()}
	for {
		page, err := wattlev1.NewEventServiceClient(conn).ListEvents(ctx, request)
		if err != nil {
			return err
		}
		for _, e := range page.GetEvents() {
			if err := w.print(e); err != nil {
				return err
			}
		}
		if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
			return nil
		}
	}
}

func printEvent(w io.Writer, e *wattlev1.Event, format string) error {
	if format == asJSON {
		return printMessage(w, e)
	}
	_, err := fmt.Fprintf(w, "%s  %s  %s  %d  %s  %s\n", e.GetToken(), e.GetCreateTime().AsTime().Format(time.RFC3339), e.GetType(), e.GetSequence(), e.GetOffice(), e.GetSubject())
	return err
}
