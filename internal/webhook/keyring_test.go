package webhook

import (
	"bytes"
	"encoding/base64"
	"strings"
	"testing"

	"wattle/internal/fault"
)

func keyring(t *testing.T, lines ...string) *Keyring {
	t.Helper()
	k, err := ParseKeyring(strings.Join(lines, "\n"))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestSecretsAreSealed(t *testing.T) {
	first, second := NewKey(), NewKey()
	old := keyring(t, "# of 2026", "", first)
	shown, sealed, err := old.NewSecret("harrow", "h1")
	if err != nil {
		t.Fatal(err)
	}
	secret, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(shown, "whsec_"))
	if err != nil || len(secret) != 32 || !strings.HasPrefix(shown, "whsec_") {
		t.Fatalf("shown as %q, %v", shown, err)
	}
	if bytes.Contains(sealed, secret) {
		t.Error("the sealed form holds the secret")
	}
	for name, k := range map[string]*Keyring{"the key": old, "a newer key before it": keyring(t, second, first)} {
		if got, err := k.Open("harrow", "h1", sealed); err != nil || !bytes.Equal(got, secret) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, again, err := old.NewSecret("harrow", "h1")
	if err != nil || bytes.Equal(again, sealed) {
		t.Errorf("two secrets are the same, %v", err)
	}
	changed := bytes.Clone(sealed)
	changed[len(changed)-1] ^= 1
	for name, open := range map[string]func() ([]byte, error){
		"another key":     func() ([]byte, error) { return keyring(t, second).Open("harrow", "h1", sealed) },
		"another webhook": func() ([]byte, error) { return old.Open("harrow", "h2", sealed) },
		"another company": func() ([]byte, error) { return old.Open("larch", "h1", sealed) },
		"changed":         func() ([]byte, error) { return old.Open("harrow", "h1", changed) },
		"cut":             func() ([]byte, error) { return old.Open("harrow", "h1", sealed[:5]) },
		"no key":          func() ([]byte, error) { return (*Keyring)(nil).Open("harrow", "h1", sealed) },
	} {
		if got, err := open(); err == nil {
			t.Errorf("%s: opened as %x", name, got)
		}
	}
	if _, _, err := (*Keyring)(nil).NewSecret("harrow", "h1"); fault.KindOf(err) != fault.Refused {
		t.Errorf("without a key: %v", err)
	}
}

func TestBadKeyFiles(t *testing.T) {
	for _, text := range []string{"", "# nothing\n", "short", base64.StdEncoding.EncodeToString(make([]byte, 31)), NewKey() + "\nnot a key !"} {
		_, err := ParseKeyring(text)
		if err == nil {
			t.Errorf("%q is taken", text)
		} else if strings.Contains(err.Error(), "not a key") {
			t.Errorf("the error shows the line: %v", err)
		}
	}
}
