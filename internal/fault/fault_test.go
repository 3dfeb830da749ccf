package fault

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"strings"
	"testing"
)

// Every kind has a name of its own, so that a table over Kinds has no hole.
func TestKindsAreNamed(t *testing.T) {
	seen := map[string]Kind{}
	for i, kind := range Kinds() {
		name := kind.String()
		if other, taken := seen[name]; taken || name == "" || strings.HasPrefix(name, "kind(") {
			t.Errorf("kind %d is called %q, like %d", i, name, other)
		}
		seen[name] = kind
	}
	if last := Kinds()[len(Kinds())-1]; last != Denied {
		t.Errorf("the last kind is %v, want %v", last, Denied)
	}
	if got := (Denied + 1).String() + " " + Kind(-1).String(); got != "kind(12) kind(-1)" {
		t.Errorf("kinds past the ends are called %q", got)
	}
}

func TestKindOf(t *testing.T) {
	refused := New(Refused, "QUOTE_VOID", "the quote is void")
	for name, c := range map[string]struct {
		err  error
		want Kind
	}{
		"one of ours":           {refused, Refused},
		"wrapped by fmt":        {fmt.Errorf("issuing: %w", refused), Refused},
		"joined":                {errors.Join(io.EOF, refused), Refused},
		"the outer of two":      {Wrap(refused, Unavailable, "TRY_LATER", "later"), Unavailable},
		"an error of elsewhere": {io.EOF, Internal},
		"none":                  {nil, Internal},
	} {
		if got := KindOf(c.err); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// The cause is there for the log and never in the text.
func TestWrapKeepsTheCauseQuiet(t *testing.T) {
	cause := fmt.Errorf("pq: password rejected: %w", io.ErrUnexpectedEOF)
	err := Wrap(cause, Unavailable, "STORE_UNAVAILABLE", "the store of %s does not answer", "quotes")
	if got := err.Error(); got != "the store of quotes does not answer" {
		t.Errorf("the message is %q", got)
	}
	if !errors.Is(err, io.ErrUnexpectedEOF) || !errors.Is(err, cause) {
		t.Error("the cause is lost")
	}
	if New(Internal, "X", "x").Unwrap() != nil {
		t.Error("New has a cause")
	}
}

func TestErrorCarriesData(t *testing.T) {
	err := New(AlreadyExists, "REQUEST_ID_REUSED", "the request id was used for another request").
		About("quote", "companies/a/quotes/7").With("requestId", "r-1").With("method", "CreateQuote")
	if err.ResourceType != "quote" || err.ResourceName != "companies/a/quotes/7" {
		t.Errorf("it is about %q %q", err.ResourceType, err.ResourceName)
	}
	if want := map[string]string{"requestId": "r-1", "method": "CreateQuote"}; !maps.Equal(err.Meta, want) {
		t.Errorf("its data are %v, want %v", err.Meta, want)
	}
}
