package rpc

import (
	"strings"

	"wattle/internal/catalog"
)

// Resource names are checked by pattern before a handler sees them.

// companyOf is the company of a parent, companies/{company}.
func companyOf(parent string) string {
	return strings.TrimPrefix(parent, "companies/")
}

// quoteOf takes companies/{company}/quotes/{quote} apart.
func quoteOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/quotes/")
	return companyOf(parent), id
}

// officeOf takes companies/{company}/offices/{office} apart.
func officeOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/offices/")
	return companyOf(parent), id
}

// keyOf takes companies/{company}/keys/{key} apart.
func keyOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/keys/")
	return companyOf(parent), id
}

func quoteName(company, id string) string {
	return "companies/" + company + "/quotes/" + id
}

// customerOf takes companies/{company}/customers/{customer} apart.
func customerOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/customers/")
	return companyOf(parent), id
}

func customerName(company, id string) string {
	return "companies/" + company + "/customers/" + id
}

// importOf takes companies/{company}/imports/{import} apart.
func importOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/imports/")
	return companyOf(parent), id
}

func importName(company, id string) string {
	return "companies/" + company + "/imports/" + id
}

// specOf takes companies/{company}/specs/{spec} apart; standard/{spec} is of no
// company, and is the name of an entry as it stands.
func specOf(name string) (company, spec string) {
	if strings.HasPrefix(name, catalog.StandardSpace) {
		return "", name
	}
	parent, spec, _ := strings.Cut(name, "/specs/")
	return companyOf(parent), spec
}

func specName(company, spec string) string {
	if strings.HasPrefix(spec, catalog.StandardSpace) {
		return spec
	}
	return "companies/" + company + "/specs/" + spec
}

// webhookOf takes companies/{company}/webhooks/{webhook} apart.
func webhookOf(name string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/webhooks/")
	return companyOf(parent), id
}

func webhookName(company, id string) string {
	return "companies/" + company + "/webhooks/" + id
}
