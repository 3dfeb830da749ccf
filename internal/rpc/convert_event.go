package rpc

import (
	"strconv"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// eventRequest is what the calls that read events have in common.
type eventRequest interface {
	GetParent() string
	GetToken() string
	GetTypes() []string
	GetOffice() string
}

// eventFilterFromProto reads which events are wanted. A token is a position, in
// decimal.
func eventFilterFromProto(req eventRequest) (estimating.EventFilter, error) {
	f := estimating.EventFilter{Company: companyOf(req.GetParent()), Types: req.GetTypes(), Office: req.GetOffice()}
	v := &fault.List{}
	if token := req.GetToken(); token != "" {
		var err error
		if f.After, err = strconv.ParseInt(token, 10, 64); err != nil {
			v.Add("token", "expected the token of an event or a heartbeat, found %q", token)
		}
	}
	return f, v.Err()
}

func eventToken(position int64) string { return strconv.FormatInt(position, 10) }

func eventToProto(e estimating.Event) *wattlev1.Event {
	p := &wattlev1.Event{
		Id: e.ID, Type: e.Type, Subject: e.Subject, Sequence: e.Sequence, Office: e.Office, CreateTime: timestamppb.New(e.Time),
	}
	if e.Position > 0 {
		p.Token = eventToken(e.Position)
	}
	return p
}
