// Package driver is a load of clients that keeps its own books. Each client
// makes quotes, takes them through their life and imports prices, as an office
// would; what it means to do and what it was told stands in a ledger, a file that
// is on disk before the next step. An error that leaves open whether a request
// was done is answered as a client should: by the same request again, with the
// same request id, until it is acknowledged. Verify then holds the service
// against the ledger.
//
// A driver needs a company of its own, in which nobody else makes quotes or
// imports prices.
package driver
