// Package auth says who calls and what he may do: API keys, the roles they
// carry, the offices they reach, and the least role of every method of the API.
package auth

import (
	"crypto/sha256"
	"slices"
	"strings"
	"time"

	"wattle/internal/fault"
	"wattle/internal/office"
)

// Role is how much a key may do. Each role may do all that the ones before it
// may, save the operator's, which stands apart.
type Role string

const (
	// Reader reads quotes and plans layouts; it sees no cost and no margin.
	Reader Role = "reader"
	// Estimator makes quotes and takes them through their life.
	Estimator Role = "estimator"
	// Pricer keeps prices and specs, and approves quotes under the floor.
	Pricer Role = "pricer"
	// Admin keeps offices and keys.
	Admin Role = "admin"
	// Operator runs the service: it makes companies and sees nothing of what
	// is theirs.
	Operator Role = "operator"
)

// Roles are the roles of keys, the least first.
func Roles() []Role { return []Role{Reader, Estimator, Pricer, Admin} }

// May reports whether a role may do what needs at least the other.
func (r Role) May(least Role) bool {
	if r == Operator || least == Operator {
		return r == least
	}
	ladder := Roles()
	return slices.Index(ladder, r) >= slices.Index(ladder, least) && slices.Contains(ladder, least)
}

// Key is an API key without its secret.
type Key struct {
	Company, ID, Office string
	Role                Role
	// WritesBelow: it writes in every office under its own too.
	WritesBelow          bool
	Title                string
	CreatedAt            time.Time
	CreatedBy            string    // the key that made it; empty for a company's first
	ExpiresAt, RevokedAt time.Time // zero: never
	RevokedBy            string
}

// SecretPrefix starts every secret, so that one that got into the wrong place
// can be searched for.
const SecretPrefix = "wattle_"

// Hash is what is stored of a secret. Secrets are 256 random bits, so a plain
// SHA-256 gives nothing to guess.
func Hash(secret string) [sha256.Size]byte { return sha256.Sum256([]byte(secret)) }

// Caller is who makes a call, and how far he reaches.
type Caller struct {
	// Company whose rows he sees; empty for the operator, and for calls that
	// need no company.
	Company string
	// Principal is the id of the key: calls are made once per principal and
	// request id.
	Principal string
	Office    string
	Role      Role
	// WritesBelow, see Key.
	WritesBelow bool
	// QuotesFromAbove: he sees the quotes of the offices under his own.
	QuotesFromAbove bool
	Tree            office.Tree
	// Everywhere: the service's own work, which is bound to the company alone.
	Everywhere bool
}

// ForCompany is the service itself at work for one company, such as verifying its
// whole history.
func ForCompany(company string) Caller {
	return Caller{Company: company, Principal: "service", Office: office.Main, Everywhere: true}
}

// PriceOffices are the offices whose prices the caller reads: those under his
// node, itself, and those above it.
func (c Caller) PriceOffices() []string {
	return slices.Concat(c.Tree.Below(c.Office), c.Tree.Path(c.Office)[min(1, len(c.Tree.Path(c.Office))):])
}

// QuoteOffices are the offices whose quotes the caller sees.
func (c Caller) QuoteOffices() []string {
	if c.QuotesFromAbove {
		return c.Tree.Below(c.Office)
	}
	return []string{c.Office}
}

// WriteOffices are the offices the caller writes at.
func (c Caller) WriteOffices() []string {
	if c.WritesBelow {
		return c.Tree.Below(c.Office)
	}
	return []string{c.Office}
}

// Writes is the office a caller writes at: the one asked for, or his own where
// that is empty. Denied (OFFICE_NOT_YOURS) where he does not write there;
// Invalid where it is removed.
func (c Caller) Writes(field, asked string) (string, error) {
	at := asked
	if at == "" {
		at = c.Office
	}
	if c.Everywhere {
		return at, nil
	}
	if !slices.Contains(c.WriteOffices(), at) {
		return "", fault.New(fault.Denied, "OFFICE_NOT_YOURS", "this key writes at office %s, and not at %s", c.Office, at)
	}
	if o, ok := c.Tree.Find(at); ok && o.Removed {
		v := &fault.List{}
		v.Add(field, "the office %q is removed", at)
		return "", v.Err()
	}
	return at, nil
}

// Reads is the office a caller reads prices at, as Writes.
func (c Caller) Reads(asked string) (string, error) {
	at := asked
	if at == "" {
		at = c.Office
	}
	if !c.Everywhere && !slices.Contains(c.PriceOffices(), at) {
		return "", fault.New(fault.Denied, "OFFICE_NOT_YOURS", "this key reads prices at office %s, above and below it, and not at %s", c.Office, at)
	}
	return at, nil
}

// Path is the way from an office up to the root, for the search of prices.
func (c Caller) Path(id string) []string {
	if path := c.Tree.Path(id); path != nil {
		return path
	}
	if id == office.Main {
		return []string{id}
	}
	return []string{id, office.Main}
}

// Manages reports whether an office lies in the caller's subtree.
func (c Caller) Manages(id string) bool {
	return c.Everywhere || slices.Contains(c.Tree.Below(c.Office), id)
}

// List writes offices as the database's settings take them.
func List(offices []string) string { return strings.Join(offices, ",") }
