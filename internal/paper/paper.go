package paper

import (
	"encoding/hex"
	"errors"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/quote"
)

// Kind is a document.
type Kind string

const (
	Proposal    Kind = "proposal"
	CrewSheet   Kind = "crew-sheet"
	CutList     Kind = "cut-list"
	OrderList   Kind = "order-list"
	PriceLetter Kind = "price-letter"
)

// Kinds lists them.
func Kinds() []Kind { return []Kind{Proposal, CrewSheet, CutList, OrderList, PriceLetter} }

// ForCustomer reports whether a document goes to the customer, and so names him.
func (k Kind) ForCustomer() bool { return k == Proposal || k == PriceLetter }

// Customer is who a document is for, as its details stand. Version 0 is nobody's
// details: then the quote's reference stands for the customer.
type Customer struct {
	Version          int
	Name             string
	Lines            []string // the address
	Email, Telephone string
}

// Option is one of the quotes that are offered side by side.
type Option struct {
	Ref, Name        string
	Fence            string // in words
	ValidUntil       civil.Date
	Net, Tax, Total  decimal.Decimal
	This, Acceptable bool // the quote itself; still open
}

// Input is what a document is made of.
type Input struct {
	Ref         string // the quote's id
	Made        civil.Date
	Draft       bool // it is not offered yet
	Fingerprint [32]byte
	Request     quote.Request
	Quote       *quote.Quote
	Customer    Customer
	// Options are those of the quote's group, itself among them; fewer than two
	// are not shown.
	Options []Option
	// Repricing and its last day of validity are a price letter's.
	Repricing  *quote.Repricing
	NewLastDay civil.Date
	Template   Template
}

// Result is a document.
type Result struct {
	PDF   []byte
	Pages int
	// Cautions are about the paper itself; see glyphs.cautions.
	Cautions []layout.Caution
}

// Make makes a document. The template has been validated. Invalid where the
// template asks for what is not known, Refused where its font cannot be used or
// what the document is about is missing.
func Make(k Kind, in Input) (out Result, err error) {
	if len(in.Template.Font) > 0 { // of which the PDF library may panic, although it was tried when it was saved
		defer func() {
			if recover() != nil {
				out, err = Result{}, fault.New(fault.Refused, "FONT_UNUSABLE", "the %s cannot be printed with the font of this template", k)
			}
		}()
	}
	in.Template = in.Template.WithDefaults()
	v := &fault.List{}
	in.Template.validateForm(v) // the caller may have chosen another
	if err := v.Err(); err != nil {
		return Result{}, err
	}
	write := k.writer()
	if write == nil {
		return Result{}, fault.New(fault.Refused, "PAPER_UNKNOWN", "there is no document %q; expected one of %v", k, Kinds())
	}
	if k == PriceLetter && in.Repricing == nil {
		return Result{}, fault.New(fault.Refused, "NOTHING_REPRICED", "a price letter tells what a quote comes to at other prices, and none were given")
	}
	total := 0
	for range 2 { // the second time the number of pages is known
		p, err := newPress(in.Template, in.Made, titles[k]+" "+in.Ref, in.Template.Title, total)
		if err != nil {
			return Result{}, err
		}
		p.customers = k.ForCustomer()
		if err := write(p, in); err != nil {
			return Result{}, err
		}
		total = p.pdf.PageCount()
		out = Result{Pages: total, Cautions: p.cautions()}
		if out.PDF, err = p.finish(); err != nil {
			return Result{}, errors.Join(errors.New("making a PDF"), err)
		}
	}
	return out, nil
}

var titles = map[Kind]string{
	Proposal: "Proposal", CrewSheet: "Crew sheet", CutList: "Cut list", OrderList: "Order list", PriceLetter: "Price letter",
}

// writer is what prints a document.
func (k Kind) writer() func(*press, Input) error {
	switch k {
	case Proposal:
		return (*press).proposal
	case CrewSheet:
		return (*press).crewSheet
	case CutList:
		return (*press).cutList
	case OrderList:
		return (*press).orderList
	case PriceLetter:
		return (*press).priceLetter
	default:
		return nil
	}
}

// fingerprint is the quote's, as it is printed.
func (in Input) fingerprint() string { return hex.EncodeToString(in.Fingerprint[:]) }

// job is what the job is called.
func (in Input) job() string {
	for _, name := range []string{in.Request.ExternalRef, in.Request.Spec.Name} {
		if name != "" {
			return name
		}
	}
	return in.Ref
}
