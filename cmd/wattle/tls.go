package main

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"os"
	"sync"
	"time"

	"google.golang.org/grpc/credentials"
)

// serverTLS secures connections with a certificate and its key from PEM files.
// Files that are replaced, as when a certificate is renewed, are read again.
func serverTLS(certFile, keyFile string) (*tls.Config, error) {
	pair := &keyPair{certFile: certFile, keyFile: keyFile}
	if _, err := pair.current(nil); err != nil {
		return nil, fmt.Errorf("read the TLS certificate: %w", err)
	}
	return &tls.Config{GetCertificate: pair.current, MinVersion: tls.VersionTLS12}, nil
}

type keyPair struct {
	certFile, keyFile string
	mu                sync.Mutex
	read              time.Time // the certificate file's, as of the last reading
	cert              *tls.Certificate
}

func (p *keyPair) current(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	info, err := os.Stat(p.certFile)
	if err == nil && p.cert != nil && info.ModTime().Equal(p.read) {
		return p.cert, nil
	}
	var cert tls.Certificate
	if err == nil {
		cert, err = tls.LoadX509KeyPair(p.certFile, p.keyFile)
	}
	switch {
	case err == nil:
		p.cert, p.read = &cert, info.ModTime()
	case p.cert == nil:
		return nil, err
	}
	// Half-written files: the old certificate serves until the new one is whole.
	return p.cert, nil
}

// clientTLS trusts the authorities in a PEM file, or the system's where it is
// empty.
func clientTLS(caFile string) (credentials.TransportCredentials, error) {
	config := &tls.Config{MinVersion: tls.VersionTLS12}
	if caFile != "" {
		text, err := os.ReadFile(caFile)
		if err != nil {
			return nil, fmt.Errorf("read the authorities: %w", err)
		}
		config.RootCAs = x509.NewCertPool()
		if !config.RootCAs.AppendCertsFromPEM(text) {
			return nil, fmt.Errorf("%s holds no certificate in PEM form", caFile)
		}
	}
	return credentials.NewTLS(config), nil
}
