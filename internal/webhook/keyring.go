package webhook

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"wattle/internal/fault"
)

const (
	keySize = 32 // AES-256
	// secretSize is that of a signing secret [Standard Webhooks: 24 to 64
	// bytes].
	secretSize   = 32
	secretPrefix = "whsec_"
)

// Keyring seals signing secrets, so that who has the database alone cannot sign.
// The first key seals and each of them opens, so a key is replaced by writing a
// new one before it. A nil Keyring has no key.
type Keyring struct{ keys []cipher.AEAD }

// ParseKeyring reads a key file: each line the base64 of 32 random bytes; empty
// lines and those that start with # are left out.
func ParseKeyring(text string) (*Keyring, error) {
	k := &Keyring{}
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, err := base64.StdEncoding.DecodeString(line)
		if err != nil || len(key) != keySize { // the line is a secret: it is not shown
			return nil, fmt.Errorf("line %d: expected the base64 of %d random bytes, such as `head -c %d /dev/urandom | base64` writes", n, keySize, keySize)
		}
		block, err := aes.NewCipher(key)
		if err != nil {
			return nil, err
		}
		aead, err := cipher.NewGCMWithRandomNonce(block)
		if err != nil {
			return nil, err
		}
		k.keys = append(k.keys, aead)
	}
	if len(k.keys) == 0 {
		return nil, errors.New("there is no key in it")
	}
	return k, nil
}

// NewKey is a line for a key file.
func NewKey() string {
	key := make([]byte, keySize)
	_, _ = rand.Read(key) // never fails
	return base64.StdEncoding.EncodeToString(key)
}

// NewSecret makes a signing secret: as the receiver is shown it, and sealed for
// this webhook.
func (k *Keyring) NewSecret(company, webhook string) (shown string, sealed []byte, err error) {
	if k == nil {
		return "", nil, fault.New(fault.Refused, "WEBHOOK_KEY_MISSING",
			"the service has no key to keep a webhook's secret under: whoever runs it names one with --webhook-key-file")
	}
	secret := make([]byte, secretSize)
	_, _ = rand.Read(secret)                                           // never fails
	sealed = k.keys[0].Seal(nil, nil, secret, owner(company, webhook)) //nolint:gosec // the nonce is random, and made by the cipher
	return secretPrefix + base64.StdEncoding.EncodeToString(secret), sealed, nil
}

// Open gives a secret back, to sign with.
func (k *Keyring) Open(company, webhook string, sealed []byte) ([]byte, error) {
	if k == nil {
		return nil, errors.New("there is no key to open a webhook's secret with")
	}
	for _, key := range k.keys {
		if secret, err := key.Open(nil, nil, sealed, owner(company, webhook)); err == nil {
			return secret, nil
		}
	}
	return nil, errors.New("a webhook's secret was sealed with a key that is not in the key file, or for another webhook")
}

// owner is authenticated with the secret: moved to another webhook, it does not
// open.
func owner(company, webhook string) []byte {
	return []byte("wattle webhook secret\x00" + company + "\x00" + webhook)
}
