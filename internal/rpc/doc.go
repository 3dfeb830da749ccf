// Package rpc is the gRPC edge. A handler converts the request, calls one use
// case of internal/estimating and converts the answer; shapes are checked
// before by one interceptor, errors become statuses after in one table.
//
// A call passes, from the outside in: observe (request id, status, log),
// recovery, deadline, gate (who calls, and may he), answer limit, validation.
package rpc
