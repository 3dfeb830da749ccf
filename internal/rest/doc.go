// Package rest is the API over HTTP and JSON, for callers that speak no gRPC.
// It is a client of the service like any other: every call goes over a
// connection, through all of the service's interceptors, with the caller's own
// Authorization. The rules in api/wattle/v1/http.yaml say which address is
// which RPC; the code that follows them is generated beside the protos.
//
// What is done here is what HTTP needs and gRPC has not: bodies and addresses
// are read strictly, errors are told in one form and by JSON names, streams
// come as lines.
package rest
