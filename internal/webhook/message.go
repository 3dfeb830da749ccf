package webhook

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	standard "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"wattle/internal/estimating"
)

// data is what a message says beside the attributes of its envelope.
type data struct {
	Subject  string `json:"subject"`
	Sequence int64  `json:"sequence"`
	Office   string `json:"office"`
}

// envelope is an event in the JSON format of CloudEvents 1.0. A receiver's side of
// the SDK reads it in the tests; here its nine attributes are written down, since the
// SDK keeps the linker from leaving out what no one calls (DEVELOPERS.md, "What a
// service takes at rest").
type envelope struct {
	SpecVersion     string    `json:"specversion"`
	ID              string    `json:"id"`
	Source          string    `json:"source"`
	Type            string    `json:"type"`
	Subject         string    `json:"subject"`
	DataContentType string    `json:"datacontenttype"`
	Time            time.Time `json:"time"`
	Data            data      `json:"data"`
	Sequence        string    `json:"sequence"` // an extension; attributes are text
}

// message is what is posted of an event.
func message(e estimating.Event) ([]byte, error) {
	source := url.URL{Path: "/wattle/companies/" + e.Company}
	return json.Marshal(envelope{
		SpecVersion: "1.0", ID: e.ID, Source: source.String(), Type: e.Type, Subject: e.Subject, Time: e.Time.UTC(),
		DataContentType: "application/json", Data: data{e.Subject, e.Sequence, e.Office}, Sequence: strconv.FormatInt(e.Sequence, 10),
	})
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
