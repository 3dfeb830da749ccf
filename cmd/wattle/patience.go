package main

import (
	"context"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/status"
)

// patient makes a call again that the service sent away with the time to come
// back at, as it does before anything is done, until the caller's own deadline.
func patient(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, opts ...grpc.CallOption) error {
	for {
		err := call(ctx, method, request, answer, conn, opts...)
		wait, told := comeBack(err)
		if !told {
			return err
		}
		if end, ok := ctx.Deadline(); ok && time.Until(end) < wait {
			return err // which says more than that the time is over
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return err
		}
	}
}

// comeBack is when to make a call again that failed, if at all.
func comeBack(err error) (time.Duration, bool) {
	for _, detail := range status.Convert(err).Details() {
		if retry, ok := detail.(*errdetails.RetryInfo); ok {
			return max(retry.GetRetryDelay().AsDuration(), time.Millisecond), true
		}
	}
	return 0, false
}
