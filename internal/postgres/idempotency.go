package postgres

import (
	"context"
	"encoding/json"
	"errors"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// result is what a call made, as table idempotency keeps it.
type result struct {
	Quote string `json:"quote,omitempty"`
	// Of an import: the head's revision after it, whether the import added
	// it, and how many entries the book held already.
	Revision  book.Revision `json:"revision,omitempty"`
	Applied   bool          `json:"applied,omitempty"`
	Unchanged int           `json:"unchanged,omitempty"`
	// Of the start of an import in parts: its id.
	Import string `json:"import,omitempty"`
	// Of a saved or withdrawn spec: the version that was the answer; Applied
	// says whether the call made it.
	Spec    string `json:"spec,omitempty"`
	Version int    `json:"version,omitempty"`
	// Of a changed office, with its Version; of a made or revoked key.
	Office string `json:"office,omitempty"`
	Key    string `json:"key,omitempty"`
	// Of a customer: who, and the version that was the answer.
	Customer string `json:"customer,omitempty"`
	// Of what was done to a webhook: which; of a ping its event; of a replay
	// how many deliveries.
	Webhook string `json:"webhook,omitempty"`
	Event   string `json:"event,omitempty"`
	Count   int    `json:"count,omitempty"`
}

// earlier is the result of a call with this key that has succeeded, or nil. A
// call without a request id is never repeated. Where commits wait for a second
// machine, the call may have been given up while it waited; an empty message in
// the write-ahead log makes this transaction wait for it too, so that whoever is
// told the result can rely on it.
func earlier(ctx context.Context, q querier, key estimating.RequestKey) (*result, error) {
	if key.RequestID == "" {
		return nil, nil
	}
	var hash, stored []byte
	err := q.QueryRow(ctx, `
		select request_hash, result::text, pg_logical_emit_message(true, 'wattle', '')::text from idempotency
		where company = $1 and principal = $2 and method = $3 and request_id = $4`,
		key.Company, key.Principal, key.Method, key.RequestID).Scan(&hash, &stored, nil)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return nil, nil
	case err != nil:
		return nil, err
	case [32]byte(hash) != key.Hash:
		return nil, requestReused(key)
	}
	var r result
	if err := json.Unmarshal(stored, &r); err != nil {
		return nil, err
	}
	return &r, nil
}

func requestReused(key estimating.RequestKey) error {
	return fault.New(fault.AlreadyExists, "REQUEST_ID_REUSED",
		"the request id %q was used for another request; use a new one", key.RequestID).With("requestId", key.RequestID)
}

// claim records a call's result in the transaction that makes it. It reports
// false where another call with this key was first; it waits for that call to
// end, so earlier then finds its result.
func claim(ctx context.Context, q querier, key estimating.RequestKey, r result) (bool, error) {
	if key.RequestID == "" {
		return true, nil
	}
	stored, err := json.Marshal(r)
	if err != nil {
		return false, err
	}
	tag, err := q.Exec(ctx, `
		insert into idempotency (company, principal, method, request_id, request_hash, result)
		values ($1, $2, $3, $4, $5, $6::text::jsonb)
		on conflict on constraint idempotency_pkey do nothing`,
		key.Company, key.Principal, key.Method, key.RequestID, key.Hash[:], string(stored))
	return tag.RowsAffected() == 1, err
}

// claimFirst keeps the answer of who holds the lock of what he changed and found
// no answer: he is the first with this request, so a claim that is there already
// is of another.
func claimFirst(ctx context.Context, q querier, key estimating.RequestKey, r result) error {
	first, err := claim(ctx, q, key, r)
	if err != nil || first {
		return err
	}
	if _, err := earlier(ctx, q, key); err != nil {
		return err
	}
	return lostRequest()
}

// lostRequest: an answer was there a moment ago, and nobody may delete it.
func lostRequest() error {
	return fault.New(fault.Internal, "REQUEST_LOST", "the first answer to this request id cannot be read")
}
