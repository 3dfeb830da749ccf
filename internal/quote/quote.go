// Package quote turns a take-off and the prices that were resolved for it into
// a priced quote, and into the document whose hash proves, years later, that
// the number is what it was.
package quote

import (
	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/layout"
	"wattle/internal/money"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// RulesVersion is the version of layout, take-off and pricing rules that this
// program makes quotes by. A changed rule raises it and stays callable under
// its old version; MinRulesVersion is the oldest this program can replay.
//
//	1  level ground, an unbroken line
//	2  the lay of the land, keep-outs and obstacles, pins, rule sets of
//	   alignment, arcs; levelVersion says what a spec of 1 is in its terms
//	3  families, options, conditions of the site, labour by tasks, checks;
//	   plainSpec says what a spec of 2 is in its terms
//	4  preferred suppliers, offers in other units than the take-off's, cautions
//	   on stale prices
const (
	RulesVersion    = 4
	MinRulesVersion = 1
)

// FingerprintVersion is the version of the document the fingerprint covers.
const FingerprintVersion = 1

// Request is everything a quote is computed from, with every default filled:
// what is stored, and what a replay starts from.
type Request struct {
	Company string
	// Offices is the path from the quoting office up to the root.
	Offices  []string
	Customer string // a reference only; people's details are kept elsewhere
	// ExternalRef is the caller's own record ("CRM-4411").
	ExternalRef string
	Currency    money.Currency
	// AsOf is the date the prices hold for; ValidUntil the last day the quote
	// may be accepted.
	AsOf, ValidUntil civil.Date
	Head             book.Head
	RulesVersion     int

	Site    site.Site
	Spec    spec.Spec
	Custom  []CustomLine
	Pricing Pricing
	// Prices are the resolved prices of every candidate item, in item order.
	Prices []book.Resolved
}

// CustomLine is a line the take-off does not count: a permit, core drilling, a
// hired machine, a discount.
type CustomLine struct {
	Description string
	Kind        Kind
	// Amount is positive; a Discount's is subtracted.
	Amount decimal.Decimal
}

// Kind is what a line is for cost and for tax.
type Kind string

const (
	Material    Kind = "material"
	LabourKind  Kind = "labour"
	Equipment   Kind = "equipment"
	Subcontract Kind = "subcontract"
	Fee         Kind = "fee"      // a permit: passed on at cost, without overhead or profit
	Discount    Kind = "discount" // off the price, pro rata on the taxable part
)

// Pricing says which offers make the cost, how that becomes price, and what is
// taxed.
type Pricing struct {
	// PreferredSuppliers are by name, as the book has them: of each item, the
	// first that has an offer gets the order; those not listed come after, the
	// cheapest among them. None: the cheapest.
	PreferredSuppliers []string
	// StaleAfterDays is for how long a price stands without a caution, counted
	// from its effective date to the date the quote's prices hold for; zero is
	// for ever.
	StaleAfterDays *int

	OverheadPercent decimal.Decimal // of cost
	Profit          Profit
	ProfitPercent   decimal.Decimal
	Tax             Tax
}

// Profit is markup on cost + overhead, or margin on price; never confused.
type Profit string

const (
	Markup Profit = "markup"
	Margin Profit = "margin"
)

// Tax says what falls under tax and how it is rounded.
type Tax struct {
	Percent decimal.Decimal
	Basis   TaxBasis
	// Kinds are the kinds of line that are taxable, in a fixed order.
	Kinds    []Kind
	Rounding money.Rounding
	// PerLine rounds each line's tax; otherwise the invoice's [TAX-4].
	PerLine bool
}

// TaxBasis is what the tax percentage is of.
type TaxBasis string

const (
	OnPrice        TaxBasis = "price"
	OnMaterialCost TaxBasis = "material-cost"
)

// Quote is the priced answer.
type Quote struct {
	Layout  *layout.Layout
	Takeoff *takeoff.Takeoff
	Lines   []Line
	Totals  Totals
	PerFoot PerFoot
	// Cautions are the layout's, the take-off's and the quote's own.
	Cautions []layout.Caution
	// Checks are the advisory checks of the spec and the site's conditions; a
	// quote of rules version 2 or before has none.
	Checks []check.Result
}

// Line is one priced line. Cost = Quantity x UnitPrice, exact; Price is its
// share of the price before discount and tax.
type Line struct {
	Item, Description string
	Category          takeoff.Category // empty for custom lines
	Kind              Kind
	Quantity          decimal.Decimal
	Unit              takeoff.Unit // it is sold by: takeoff.Line.OrderedIn
	UnitPrice         decimal.Decimal
	Supplier          string
	Effective         civil.Date    // of the entry that priced it
	EntryRevision     book.Revision // of the same
	Cost, Price, Tax  decimal.Decimal
	Taxable           bool
}

// Totals are rounded to the currency's minor unit, each after summing.
type Totals struct {
	Material, Labour, Equipment, Subcontract decimal.Decimal
	Cost                                     decimal.Decimal
	Overhead, Profit                         decimal.Decimal
	Fees, Discount                           decimal.Decimal
	// Net is the price before tax.
	Net, Taxable, Tax, Total decimal.Decimal
}

// PerFoot are figures per foot of fence, to 4 decimals: over the stretches on
// centre, and over stretches and gate spans.
type PerFoot struct {
	NetFeet, GateFeet              decimal.Decimal
	MaterialNet, MaterialWithGates decimal.Decimal
	PriceNet, PriceWithGates       decimal.Decimal
}
