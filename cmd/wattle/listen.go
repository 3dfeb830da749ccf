package main

import (
	"context"
	"fmt"
	"net"
)

// listenLoopback listens where only this machine can call. The service knows
// no keys yet, so whoever reaches it may do everything.
func listenLoopback(ctx context.Context, address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("--listen: expected HOST:PORT such as %s, found %q", defaultAddress, address)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("--listen %s: the service has no keys, so whoever reaches it could read and write everything; "+
			"it listens on loopback only, such as %s", address, defaultAddress)
	}
	return (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(host, port))
}
