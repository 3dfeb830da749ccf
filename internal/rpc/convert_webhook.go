package rpc

import (
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

var webhookStates = map[estimating.WebhookState]wattlev1.WebhookState{
	estimating.WebhookActive:  wattlev1.WebhookState_WEBHOOK_STATE_ACTIVE,
	estimating.WebhookPaused:  wattlev1.WebhookState_WEBHOOK_STATE_PAUSED,
	estimating.WebhookDeleted: wattlev1.WebhookState_WEBHOOK_STATE_DELETED,
}

var deliveryStates = map[estimating.DeliveryState]wattlev1.WebhookDeliveryState{
	estimating.DeliveryPending:   wattlev1.WebhookDeliveryState_WEBHOOK_DELIVERY_STATE_PENDING,
	estimating.DeliveryFailed:    wattlev1.WebhookDeliveryState_WEBHOOK_DELIVERY_STATE_FAILED,
	estimating.DeliveryDelivered: wattlev1.WebhookDeliveryState_WEBHOOK_DELIVERY_STATE_DELIVERED,
	estimating.DeliveryDead:      wattlev1.WebhookDeliveryState_WEBHOOK_DELIVERY_STATE_DEAD,
}

// deliveryStateFromProto is empty where none is asked for.
func deliveryStateFromProto(p wattlev1.WebhookDeliveryState) estimating.DeliveryState {
	for state, q := range deliveryStates {
		if p == q {
			return state
		}
	}
	return ""
}

func webhookToProto(w estimating.Webhook) *wattlev1.Webhook {
	return &wattlev1.Webhook{
		Name: webhookName(w.Company, w.ID), Url: w.URL, Types: w.Types, Office: w.Office,
		State: webhookStates[w.State], CreateTime: timestamppb.New(w.CreatedAt),
	}
}

func deliveryToProto(d estimating.Delivery) *wattlev1.WebhookDelivery {
	p := &wattlev1.WebhookDelivery{
		Name:  webhookName(d.Company, d.Webhook) + "/deliveries/" + d.Event.ID,
		Event: eventToProto(d.Event), State: deliveryStates[d.State], CreateTime: timestamppb.New(d.CreatedAt),
	}
	for _, a := range d.Attempts {
		p.Attempts = append(p.Attempts, &wattlev1.WebhookAttempt{
			Time: timestamppb.New(a.At), Outcome: a.Outcome, StatusCode: int32(a.Status), Reason: a.Reason, Took: durationpb.New(a.Took),
		})
	}
	return p
}
