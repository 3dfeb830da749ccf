package rpc

import (
	"context"
	"regexp"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

var eventID = regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)

type webhookService struct{ estimating *estimating.Service }

// webhookCall is a call that changes a webhook.
type webhookCall interface {
	proto.Message
	GetName() string
	GetRequestId() string
}

// webhookKey takes a call's name apart, and makes the key that it is idempotent
// by.
func webhookKey(ctx context.Context, method string, req webhookCall) (estimating.RequestKey, string) {
	company, id := webhookOf(req.GetName())
	return requestKey(ctx, method, company, req.GetRequestId(), requestHash(req, "request_id")), id
}

// CreateWebhook implements wattle.v1.WebhookService.
func (s webhookService) CreateWebhook(ctx context.Context, req *wattlev1.CreateWebhookRequest) (*wattlev1.CreateWebhookResponse, error) {
	key := requestKey(ctx, "CreateWebhook", req.GetParent(), req.GetRequestId(), requestHash(req, "request_id"))
	w, secret, err := s.estimating.CreateWebhook(ctx, key, estimating.Webhook{
		URL: req.GetWebhook().GetUrl(), Types: req.GetWebhook().GetTypes(), Office: req.GetWebhook().GetOffice(),
	})
	if err != nil {
		return nil, err
	}
	return &wattlev1.CreateWebhookResponse{Webhook: webhookToProto(w), Secret: secret}, nil
}

// GetWebhook implements wattle.v1.WebhookService.
func (s webhookService) GetWebhook(ctx context.Context, req *wattlev1.GetWebhookRequest) (*wattlev1.GetWebhookResponse, error) {
	company, id := webhookOf(req.GetName())
	w, err := s.estimating.Webhooks.Webhook(ctx, company, id)
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetWebhookResponse{Webhook: webhookToProto(w)}, nil
}

// ListWebhooks implements wattle.v1.WebhookService. Ids sort by time; a page
// token holds the last one given.
func (s webhookService) ListWebhooks(ctx context.Context, req *wattlev1.ListWebhooksRequest) (*wattlev1.ListWebhooksResponse, error) {
	list, next, err := page(req, func(after string, limit int) ([]estimating.Webhook, error) {
		return s.estimating.Webhooks.ListWebhooks(ctx, estimating.WebhookFilter{Company: companyOf(req.GetParent()), After: after, Limit: limit})
	}, func(w estimating.Webhook) string { return w.ID })
	answer := &wattlev1.ListWebhooksResponse{NextPageToken: next}
	for _, w := range list {
		answer.Webhooks = append(answer.Webhooks, webhookToProto(w))
	}
	return answer, err
}

// PauseWebhook implements wattle.v1.WebhookService.
func (s webhookService) PauseWebhook(ctx context.Context, req *wattlev1.PauseWebhookRequest) (*wattlev1.PauseWebhookResponse, error) {
	w, err := s.setState(ctx, "PauseWebhook", req, estimating.WebhookPaused)
	return &wattlev1.PauseWebhookResponse{Webhook: w}, err
}

// ResumeWebhook implements wattle.v1.WebhookService.
func (s webhookService) ResumeWebhook(ctx context.Context, req *wattlev1.ResumeWebhookRequest) (*wattlev1.ResumeWebhookResponse, error) {
	w, err := s.setState(ctx, "ResumeWebhook", req, estimating.WebhookActive)
	return &wattlev1.ResumeWebhookResponse{Webhook: w}, err
}

// DeleteWebhook implements wattle.v1.WebhookService.
func (s webhookService) DeleteWebhook(ctx context.Context, req *wattlev1.DeleteWebhookRequest) (*wattlev1.DeleteWebhookResponse, error) {
	w, err := s.setState(ctx, "DeleteWebhook", req, estimating.WebhookDeleted)
	return &wattlev1.DeleteWebhookResponse{Webhook: w}, err
}

func (s webhookService) setState(ctx context.Context, method string, req webhookCall, state estimating.WebhookState) (*wattlev1.Webhook, error) {
	key, id := webhookKey(ctx, method, req)
	w, err := s.estimating.Webhooks.SetWebhookState(ctx, key, id, state)
	if err != nil {
		return nil, err
	}
	return webhookToProto(w), nil
}

// RotateWebhookSecret implements wattle.v1.WebhookService.
func (s webhookService) RotateWebhookSecret(ctx context.Context, req *wattlev1.RotateWebhookSecretRequest) (*wattlev1.RotateWebhookSecretResponse, error) {
	key, id := webhookKey(ctx, "RotateWebhookSecret", req)
	overlap := estimating.DefaultOverlap
	if req.GetOverlap() != nil {
		overlap = req.GetOverlap().AsDuration()
	}
	w, secret, err := s.estimating.RotateWebhookSecret(ctx, key, id, overlap)
	if err != nil {
		return nil, err
	}
	return &wattlev1.RotateWebhookSecretResponse{Webhook: webhookToProto(w), Secret: secret}, nil
}

// PingWebhook implements wattle.v1.WebhookService.
func (s webhookService) PingWebhook(ctx context.Context, req *wattlev1.PingWebhookRequest) (*wattlev1.PingWebhookResponse, error) {
	key, id := webhookKey(ctx, "PingWebhook", req)
	e, err := s.estimating.Webhooks.PingWebhook(ctx, key, id)
	if err != nil {
		return nil, err
	}
	return &wattlev1.PingWebhookResponse{Event: eventToProto(e)}, nil
}

// ListWebhookDeliveries implements wattle.v1.WebhookService. A page token holds
// the event of the last delivery given.
func (s webhookService) ListWebhookDeliveries(ctx context.Context, req *wattlev1.ListWebhookDeliveriesRequest) (*wattlev1.ListWebhookDeliveriesResponse, error) {
	size := pageSize(req.GetPageSize())
	filter := estimating.DeliveryFilter{State: deliveryStateFromProto(req.GetState()), Limit: size + 1}
	filter.Company, filter.Webhook = webhookOf(req.GetParent())
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if from != nil {
		if filter.BeforeEvent = from[0]; !eventID.MatchString(filter.BeforeEvent) {
			return nil, badPageToken("it is no token of this service")
		}
	}
	list, err := s.estimating.Webhooks.ListDeliveries(ctx, filter)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListWebhookDeliveriesResponse{}
	if len(list) > size {
		list = list[:size]
		answer.NextPageToken = pageToken(req, place{list[size-1].Event.ID})
	}
	for _, d := range list {
		answer.Deliveries = append(answer.Deliveries, deliveryToProto(d))
	}
	return answer, nil
}

// ReplayWebhookDeliveries implements wattle.v1.WebhookService.
func (s webhookService) ReplayWebhookDeliveries(ctx context.Context, req *wattlev1.ReplayWebhookDeliveriesRequest) (*wattlev1.ReplayWebhookDeliveriesResponse, error) {
	company, id := webhookOf(req.GetParent())
	key := requestKey(ctx, "ReplayWebhookDeliveries", company, req.GetRequestId(), requestHash(req, "request_id"))
	count, err := s.estimating.Webhooks.ReplayDeliveries(ctx, key, estimating.Redelivery{
		Webhook: id, Event: req.GetEvent(), Since: req.GetDeadSince().AsTime(),
	})
	if err != nil {
		return nil, err
	}
	return &wattlev1.ReplayWebhookDeliveriesResponse{Replayed: int32(count)}, nil
}
