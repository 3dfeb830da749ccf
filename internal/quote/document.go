package quote

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"wattle/internal/book"
	"wattle/internal/money"
)

// Document is the canonical document of a quote: JSON in the form of RFC 8785,
// every number a string, lengths in nanometres, text in NFC. It holds the
// whole request, the prices it was resolved to, and the whole result with its
// derivations, so that it explains itself when the program that wrote it is
// gone. DEVELOPERS.md describes it for readers in other languages.
func Document(r Request, q *Quote) []byte {
	c := &canon{b: make([]byte, 0, 32<<10)}
	c.begin('{')
	c.int("fingerprint_version", FingerprintVersion)
	writeRequest(c, r)
	writeResult(c, q, r.RulesVersion)
	c.int("rules_version", int64(r.RulesVersion))
	c.end('}')
	return c.b
}

// Fingerprint is the SHA-256 of a document.
func Fingerprint(document []byte) [32]byte { return sha256.Sum256(document) }

func writeRequest(c *canon, r Request) {
	c.in("request", '{')
	c.date("as_of", r.AsOf)
	c.text("company", r.Company)
	c.text("currency", string(r.Currency))
	c.in("custom_lines", '[')
	for _, l := range r.Custom {
		c.begin('{')
		c.decimal("amount", l.Amount)
		c.text("description", l.Description)
		c.text("kind", string(l.Kind))
		c.end('}')
	}
	c.end(']')
	c.text("customer", r.Customer)
	c.text("external_reference", r.ExternalRef)
	c.in("head", '{')
	c.text("hash", hex.EncodeToString(r.Head.Hash[:]))
	c.int("revision", int64(r.Head.Revision))
	c.end('}')
	c.in("offices", '[')
	for _, o := range r.Offices {
		c.element(o)
	}
	c.end(']')
	writePrices(c, r.Prices)
	writePricing(c, r.Pricing)
	writeSite(c, r.Site)
	writeSpec(c, r.Spec, r.RulesVersion)
	c.date("valid_until", r.ValidUntil)
	c.end('}')
}

// ParseDocument reads a document back. ParseDocument and Document are inverse:
// what was written, read and written again is the same bytes.
func ParseDocument(document []byte) (Request, *Quote, error) {
	t, err := parseTree(document)
	if err != nil {
		return Request{}, nil, err
	}
	if v := t.int("fingerprint_version"); *t.err == nil && v != FingerprintVersion {
		return Request{}, nil, fmt.Errorf("the document has fingerprint version %d; this program reads %d", v, FingerprintVersion)
	}
	r := readRequest(t.at("request"), t.int("rules_version"))
	q := readResult(t.at("result"), t.int("rules_version"))
	return r, q, *t.err
}

// ParseLines reads no more of a document than its priced lines and the figures
// per foot.
func ParseLines(document []byte) ([]Line, PerFoot, error) {
	t, err := parseTree(document)
	if err != nil {
		return nil, PerFoot{}, err
	}
	lines, perFoot := readPriced(t.at("result"))
	return lines, perFoot, *t.err
}

func readRequest(t tree, rules int) Request {
	r := Request{
		Company: t.text("company"), Customer: t.text("customer"), ExternalRef: t.text("external_reference"),
		Currency: money.Currency(t.text("currency")), AsOf: t.date("as_of"), ValidUntil: t.date("valid_until"),
		Head:         book.Head{Revision: book.Revision(t.at("head").int("revision"))},
		RulesVersion: rules,
		Site:         readSite(t.at("site")),
		Spec:         readSpec(t.at("spec"), rules),
		Prices:       readPrices(t), Pricing: readPricing(t.at("pricing")),
	}
	hash, err := hex.DecodeString(t.at("head").text("hash"))
	if err != nil || copy(r.Head.Hash[:], hash) != len(r.Head.Hash) {
		t.at("head").at("hash").fail("is not a SHA-256 in hexadecimal")
	}
	for _, l := range t.all("custom_lines") {
		r.Custom = append(r.Custom, CustomLine{Description: l.text("description"), Kind: Kind(l.text("kind")), Amount: l.decimal("amount")})
	}
	for _, o := range t.all("offices") {
		r.Offices = append(r.Offices, o.string())
	}
	return r
}

func writePrices(c *canon, prices []book.Resolved) {
	c.in("prices", '[')
	for _, p := range prices {
		c.begin('{')
		c.text("item", p.Item)
		c.text("note", p.Note)
		c.in("offers", '[')
		for _, e := range p.Offers {
			c.begin('{')
			c.in("breaks", '[')
			for _, b := range e.Breaks {
				c.begin('{')
				c.decimal("from", b.MinQuantity)
				c.decimal("price", b.Price)
				c.end('}')
			}
			c.end(']')
			c.text("currency", string(e.Currency))
			c.text("description", e.Description)
			c.date("effective", e.Effective)
			c.text("office", e.Office)
			c.decimal("pack", e.Pack)
			c.int("revision", int64(e.Revision))
			c.text("supplier", e.Supplier)
			c.text("unit", e.Unit)
			c.end('}')
		}
		c.end(']')
		c.end('}')
	}
	c.end(']')
}

func readPrices(t tree) []book.Resolved {
	var prices []book.Resolved
	for _, p := range t.all("prices") {
		r := book.Resolved{Item: p.text("item"), Note: p.text("note")}
		for _, o := range p.all("offers") {
			e := book.Entry{
				Item: r.Item, Office: o.text("office"), Supplier: o.text("supplier"),
				Effective: o.date("effective"), Revision: book.Revision(o.int("revision")), State: book.Priced,
				Description: o.text("description"), Currency: money.Currency(o.text("currency")),
				Unit: o.text("unit"), Pack: o.decimal("pack"),
			}
			for _, b := range o.all("breaks") {
				e.Breaks = append(e.Breaks, book.Break{MinQuantity: b.decimal("from"), Price: b.decimal("price")})
			}
			r.Offers = append(r.Offers, e)
		}
		prices = append(prices, r)
	}
	return prices
}

func writePricing(c *canon, p Pricing) {
	c.in("pricing", '{')
	c.decimal("overhead_percent", p.OverheadPercent)
	if len(p.PreferredSuppliers) > 0 {
		c.in("preferred_suppliers", '[')
		for _, s := range p.PreferredSuppliers {
			c.element(s)
		}
		c.end(']')
	}
	c.text("profit", string(p.Profit))
	c.decimal("profit_percent", p.ProfitPercent)
	if p.StaleAfterDays != nil {
		c.int("stale_after_days", int64(*p.StaleAfterDays))
	}
	c.in("tax", '{')
	c.text("basis", string(p.Tax.Basis))
	c.in("kinds", '[')
	for _, k := range p.Tax.Kinds {
		c.element(string(k))
	}
	c.end(']')
	c.bool("per_line", p.Tax.PerLine)
	c.decimal("percent", p.Tax.Percent)
	c.text("rounding", string(p.Tax.Rounding))
	c.end('}')
	c.end('}')
}

func readPricing(t tree) Pricing {
	tax := t.at("tax")
	p := Pricing{
		OverheadPercent: t.decimal("overhead_percent"), Profit: Profit(t.text("profit")), ProfitPercent: t.decimal("profit_percent"),
		Tax: Tax{
			Percent: tax.decimal("percent"), Basis: TaxBasis(tax.text("basis")),
			Rounding: money.Rounding(tax.text("rounding")), PerLine: tax.bool("per_line"),
		},
	}
	for _, s := range t.allOrNone("preferred_suppliers") {
		p.PreferredSuppliers = append(p.PreferredSuppliers, s.string())
	}
	if t.has("stale_after_days") {
		p.StaleAfterDays = new(t.int("stale_after_days"))
	}
	for _, k := range tax.all("kinds") {
		p.Tax.Kinds = append(p.Tax.Kinds, Kind(k.string()))
	}
	return p
}
