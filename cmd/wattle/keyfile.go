package main

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"wattle/internal/auth"
	"wattle/internal/localpg"
)

// newSecret is a key's secret: 256 random bits behind a prefix that finds it
// where it should not be.
func newSecret() string {
	var b [32]byte
	_, _ = rand.Read(b[:]) // never fails
	return auth.SecretPrefix + base64.RawURLEncoding.EncodeToString(b[:])
}

// readSecret reads a key file, which holds a secret and nothing else.
func readSecret(path string) (string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("read the key file: %w", err)
	}
	secret := strings.TrimSpace(string(text))
	if len(secret) < 32 || strings.ContainsAny(secret, " \t\r\n") {
		return "", fmt.Errorf("%s holds no key: expected one word of at least 32 characters", path)
	}
	return secret, nil
}

// writeSecret makes a key file that only its owner may read. It never writes
// over one.
func writeSecret(path, secret string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(secret + "\n")
	return errors.Join(err, f.Close())
}

// companyKeyFile is where a company's key is kept for client commands that name
// no file.
func companyKeyFile(company string) (string, error) {
	dir, err := os.UserConfigDir()
	return filepath.Join(dir, "wattle", company+".key"), err
}

// localOperatorFile is where serve --local keeps the operator's key.
func localOperatorFile(dir string) string { return filepath.Join(dir, "operator.key") }

// localOperator reads the operator's key of a private Postgres, and makes one
// the first time.
func localOperator(dir string) (string, error) {
	path := localOperatorFile(dir)
	if err := writeSecret(path, newSecret()); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	}
	return readSecret(path)
}

// defaultKeyFile is the key file that a command uses where none is named: the
// company's, or for the operator's commands that of this machine's own service.
// Empty where there is none.
func defaultKeyFile(company string, operator bool) string {
	var path string
	var err error
	if operator {
		path, err = localpg.DefaultDir()
		path = localOperatorFile(path)
	} else {
		path, err = companyKeyFile(company)
	}
	if err != nil {
		return ""
	}
	if _, err := os.Stat(path); err != nil {
		return ""
	}
	return path
}

// bearer sends a key with every call.
type bearer string

// GetRequestMetadata implements credentials.PerRPCCredentials.
func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	return map[string]string{"authorization": "Bearer " + string(b)}, nil
}

// RequireTransportSecurity implements credentials.PerRPCCredentials. Whether a
// key may travel in the clear is decided where the address is known, in dial.
func (b bearer) RequireTransportSecurity() bool { return false }
