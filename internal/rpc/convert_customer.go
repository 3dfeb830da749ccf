package rpc

import (
	"context"
	"crypto/sha256"
	"fmt"
	"regexp"
	"slices"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

var customerPattern = regexp.MustCompile(`^companies/[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?/customers/[A-Za-z0-9][A-Za-z0-9._:-]{0,127}$`)

// detailField is one of a customer's details: how it is copied, and whether a
// message has it.
type detailField struct {
	name  string
	copy  func(to *estimating.Details, from estimating.Details)
	given func(*wattlev1.Customer) bool
}

// detailFields are what an update mask may name.
var detailFields = []detailField{
	{"display_name", func(to *estimating.Details, from estimating.Details) { to.DisplayName = from.DisplayName }, func(p *wattlev1.Customer) bool { return p.GetDisplayName() != "" }},
	{"address", func(to *estimating.Details, from estimating.Details) { to.Address = from.Address }, func(p *wattlev1.Customer) bool { return p.GetAddress() != nil }},
	{"email", func(to *estimating.Details, from estimating.Details) { to.Email = from.Email }, func(p *wattlev1.Customer) bool { return p.GetEmail() != "" }},
	{"telephone", func(to *estimating.Details, from estimating.Details) { to.Telephone = from.Telephone }, func(p *wattlev1.Customer) bool { return p.GetTelephone() != "" }},
	{"note", func(to *estimating.Details, from estimating.Details) { to.Note = from.Note }, func(p *wattlev1.Customer) bool { return p.GetNote() != "" }},
}

func detailsFromProto(p *wattlev1.Customer) estimating.Details {
	a := p.GetAddress()
	return estimating.Details{
		DisplayName: p.GetDisplayName(), Email: p.GetEmail(), Telephone: p.GetTelephone(), Note: p.GetNote(),
		Address: estimating.Address{
			Lines: slices.Clone(a.GetLines()), Locality: a.GetLocality(), Region: a.GetRegion(),
			PostalCode: a.GetPostalCode(), Country: a.GetCountryCode(),
		},
	}
}

func customerToProto(c estimating.Customer) *wattlev1.Customer {
	d := c.Details
	p := &wattlev1.Customer{
		Name: customerName(c.Company, c.ID), Office: c.Office, Etag: c.Etag(),
		DisplayName: d.DisplayName, Email: d.Email, Telephone: d.Telephone, Note: d.Note,
		CreateTime: timestamppb.New(c.CreatedAt), UpdateTime: timestamppb.New(c.UpdatedAt),
	}
	if !d.Equal(estimating.Details{DisplayName: d.DisplayName, Email: d.Email, Telephone: d.Telephone, Note: d.Note}) {
		p.Address = &wattlev1.PostalAddress{
			Lines: d.Address.Lines, Locality: d.Address.Locality, Region: d.Address.Region,
			PostalCode: d.Address.PostalCode, CountryCode: d.Address.Country,
		}
	}
	if c.Erased() {
		p.EraseTime = timestamppb.New(c.ErasedAt)
	}
	return p
}

// updateCustomerFromProto reads which details are to be replaced.
func updateCustomerFromProto(ctx context.Context, req *wattlev1.UpdateCustomerRequest) (estimating.UpdateCustomer, error) {
	v := &fault.List{}
	p := req.GetCustomer()
	if p != nil {
		v.Require(customerPattern.MatchString(p.GetName()), "customer.name", "expected companies/{company}/customers/{customer}")
	}
	fields := maskedDetails(v.At("update_mask").At("paths"), req)
	company, id := customerOf(p.GetName())
	details := detailsFromProto(p)
	in := estimating.UpdateCustomer{
		Key: requestKey(ctx, "UpdateCustomer", company, req.GetRequestId(), updateHash(req, fields)), ID: id, Etag: req.GetEtag(),
		Change: func(d *estimating.Details) {
			for _, f := range fields {
				f.copy(d, details)
			}
		},
	}
	return in, v.Err()
}

func maskedDetails(v *fault.List, req *wattlev1.UpdateCustomerRequest) []detailField {
	paths := req.GetUpdateMask().GetPaths()
	var fields []detailField
	for _, f := range detailFields {
		if slices.Contains(paths, f.name) || slices.Contains(paths, "*") || len(paths) == 0 && f.given(req.GetCustomer()) {
			fields = append(fields, f)
		}
	}
	for i, path := range paths {
		known := path == "*" || slices.ContainsFunc(detailFields, func(f detailField) bool { return f.name == path })
		v.Index(i).Require(known, "", "expected display_name, address, email, telephone, note or *, found %q", path)
	}
	return fields
}

// updateHash is over everything but the details, of which nothing may be kept
// outside the customer's own record, not even a hash.
func updateHash(req *wattlev1.UpdateCustomerRequest, fields []detailField) [sha256.Size]byte {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.name
	}
	rest := requestHash(req, "request_id", "customer", "update_mask")
	return sha256.Sum256(fmt.Appendf(rest[:], "%q %q", req.GetCustomer().GetName(), names))
}
