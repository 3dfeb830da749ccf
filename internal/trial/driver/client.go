package driver

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// client does one thing after the other, as a person would.
type client struct {
	*Driver
	number int
	key    int
	server int // which of the connections
	count  int // of request ids
}

func (d *Driver) client(number int) *client {
	return &client{Driver: d, number: number, key: number % len(d.config.Keys), server: number % len(d.conns)}
}

// do writes an intent down, sends it until it is acknowledged and writes down
// the answer. It ends with errOutOfPatience where ctx ends first, and with
// another error where the request was refused.
func (c *client) do(ctx context.Context, intent Entry) (*Answer, error) {
	intent.Key = c.key
	if err := c.config.Ledger.Add(intent); err != nil {
		return nil, err
	}
	return c.insist(ctx, intent)
}

// insist is do for an intent that is written down.
func (c *client) insist(ctx context.Context, intent Entry) (*Answer, error) {
	for try := 0; ; try++ {
		limited, cancel := context.WithTimeout(ctx, c.config.Try)
		began := time.Now()
		answer, err := c.send(limited, intent)
		cancel()
		c.timeline.add(time.Now(), time.Since(began), err)
		switch {
		case err == nil:
			return answer, c.config.Ledger.Add(Entry{ID: intent.ID, Answer: answer})
		case ctx.Err() != nil:
			return nil, errOutOfPatience
		case final(err):
			refused := fmt.Errorf("%s %s was refused: %w", intent.Call, intent.ID, err)
			return nil, errors.Join(refused, c.config.Ledger.Add(Entry{ID: intent.ID, Refused: err.Error()}))
		}
		if status.Code(err) == codes.Unavailable {
			c.server = (c.server + 1) % len(c.conns)
		}
		select {
		case <-time.After(wait(err, try)):
		case <-ctx.Done():
			return nil, errOutOfPatience
		}
	}
}

// final reports that a request will not be done however often it is sent. Every
// other error may come after the request was done: an INTERNAL too, though none
// should come.
func final(err error) bool {
	switch status.Code(err) {
	case codes.InvalidArgument, codes.NotFound, codes.AlreadyExists, codes.PermissionDenied, codes.Unauthenticated,
		codes.FailedPrecondition, codes.OutOfRange, codes.Unimplemented, codes.DataLoss:
		return true
	default:
		return false
	}
}

// wait is how long to wait before the next try: what the service asks for, else
// from 50 ms doubling to 1 s, each time between half of it and the whole, so that
// clients do not come back all at once.
func wait(err error, try int) time.Duration {
	for _, detail := range status.Convert(err).Details() {
		if info, ok := detail.(*errdetails.RetryInfo); ok {
			return min(info.GetRetryDelay().AsDuration(), 10*time.Second)
		}
	}
	most := min(50*time.Millisecond<<min(try, 5), time.Second)
	return most/2 + rand.N(most/2) //nolint:gosec // a wait is no secret
}

// send tries an intent once.
func (c *client) send(ctx context.Context, e Entry) (*Answer, error) {
	ctx = c.bearing(ctx, e.Key)
	conn := c.conns[c.server]
	quotes := wattlev1.NewQuoteServiceClient(conn)
	switch e.Call {
	case Create:
		return quoted(ctx, e, &wattlev1.CreateQuoteRequest{}, quotes.CreateQuote)
	case Revise:
		return quoted(ctx, e, &wattlev1.ReviseQuoteRequest{}, quotes.ReviseQuote)
	case Issue:
		return quoted(ctx, e, &wattlev1.IssueQuoteRequest{}, quotes.IssueQuote)
	case Accept:
		return quoted(ctx, e, &wattlev1.AcceptQuoteRequest{}, quotes.AcceptQuote)
	case Decline:
		return quoted(ctx, e, &wattlev1.DeclineQuoteRequest{}, quotes.DeclineQuote)
	case Import:
		return imported(ctx, e, wattlev1.NewPriceBookServiceClient(conn))
	default:
		return nil, fmt.Errorf("the ledger has a call %q, which this driver does not know", e.Call)
	}
}

// bearing is ctx with a key.
func (d *Driver) bearing(ctx context.Context, key int) context.Context {
	return metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+d.config.Keys[key%len(d.config.Keys)])
}

// quoted makes a call whose answer is a quote.
func quoted[Q proto.Message, A interface{ GetQuote() *wattlev1.Quote }](ctx context.Context, e Entry, req Q,
	call func(context.Context, Q, ...grpc.CallOption) (A, error),
) (*Answer, error) {
	if err := proto.Unmarshal(e.Request[0], req); err != nil {
		return nil, err
	}
	answer, err := call(ctx, req)
	if err != nil {
		return nil, err
	}
	return answerOf(answer.GetQuote()), nil
}

func answerOf(q *wattlev1.Quote) *Answer {
	return &Answer{Name: q.GetName(), Fingerprint: q.GetFingerprint(), State: q.GetState().String(), Sequence: q.GetSequence(), ETag: q.GetEtag()}
}

func imported(ctx context.Context, e Entry, book wattlev1.PriceBookServiceClient) (*Answer, error) {
	ctx, cancel := context.WithCancel(ctx) // ends the stream where it is left early
	defer cancel()
	stream, err := book.ImportPrices(ctx)
	if err != nil {
		return nil, err
	}
	for _, b := range e.Request {
		req := &wattlev1.ImportPricesRequest{}
		if err := proto.Unmarshal(b, req); err != nil {
			return nil, err
		}
		if stream.Send(req) != nil {
			break // the answer says why
		}
	}
	answer, err := stream.CloseAndRecv()
	if err != nil {
		return nil, err
	}
	if !answer.GetApplied() {
		return nil, fmt.Errorf("the import %s changed nothing, and each of them brings an item of its own", e.ID)
	}
	return &Answer{Revision: answer.GetRevision(), Hash: answer.GetHeadHash()}, nil
}
