package main

import (
	"testing"

	wattlev1 "wattle/api/wattle/v1"
)

func TestLineEnds(t *testing.T) {
	c := &wattlev1.Customer{}
	if err := decodeYAML("customer.yaml", []byte("display_name: Ash\r\ntelephone: \"1\"\r\n"), nil, c); err != nil || c.GetDisplayName() != "Ash" {
		t.Errorf("carriage returns before line feeds: %v, %v", c, err)
	}
	for text, want := range map[string]string{
		"\r0":                           "customer.yaml:1: U+000D ends a line here; save the file with line feeds",
		"display_name: Ash\n# a\u2028b": "customer.yaml:2: U+2028 ends a line here; save the file with line feeds",
		"display_name: \"a\u0085b\"":    "customer.yaml:1: U+0085 ends a line here; save the file with line feeds",
	} {
		if err := decodeYAML("customer.yaml", []byte(text), nil, c); err == nil || err.Error() != want {
			t.Errorf("%q: %v, expected %s", text, err, want)
		}
	}
}
