package quote

import (
	"strconv"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/measure"
)

// canon appends JSON in the canonical form of RFC 8785 straight to bytes. The
// caller writes keys in ascending order; a test runs every document through a
// general RFC 8785 library and expects the same bytes. Numbers are strings:
// RFC 8785 numbers are doubles, which lose digits.
type canon struct {
	b    []byte
	some bool // something stands before on this level: a comma is due
}

func (c *canon) comma() {
	if c.some {
		c.b = append(c.b, ',')
	}
	c.some = true
}

// begin opens an object '{' or an array '['; end closes it.
func (c *canon) begin(bracket byte) {
	c.comma()
	c.b = append(c.b, bracket)
	c.some = false
}

func (c *canon) end(bracket byte) {
	c.b = append(c.b, bracket)
	c.some = true
}

// in begins the object or array that is the value of key.
func (c *canon) in(key string, bracket byte) {
	c.key(key)
	c.begin(bracket)
}

func (c *canon) key(k string) {
	c.comma()
	c.quoted(k)
	c.b = append(c.b, ':')
	c.some = false
}

func (c *canon) element(s string) {
	c.comma()
	c.quoted(s)
}

func (c *canon) text(k, s string) {
	c.key(k)
	c.quoted(s)
	c.some = true
}

func (c *canon) int(k string, n int64) {
	c.key(k)
	c.b = append(c.b, '"')
	c.b = strconv.AppendInt(c.b, n, 10)
	c.b = append(c.b, '"')
	c.some = true
}

func (c *canon) date(k string, d civil.Date) { c.text(k, d.String()) }

// length writes nanometres.
func (c *canon) length(k string, l measure.Length) { c.int(k, int64(l)) }

func (c *canon) lengths(k string, ls []measure.Length) {
	c.in(k, '[')
	for _, l := range ls {
		c.element(strconv.FormatInt(int64(l), 10))
	}
	c.end(']')
}

// decimal writes plain digits without zeros at the end of the fraction: "12.5".
func (c *canon) decimal(k string, d decimal.Decimal) { c.text(k, d.Trim(0).String()) }

func (c *canon) bool(k string, v bool) {
	c.key(k)
	c.b = strconv.AppendBool(c.b, v)
	c.some = true
}

// What is zero or empty is left out by the seven below: fields that most
// documents lack.

// unlessEmpty writes an object, and leaves it out where write writes nothing
// into it.
func (c *canon) unlessEmpty(k string, write func()) {
	before := *c
	c.in(k, '{')
	if write(); !c.some {
		*c = before
		return
	}
	c.end('}')
}

// list writes n objects, each by its own function.
func (c *canon) list(k string, n int, write func(i int)) {
	if n == 0 {
		return
	}
	c.in(k, '[')
	for i := range n {
		c.begin('{')
		write(i)
		c.end('}')
	}
	c.end(']')
}

func (c *canon) lengthUnlessZero(k string, l measure.Length) {
	if l != 0 {
		c.length(k, l)
	}
}

func (c *canon) intUnlessZero(k string, n int) {
	if n != 0 {
		c.int(k, int64(n))
	}
}

func (c *canon) decimalUnlessZero(k string, d decimal.Decimal) {
	if !d.IsZero() {
		c.decimal(k, d)
	}
}

func (c *canon) textUnlessEmpty(k, s string) {
	if s != "" {
		c.text(k, s)
	}
}

func (c *canon) boolUnlessFalse(k string, v bool) {
	if v {
		c.bool(k, v)
	}
}

// A nil value is left out.
func (c *canon) optionalLength(k string, l *measure.Length) {
	if l != nil {
		c.length(k, *l)
	}
}

func (c *canon) optionalBool(k string, v *bool) {
	if v != nil {
		c.bool(k, *v)
	}
}

func (c *canon) optionalDecimal(k string, d *decimal.Decimal) {
	if d != nil {
		c.decimal(k, *d)
	}
}

// quoted writes a JSON string with the escapes of RFC 8785 section 3.2.2.2 and
// no others; a byte that is not UTF-8 becomes U+FFFD.
func (c *canon) quoted(s string) {
	const hex = "0123456789abcdef"
	c.b = append(c.b, '"')
	if plain(s) { // nearly everything is
		c.b = append(c.b, s...)
		c.b = append(c.b, '"')
		return
	}
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			c.b = append(c.b, '\\', byte(r))
		case r == '\b':
			c.b = append(c.b, `\b`...)
		case r == '\t':
			c.b = append(c.b, `\t`...)
		case r == '\n':
			c.b = append(c.b, `\n`...)
		case r == '\f':
			c.b = append(c.b, `\f`...)
		case r == '\r':
			c.b = append(c.b, `\r`...)
		case r < ' ':
			c.b = append(c.b, '\\', 'u', '0', '0', hex[r>>4], hex[r&15])
		default:
			c.b = utf8.AppendRune(c.b, r)
		}
	}
	c.b = append(c.b, '"')
}

// plain reports whether a JSON string of s is s itself.
func plain(s string) bool {
	for i := range len(s) {
		if b := s[i]; b < ' ' || b == '"' || b == '\\' || b >= utf8.RuneSelf {
			return false
		}
	}
	return true
}
