package rpc

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
	"wattle/internal/webhook"
)

// guard lets webhooks have https addresses, and has a key.
func guard(t *testing.T) webhook.Guard {
	t.Helper()
	keys, err := webhook.ParseKeyring(webhook.NewKey())
	if err != nil {
		t.Fatal(err)
	}
	return webhook.Guard{Keyring: keys}
}

// watched are the subjects a watch tells until it ends, and its last token.
func watched(t *testing.T, conn grpc.ClientConnInterface, req *wattlev1.WatchEventsRequest) (subjects []string, token string, err error) {
	t.Helper()
	req.Parent = "companies/harrow"
	stream, err := wattlev1.NewEventServiceClient(conn).WatchEvents(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	for first := true; ; first = false {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return subjects, token, nil
		}
		if err != nil {
			return subjects, token, err
		}
		if first && m.GetEvent() != nil {
			t.Error("the first message is no heartbeat")
		}
		if e := m.GetEvent(); e != nil {
			if e.GetToken() != m.GetToken() || e.GetId() == "" || e.GetCreateTime() == nil {
				t.Errorf("event %v in %v", e, m)
			}
			subjects = append(subjects, e.GetSubject())
		}
		token = m.GetToken()
	}
}

// A key is told of its offices' quotes, of the prices it reads, and of specs; a
// watch goes on from a token, and a filter leaves out without losing the place.
func TestWatchEvents(t *testing.T) {
	t.Parallel()
	b := openBranches(t) // an import at main, then five quotes of north, of which two are issued
	main, north, south := b.at(t, "main", auth.Reader), b.at(t, "north", auth.Reader), b.at(t, "south", auth.Reader)
	all := []string{"companies/harrow/book", b.quote, b.drafts[0], b.drafts[1], b.issued[0], b.issued[1], b.issued[0], b.issued[1]}
	const end = "8"
	for _, c := range []struct {
		name  string
		conn  *grpc.ClientConn
		req   *wattlev1.WatchEventsRequest
		want  []string
		token string
	}{
		{"main", main, &wattlev1.WatchEventsRequest{FromStart: true}, all, end},
		{"north", north, &wattlev1.WatchEventsRequest{FromStart: true}, all, end},
		{"south", south, &wattlev1.WatchEventsRequest{FromStart: true}, all[:1], end},
		{"from a token", main, &wattlev1.WatchEventsRequest{Token: "1"}, all[1:], end},
		{"from now", main, &wattlev1.WatchEventsRequest{}, nil, end},
		{"of a type", main, &wattlev1.WatchEventsRequest{FromStart: true, Types: []string{"quote.created"}}, all[1:6], end},
		{"of an office", main, &wattlev1.WatchEventsRequest{FromStart: true, Office: "north"}, all[1:], end},
		{"of all offices", main, &wattlev1.WatchEventsRequest{FromStart: true, Office: "main"}, all, end},
		{"of the office under it", main, &wattlev1.WatchEventsRequest{FromStart: true, Office: "north-yard"}, nil, end},
	} {
		got, token, err := watched(t, c.conn, c.req)
		if err != nil || !slices.Equal(got, c.want) || token != c.token {
			t.Errorf("%s: %q at %s, %v; want %q at %s", c.name, got, token, err, c.want, c.token)
		}
	}
	for name, req := range map[string]*wattlev1.WatchEventsRequest{
		"both":           {Token: "1", FromStart: true},
		"ahead":          {Token: "9"},
		"too long":       {Token: "9999999999999999999"},
		"no number":      {Token: "x"},
		"unknown type":   {Types: []string{"quote.made", "quote.created", "x"}},
		"unknown office": {Office: "east"},
	} {
		_, _, err := watched(t, main, req)
		if status.Code(err) != codes.InvalidArgument {
			t.Errorf("%s: %v", name, err)
		}
		if name == "unknown type" {
			if got, want := fields(t, err), []string{"types[0]", "types[2]"}; !slices.Equal(got, want) {
				t.Errorf("fields %q, want %q", got, want)
			}
		}
	}
}

// What one caller does is told to another who watches meanwhile. When the server
// stops, the watch ends without an error, and without making it wait.
func TestAWatchLasts(t *testing.T) {
	t.Parallel()
	store := storetest.New(t)
	use := &estimating.Service{Prices: store, Offices: store, Events: store, Now: time.Now}
	conn, _, stop := serveUntil(t, use, Config{Drain: time.Minute})
	defer stop()
	stream, err := wattlev1.NewEventServiceClient(conn).WatchEvents(t.Context(), &wattlev1.WatchEventsRequest{Parent: "companies/harrow"})
	if err != nil {
		t.Fatal(err)
	}
	if m, err := stream.Recv(); err != nil || m.GetToken() != "0" || m.GetEvent() != nil {
		t.Fatalf("first %v, %v", m, err)
	}
	for i := range 3 {
		if _, err := (shop{conn: conn}).importList(t, fmt.Sprint(i), market("2026-01-01", fmt.Sprintf("1%d.00", i))); err != nil {
			t.Fatal(err)
		}
		if m, err := stream.Recv(); err != nil || m.GetEvent().GetSequence() != int64(i+1) || m.GetToken() != fmt.Sprint(i+1) {
			t.Fatalf("after import %d: %v, %v", i, m, err)
		}
	}
	start := time.Now()
	ended := make(chan error, 1)
	go func() {
		var err error
		for err == nil {
			_, err = stream.Recv()
		}
		ended <- err
	}()
	stop()
	if err := <-ended; !errors.Is(err, io.EOF) || time.Since(start) > 30*time.Second {
		t.Errorf("the watch ended with %v after %v", err, time.Since(start))
	}
}

func TestListEvents(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	events := wattlev1.NewEventServiceClient(b.at(t, "main", auth.Reader))
	var got []string
	req := &wattlev1.ListEventsRequest{Parent: "companies/harrow", PageSize: 1}
	for {
		page, err := events.ListEvents(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range page.GetEvents() {
			got = append(got, fmt.Sprintf("%s %s %d %s %s", e.GetToken(), e.GetType(), e.GetSequence(), e.GetOffice(), e.GetSubject()))
		}
		if req.PageToken = page.GetNextPageToken(); req.GetPageToken() == "" {
			if page.GetToken() != "8" {
				t.Errorf("read up to %s", page.GetToken())
			}
			break
		}
	}
	want := []string{"1 prices.imported 1 main companies/harrow/book"}
	for i, name := range []string{b.quote, b.drafts[0], b.drafts[1], b.issued[0], b.issued[1]} {
		want = append(want, fmt.Sprintf("%d quote.created 1 north %s", i+2, name))
	}
	want = append(want, "7 quote.issued 2 north "+b.issued[0], "8 quote.issued 2 north "+b.issued[1])
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	later, err := events.ListEvents(t.Context(), &wattlev1.ListEventsRequest{Parent: "companies/harrow", Token: "8"})
	if err != nil || len(later.GetEvents()) != 0 || later.GetToken() != "8" {
		t.Errorf("after the last: %v, %v", later, err)
	}
}

// A webhook through its life. Its secret is shown once, and nowhere else.
func TestWebhookService(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	hooks := wattlev1.NewWebhookServiceClient(b.at(t, "north", auth.Admin))
	ctx := t.Context()
	create := &wattlev1.CreateWebhookRequest{Parent: "companies/harrow", RequestId: "c", Webhook: &wattlev1.Webhook{
		Url: "https://crm.example.com/hook", Types: []string{"quote.created", "prices.imported", "quote.created"},
	}}
	made, err := hooks.CreateWebhook(ctx, create)
	if err != nil {
		t.Fatal(err)
	}
	w := made.GetWebhook()
	if !strings.HasPrefix(made.GetSecret(), "whsec_") || w.GetOffice() != "north" || !slices.Equal(w.GetTypes(), []string{"prices.imported", "quote.created"}) || w.GetState() != wattlev1.WebhookState_WEBHOOK_STATE_ACTIVE {
		t.Errorf("made %v", made)
	}
	again, err := hooks.CreateWebhook(ctx, create)
	if err != nil || again.GetSecret() != "" || again.GetWebhook().GetName() != w.GetName() {
		t.Errorf("the same request again: %v, %v", again, err)
	}
	create.Webhook.Url = "https://other.example.com/"
	if _, err := hooks.CreateWebhook(ctx, create); status.Code(err) != codes.AlreadyExists {
		t.Errorf("another request under the id: %v", err)
	}
	rotated, err := hooks.RotateWebhookSecret(ctx, &wattlev1.RotateWebhookSecretRequest{Name: w.GetName(), RequestId: "r", Overlap: durationpb.New(0)})
	if err != nil || rotated.GetSecret() == "" || rotated.GetSecret() == made.GetSecret() {
		t.Errorf("rotated: %v, %v", rotated, err)
	}
	ping, err := hooks.PingWebhook(ctx, &wattlev1.PingWebhookRequest{Name: w.GetName(), RequestId: "p"})
	if err != nil || ping.GetEvent().GetType() != "webhook.pinged" || ping.GetEvent().GetSubject() != w.GetName() {
		t.Errorf("ping %v, %v", ping, err)
	}
	list, err := hooks.ListWebhookDeliveries(ctx, &wattlev1.ListWebhookDeliveriesRequest{Parent: w.GetName()})
	if err != nil || len(list.GetDeliveries()) != 1 || list.GetDeliveries()[0].GetName() != w.GetName()+"/deliveries/"+ping.GetEvent().GetId() || list.GetDeliveries()[0].GetState() != wattlev1.WebhookDeliveryState_WEBHOOK_DELIVERY_STATE_PENDING {
		t.Errorf("deliveries %v, %v", list, err)
	}
	replayed, err := hooks.ReplayWebhookDeliveries(ctx, &wattlev1.ReplayWebhookDeliveriesRequest{Parent: w.GetName(), RequestId: "y", Event: ping.GetEvent().GetId()})
	if err != nil || replayed.GetReplayed() != 1 {
		t.Errorf("replayed %v, %v", replayed, err)
	}
	paused, err := hooks.PauseWebhook(ctx, &wattlev1.PauseWebhookRequest{Name: w.GetName(), RequestId: "a"})
	if err != nil || paused.GetWebhook().GetState() != wattlev1.WebhookState_WEBHOOK_STATE_PAUSED {
		t.Errorf("paused %v, %v", paused, err)
	}
	if all, err := hooks.ListWebhooks(ctx, &wattlev1.ListWebhooksRequest{Parent: "companies/harrow"}); err != nil || len(all.GetWebhooks()) != 1 {
		t.Errorf("list %v, %v", all, err)
	}
	if gone, err := hooks.DeleteWebhook(ctx, &wattlev1.DeleteWebhookRequest{Name: w.GetName(), RequestId: "d"}); err != nil || gone.GetWebhook().GetState() != wattlev1.WebhookState_WEBHOOK_STATE_DELETED {
		t.Errorf("deleted %v, %v", gone, err)
	}
	if _, err := hooks.GetWebhook(ctx, &wattlev1.GetWebhookRequest{Name: w.GetName()}); status.Code(err) != codes.NotFound {
		t.Errorf("after its end: %v", err)
	}
}

// One answer has everything that is wrong.
func TestBadWebhooks(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	hooks := wattlev1.NewWebhookServiceClient(b.at(t, "north", auth.Admin))
	_, err := hooks.CreateWebhook(t.Context(), &wattlev1.CreateWebhookRequest{Parent: "companies/harrow", RequestId: "c", Webhook: &wattlev1.Webhook{
		Url: "http://user:pw@127.0.0.1/", Types: []string{"quote.created", "quote.lost"}, Office: "south",
	}})
	if got, want := fields(t, err), []string{"webhook.office", "webhook.url", "webhook.url", "webhook.url", "webhook.types[1]"}; !slices.Equal(got, want) {
		t.Errorf("fields %q, want %q", got, want)
	}
	_, err = hooks.ReplayWebhookDeliveries(t.Context(), &wattlev1.ReplayWebhookDeliveriesRequest{
		Parent: "companies/harrow/webhooks/x", RequestId: "r", Event: "018f0000-0000-7000-8000-000000000000", DeadSince: timestamppb.New(time.Unix(0, 0)),
	})
	if status.Code(err) != codes.InvalidArgument || !strings.Contains(err.Error(), "either event or dead_since") {
		t.Errorf("both: %v", err)
	}
	_, err = hooks.RotateWebhookSecret(t.Context(), &wattlev1.RotateWebhookSecretRequest{Name: "companies/harrow/webhooks/x", RequestId: "r", Overlap: durationpb.New(-1)})
	if got, want := fields(t, err), []string{"overlap"}; !slices.Equal(got, want) {
		t.Errorf("fields %q, want %q", got, want)
	}
	_, err = hooks.ListWebhookDeliveries(t.Context(), &wattlev1.ListWebhookDeliveriesRequest{Parent: "companies/harrow/webhooks/x", PageToken: "x"})
	if got, want := fields(t, err), []string{"page_token"}; !slices.Equal(got, want) {
		t.Errorf("fields %q, want %q", got, want)
	}
}
