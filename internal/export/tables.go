package export

// Tables are all kinds of export.
func Tables() []Table { return []Table{Prices, PriceList, QuoteLines} }

// Prices is the book as it was written: a row for each quantity break of each
// entry, by revision, item, office, supplier, effective date and quantity.
var Prices = Table{
	Name:    "prices",
	Meaning: "every entry of the price book, a row for each quantity break; entries without a price have one row",
	Columns: []Column{
		{Name: "revision", Type: Integer, Meaning: "the book revision that brought the entry: when it was learned"},
		{Name: "item", Type: Text, Meaning: "the price-book item"},
		{Name: "office", Type: Text, Meaning: "the office whose entry it is; main is the company's own"},
		{Name: "supplier", Type: Text, Meaning: "who sells it; may be empty"},
		{Name: "effective", Type: Date, Meaning: "the first day the entry holds"},
		{Name: "state", Type: Text, Meaning: "priced; withdrawn, no price from then on; or inherit, the price of the office above holds"},
		{Name: "description", Type: Text, Meaning: "for people"},
		{Name: "currency", Type: Text, Meaning: "ISO 4217; empty unless priced"},
		{Name: "unit", Type: Text, Meaning: "what a price is for, such as each; empty unless priced"},
		{Name: "pack", Type: Price, Optional: true, Unit: "unit", Meaning: "the least quantity sold; null unless priced"},
		{Name: "min_quantity", Type: Price, Optional: true, Unit: "unit", Meaning: "the order quantity from which the price holds; null unless priced"},
		{Name: "price", Type: Price, Optional: true, Unit: "currency per unit", Meaning: "null unless priced"},
	},
}

// PriceList is what holds at an office on a day: a row for each quantity break of
// the entry in force of each item and supplier, by item, supplier and quantity.
var PriceList = Table{
	Name:    "price-list",
	Meaning: "the price list in force at an office on a day, a row for each item, supplier and quantity break",
	Columns: []Column{
		{Name: "as_of", Type: Date, Meaning: "the day the list is of"},
		{Name: "at_office", Type: Text, Meaning: "the office the list is of"},
		{Name: "item", Type: Text, Meaning: "the price-book item"},
		{Name: "supplier", Type: Text, Meaning: "who sells it; may be empty"},
		{Name: "min_quantity", Type: Price, Unit: "unit", Meaning: "the order quantity from which the price holds"},
		{Name: "price", Type: Price, Unit: "currency per unit", Meaning: "what a unit costs"},
		{Name: "currency", Type: Text, Meaning: "ISO 4217"},
		{Name: "unit", Type: Text, Meaning: "what a price is for, such as each"},
		{Name: "pack", Type: Price, Unit: "unit", Meaning: "the least quantity sold"},
		{Name: "description", Type: Text, Meaning: "for people"},
		{Name: "office", Type: Text, Meaning: "the office whose entry it is, at_office or one above"},
		{Name: "effective", Type: Date, Meaning: "the first day the entry holds"},
		{Name: "revision", Type: Integer, Meaning: "the book revision that brought the entry"},
	},
}

// QuoteLines is what was quoted: a row for each line of each quote, by created,
// quote and line.
var QuoteLines = Table{
	Name:    "quote-lines",
	Meaning: "the lines of quotes, a row each; amounts are in the line's currency",
	Columns: []Column{
		{Name: "quote", Type: Text, Meaning: "the quote, as companies/{company}/quotes/{quote}"},
		{Name: "line", Type: Integer, Meaning: "the line's place in its quote, from 1"},
		{Name: "office", Type: Text, Meaning: "the quote's office"},
		{Name: "state", Type: Text, Meaning: "where the quote stood when the row was read: draft, issued, accepted, declined, expired or void"},
		{Name: "created", Type: Timestamp, Unit: "UTC", Meaning: "when the quote was made"},
		{Name: "as_of", Type: Date, Meaning: "the day its prices hold for"},
		{Name: "revision", Type: Integer, Meaning: "the book revision it was priced from"},
		{Name: "item", Type: Text, Meaning: "the price-book item; empty for custom lines"},
		{Name: "description", Type: Text, Meaning: "for people"},
		{Name: "category", Type: Text, Meaning: "the take-off's category; empty for custom lines"},
		{Name: "kind", Type: Text, Meaning: "material, labour, equipment, subcontract, fee or discount"},
		{Name: "quantity", Type: Amount, Optional: true, Unit: "unit", Meaning: "what is ordered"},
		{Name: "unit", Type: Text, Meaning: "what it is sold by; empty for custom lines"},
		{Name: "currency", Type: Text, Meaning: "ISO 4217"},
		{Name: "unit_price", Type: Amount, Optional: true, Unit: "currency per unit", Meaning: "what a unit costs us; null to readers"},
		{Name: "cost", Type: Amount, Optional: true, Unit: "currency", Meaning: "quantity x unit price, exactly; null to readers"},
		{Name: "price", Type: Amount, Optional: true, Unit: "currency", Meaning: "the line's share of the price, before discount and tax"},
		{Name: "tax", Type: Amount, Optional: true, Unit: "currency", Meaning: "the line's share of the tax"},
		{Name: "supplier", Type: Text, Meaning: "who sells it; empty for custom lines, and to readers"},
		{Name: "effective", Type: Date, Optional: true, Meaning: "from when its price holds; null for custom lines, and to readers"},
		{Name: "entry_revision", Type: Integer, Optional: true, Meaning: "the book revision that brought its price; null for custom lines, and to readers"},
		{Name: "net_feet", Type: Amount, Unit: "ft", Meaning: "the stretches of the whole quote on centre, gates apart: the same on each of its lines"},
	},
}
