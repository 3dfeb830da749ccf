// Package jobs names the work that is done behind a call's back, and what each
// job carries: the company it is for, and ids. A job is inserted in the
// transaction that makes it necessary, or by the clock, and may run more than
// once.
package jobs

// Args is a job as it is stored. Kind names what is to be done and Queue where
// it waits; both are stored too, so they stay as they are.
type Args interface {
	Kind() string
	Queue() string
}

// The queues. Jobs of one queue wait for each other only.
const (
	Default  = "default" // what has no queue of its own
	Events   = "events"
	Webhooks = "webhooks"
	Impacts  = "impacts"
)

// Queues are all of them.
func Queues() []string { return []string{Default, Events, Webhooks, Impacts} }

// Event tells an event to whoever subscribed to it.
type Event struct {
	Company string `json:"company"`
	Event   string `json:"event"`
}

// Kind implements Args.
func (Event) Kind() string { return "event" }

// Queue implements Args.
func (Event) Queue() string { return Events }

// Delivery tells an event to one webhook.
type Delivery struct {
	Company string `json:"company"`
	Webhook string `json:"webhook"`
	Event   string `json:"event"`
}

// Kind implements Args.
func (Delivery) Kind() string { return "webhook_delivery" }

// Queue implements Args.
func (Delivery) Queue() string { return Webhooks }

// Expiry ends the issued quotes of every company whose validity has passed.
type Expiry struct{}

// Kind implements Args.
func (Expiry) Kind() string { return "expire_quotes" }

// Queue implements Args.
func (Expiry) Queue() string { return Default }

// Impact takes the next step in finding out what a revision of the book does to
// open quotes.
type Impact struct {
	Company  string `json:"company"`
	Revision int64  `json:"revision"`
}

// Kind implements Args.
func (Impact) Kind() string { return "impact" }

// Queue implements Args.
func (Impact) Queue() string { return Impacts }

// ImpactChunk finds it out for some of the quotes.
type ImpactChunk struct {
	Company  string `json:"company"`
	Revision int64  `json:"revision"`
	Chunk    int    `json:"chunk"`
}

// Kind implements Args.
func (ImpactChunk) Kind() string { return "impact_chunk" }

// Queue implements Args.
func (ImpactChunk) Queue() string { return Impacts }
