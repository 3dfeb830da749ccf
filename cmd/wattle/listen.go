package main

import (
	"context"
	"fmt"
	"net"
)

// listen listens on an address; where connections are not secured, only on one
// that this machine alone can reach, since keys would travel in the clear.
// Errors name the flag.
func listen(ctx context.Context, flag, address string, secured bool) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("%s: expected HOST:PORT such as %s, found %q", flag, defaultAddress, address)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if !secured && !loopback(host) {
		return nil, fmt.Errorf("%s %s: without TLS keys would travel in the clear, so the service listens on loopback only, such as %s; "+
			"give --tls-cert and --tls-key to listen elsewhere", flag, address, defaultAddress)
	}
	return (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(host, port))
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
