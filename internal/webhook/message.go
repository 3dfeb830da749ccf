package webhook

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	cloudevents "github.com/cloudevents/sdk-go/v2/event"
	standard "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"wattle/internal/estimating"
)

// data is what a message says beside the attributes of its envelope.
type data struct {
	Subject  string `json:"subject"`
	Sequence int64  `json:"sequence"`
	Office   string `json:"office"`
}

// message is an event as CloudEvents 1.0 in JSON. The extension `sequence` is
// text, as all attributes are.
func message(e estimating.Event) ([]byte, error) {
	m := cloudevents.New(cloudevents.CloudEventsVersionV1)
	m.SetID(e.ID)
	m.SetSource("/wattle/companies/" + e.Company)
	m.SetType(e.Type)
	m.SetSubject(e.Subject)
	m.SetTime(e.Time)
	m.SetExtension("sequence", strconv.FormatInt(e.Sequence, 10))
	if err := m.SetData(cloudevents.ApplicationJSON, data{e.Subject, e.Sequence, e.Office}); err != nil {
		return nil, err
	}
	if err := m.Validate(); err != nil {
		return nil, err
	}
	return m.MarshalJSON()
}

// sign sets the three headers of Standard Webhooks: id, the sender's time, and a
// signature for each secret.
func sign(h http.Header, id string, at time.Time, body []byte, secrets [][]byte) error {
	signatures := make([]string, len(secrets))
	for i, secret := range secrets {
		w, err := standard.NewWebhookRaw(secret)
		if err != nil {
			return err
		}
		if signatures[i], err = w.Sign(id, at, body); err != nil {
			return err
		}
	}
	h.Set(standard.HeaderWebhookID, id)
	h.Set(standard.HeaderWebhookTimestamp, strconv.FormatInt(at.Unix(), 10))
	h.Set(standard.HeaderWebhookSignature, strings.Join(signatures, " "))
	return nil
}
