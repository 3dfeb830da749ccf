package rpc

import (
	"encoding/base64"
	"encoding/hex"
	"encoding/json"

	"google.golang.org/protobuf/proto"

	"wattle/internal/fault"
)

const (
	defaultPage = 100
	largestPage = 1000
)

func pageSize(asked int32) int {
	if asked == 0 {
		return defaultPage
	}
	return min(int(asked), largestPage)
}

// place is where a listing goes on, in the handler's own terms.
type place [2]string

// pageToken is a place as the caller carries it. It names the request it
// belongs to, so that a token brought to another listing is refused.
func pageToken(request proto.Message, at place) string {
	text, _ := json.Marshal([]string{scopeOf(request), at[0], at[1]}) // strings always marshal
	return base64.RawURLEncoding.EncodeToString(text)
}

// readPageToken gives the place back; nil for the empty token, the first page.
func readPageToken(request proto.Message, token string) (*place, error) {
	if token == "" {
		return nil, nil
	}
	var parts []string
	text, err := base64.RawURLEncoding.DecodeString(token)
	if err == nil {
		err = json.Unmarshal(text, &parts)
	}
	if err != nil || len(parts) != 3 {
		return nil, badPageToken("it is no token of this service")
	}
	if parts[0] != scopeOf(request) {
		return nil, badPageToken("it belongs to a list with another parent or filter")
	}
	return &place{parts[1], parts[2]}, nil
}

func badPageToken(why string) error {
	var v fault.List
	v.Add("page_token", "expected the next_page_token of an earlier answer to the same request: %s", why)
	return v.Err()
}

func scopeOf(request proto.Message) string {
	hash := requestHash(request, "page_size", "page_token")
	return string(request.ProtoReflect().Descriptor().Name()) + " " + hex.EncodeToString(hash[:8])
}

// pagedRequest is a request for one page of a list.
type pagedRequest interface {
	proto.Message
	GetPageSize() int32
	GetPageToken() string
}

// page reads one page of a list that goes on after a name, and gives the token
// of the next.
func page[T any](req pagedRequest, list func(after string, limit int) ([]T, error), name func(T) string) ([]T, string, error) {
	size := pageSize(req.GetPageSize())
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, "", err
	}
	after := ""
	if from != nil {
		after = from[0]
	}
	all, err := list(after, size+1)
	if err != nil || len(all) <= size {
		return all, "", err
	}
	return all[:size], pageToken(req, place{name(all[size-1])}), nil
}
