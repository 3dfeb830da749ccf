package webhook

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"io"
	"net"
	"net/http"
	"time"

	"code.dny.dev/ssrf"

	"wattle/internal/estimating"
)

const (
	// attemptTime is how long one try may take, from the look-up of the name to
	// the last byte read.
	attemptTime = 10 * time.Second
	// mostBody is how much of an answer is read. Nothing in it is used: reading
	// lets the receiver finish what it does.
	mostBody = 64 << 10
	// mostHeader is how much header an answer may have.
	mostHeader = 64 << 10
)

// Why a try failed, as it is kept and shown.
const (
	ReasonStatus     = "STATUS"          // the answer was no 2xx
	ReasonRedirect   = "REDIRECT"        // redirects are not followed
	ReasonRefused    = "ADDRESS_REFUSED" // messages do not go to such addresses
	ReasonName       = "NAME_NOT_FOUND"
	ReasonTimeout    = "TIMEOUT"
	ReasonTLS        = "TLS"
	ReasonConnection = "CONNECTION"
)

// Sender posts messages. It may be used by any number of goroutines.
type Sender struct {
	client *http.Client
	now    func() time.Time
}

// NewSender makes a sender; now is the clock of the webhook-timestamp header,
// the only time in a message that is the sender's.
func NewSender(t Targets, now func() time.Time) *Sender {
	dialer := &net.Dialer{Timeout: attemptTime, Control: t.control}
	return &Sender{
		now: now,
		client: &http.Client{
			// A redirect is an answer like any other, and no 2xx.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
			Transport: &http.Transport{
				Proxy:                  nil, // a proxy would look the name up itself, past our check
				DialContext:            dialer.DialContext,
				TLSClientConfig:        &tls.Config{MinVersion: tls.VersionTLS12},
				DisableKeepAlives:      true, // every message is checked anew
				DisableCompression:     true,
				MaxResponseHeaderBytes: mostHeader,
			},
		},
	}
}

// Send makes one try. secrets are the newest first.
func (s *Sender) Send(ctx context.Context, url string, e estimating.Event, secrets [][]byte) (estimating.Attempt, error) {
	body, err := message(e)
	if err != nil {
		return estimating.Attempt{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, attemptTime)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return estimating.Attempt{}, err
	}
	start := s.now()
	req.Header.Set("Content-Type", "application/cloudevents+json; charset=utf-8")
	req.Header.Set("User-Agent", "wattle")
	if err := sign(req.Header, e.ID, start, body, secrets); err != nil {
		return estimating.Attempt{}, err
	}
	answer, err := s.client.Do(req)
	if err != nil {
		return estimating.Attempt{Outcome: estimating.Failed, Reason: reasonOf(err), Took: s.now().Sub(start)}, nil
	}
	// The status is the answer. What goes wrong in the body changes nothing.
	_, _ = io.Copy(io.Discard, io.LimitReader(answer.Body, mostBody))
	_ = answer.Body.Close()
	a := estimating.Attempt{Outcome: estimating.Delivered, Status: answer.StatusCode, Took: s.now().Sub(start)}
	switch {
	case answer.StatusCode >= 300 && answer.StatusCode < 400:
		a.Outcome, a.Reason = estimating.Failed, ReasonRedirect
	case answer.StatusCode < 200 || answer.StatusCode > 299:
		a.Outcome, a.Reason = estimating.Failed, ReasonStatus
	}
	return a, nil
}

func reasonOf(err error) string {
	if errors.Is(err, ssrf.ErrProhibitedIP) || errors.Is(err, ssrf.ErrProhibitedNetwork) {
		return ReasonRefused
	}
	if e, ok := errors.AsType[*net.DNSError](err); ok && !e.IsTimeout {
		return ReasonName
	}
	if e, ok := errors.AsType[net.Error](err); ok && e.Timeout() || errors.Is(err, context.DeadlineExceeded) {
		return ReasonTimeout
	}
	if _, ok := errors.AsType[*tls.CertificateVerificationError](err); ok {
		return ReasonTLS
	}
	if _, ok := errors.AsType[tls.RecordHeaderError](err); ok {
		return ReasonTLS
	}
	if _, ok := errors.AsType[tls.AlertError](err); ok {
		return ReasonTLS
	}
	return ReasonConnection
}
