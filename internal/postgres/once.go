package postgres

import (
	"context"

	"wattle/internal/estimating"
)

// once runs do and keeps its result under the key, and reports true; where a
// call with this key has succeeded, that call's result is the answer. Calls with
// one key wait for each other.
func once(ctx context.Context, q querier, key estimating.RequestKey, do func() (result, error)) (result, bool, error) {
	if key.RequestID != "" {
		if err := lockName(ctx, q, "request/"+key.Company+"/"+key.Principal+"/"+key.Method+"/"+key.RequestID); err != nil {
			return result{}, false, err
		}
	}
	was, err := earlier(ctx, q, key)
	if err != nil {
		return result{}, false, err
	}
	if was != nil {
		return *was, false, nil
	}
	r, err := do()
	if err != nil {
		return result{}, false, err
	}
	return r, true, claimFirst(ctx, q, key, r)
}
