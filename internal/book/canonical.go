package book

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"
	"strconv"

	"github.com/govalues/decimal"
)

// AppendCanonical appends the one form of an entry that hashes cover, a JSON
// array of strings and a line feed:
//
//	["rail-2x4x8","main","","2026-03-01","priced","2x4 rail, 8 ft","USD","each","1",[["0","6.48"],["100","6.1"]]]
//
// in the order item, office, supplier, effective date, state, description,
// currency, unit, pack, breaks (least quantity and price). Numbers are plain
// decimals without zeros at the end; an entry without a price has "0" for its
// pack and no breaks. Strings are escaped as RFC 8785 does: only the quote, the
// backslash and control characters.
func (e Entry) AppendCanonical(b []byte) []byte {
	b = append(b, '[')
	for _, s := range [...]string{
		e.Item, e.Office, e.Supplier, e.Effective.String(), string(e.State),
		e.Description, e.Currency.String(), e.Unit, plain(e.Pack),
	} {
		b = append(appendString(b, s), ',')
	}
	b = append(b, '[')
	for i, br := range e.Breaks {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, '[')
		b = append(appendString(b, plain(br.MinQuantity)), ',')
		b = append(appendString(b, plain(br.Price)), ']')
	}
	return append(b, "]]\n"...)
}

// plain is d without zeros at the end of its decimals.
func plain(d decimal.Decimal) string { return d.Trim(0).String() }

func appendString(b []byte, s string) []byte {
	const short = "\b\t\n\f\r"
	const names = "btnfr"
	b = append(b, '"')
	for i := range len(s) {
		c := s[i]
		switch {
		case c == '"' || c == '\\':
			b = append(b, '\\', c)
		case c < 0x20:
			if n := slices.Index([]byte(short), c); n >= 0 {
				b = append(b, '\\', names[n])
			} else {
				b = fmt.Appendf(b, `\u%04x`, c)
			}
		default:
			b = append(b, c)
		}
	}
	return append(b, '"')
}

// ContentHash is the SHA-256 of the canonical forms of a revision's entries,
// ordered by item, office, supplier and effective date (texts by their bytes).
// The order of entries does not matter.
func ContentHash(entries []Entry) [32]byte {
	h := NewContentHasher()
	for _, e := range slices.SortedFunc(slices.Values(entries), compareSlots) {
		h.Add(e)
	}
	return h.Sum()
}

// ContentHasher makes the ContentHash of entries that come one by one, in that
// order.
type ContentHasher struct {
	sum  hash.Hash
	line []byte
}

// NewContentHasher has seen no entries yet.
func NewContentHasher() *ContentHasher { return &ContentHasher{sum: sha256.New()} }

// Add takes the next entry.
func (h *ContentHasher) Add(e Entry) {
	h.line = e.AppendCanonical(h.line[:0])
	_, _ = h.sum.Write(h.line) // never fails
}

// Sum is the hash of the entries added.
func (h *ContentHasher) Sum() [32]byte { return [32]byte(h.sum.Sum(nil)) }

// Next is the head after a revision with that content hash: the SHA-256 of
// four lines, each ended by a line feed:
//
//	wattle.book.v1 "COMPANY"
//	REVISION
//	hash of the head before, in lower-case hex (64 zeros for the empty book)
//	content hash, in lower-case hex
//
// So whoever changes, drops or adds a row of the past changes every later
// hash.
func (h Head) Next(company string, content [32]byte) Head {
	next := h.Revision + 1
	b := append([]byte("wattle.book.v1 "), appendString(nil, company)...)
	b = append(b, '\n')
	b = strconv.AppendInt(b, int64(next), 10)
	b = append(b, '\n')
	b = append(hex.AppendEncode(b, h.Hash[:]), '\n')
	b = append(hex.AppendEncode(b, content[:]), '\n')
	return Head{Revision: next, Hash: sha256.Sum256(b)}
}
