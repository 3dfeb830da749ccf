package main

import (
	"crypto/sha256"
	"fmt"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/money"
	"wattle/internal/quote"
)

// answer is what a machine makes of one generated job.
type answer struct {
	number uint64
	// what says in words what was drawn.
	what string
	// document is the quote's, or the text of the error where the job was
	// refused.
	document []byte
	refused  bool
}

// digest is the fingerprint of the quote, or the hash of why there is none.
func (a answer) digest() [32]byte { return sha256.Sum256(a.document) }

func (a answer) line() string {
	digest := a.digest()
	return fmt.Sprintf("%06d %x %s", a.number, digest, a.what)
}

// compute draws a job and prices it, in the way in which the service does.
func compute(seed, number uint64) answer {
	d := diceOf(seed, number)
	version := of(d, 1, 2, 3, quote.RulesVersion, quote.RulesVersion, quote.RulesVersion)
	fence := d.fence(version)
	ground, how, err := d.site(version, fence)
	a := answer{number: number, what: fmt.Sprintf("rules-%d %s %s", version, fence.Family, how)}
	if err == nil {
		asOf := civil.Must("2026-03-02").AddDays(d.below(200))
		r := quote.Request{
			Company: "harrow", Offices: []string{book.MainOffice}, Customer: "cust-17", ExternalRef: fmt.Sprintf("job-%d", number),
			Currency: of(d, money.USD, money.USD, money.EUR, "JPY", "BHD"), AsOf: asOf, ValidUntil: asOf.AddDays(30),
			Head: book.Head{Revision: 3, Hash: [32]byte{1, 2, 3}}, RulesVersion: version,
			Site: ground, Spec: fence, Custom: d.custom(), Pricing: d.pricing(version),
		}.Normalised()
		a.document, err = priced(d, r)
	}
	if err != nil {
		a.document, a.refused, a.what = []byte("refused: "+err.Error()), true, a.what+" refused"
	}
	return a
}

func priced(d *dice, r quote.Request) ([]byte, error) {
	l, err := quote.Plan(r)
	if err != nil {
		return nil, err
	}
	job := r.Job(l).Gather()
	r.Prices = d.market(job.Wanted(), r.Currency, r.RulesVersion)
	q, err := quote.PriceJob(r, job)
	if err != nil {
		return nil, err
	}
	return quote.Document(r, q), nil
}
