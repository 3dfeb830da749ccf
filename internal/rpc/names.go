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

// partsOf takes companies/{company}/{collection}/{id} apart.
func partsOf(name, collection string) (company, id string) {
	parent, id, _ := strings.Cut(name, "/"+collection+"/")
	return companyOf(parent), id
}

// quoteOf takes companies/{company}/quotes/{quote} apart.
func quoteOf(name string) (company, id string) { return partsOf(name, "quotes") }

// officeOf takes companies/{company}/offices/{office} apart.
func officeOf(name string) (company, id string) { return partsOf(name, "offices") }

// keyOf takes companies/{company}/keys/{key} apart.
func keyOf(name string) (company, id string) { return partsOf(name, "keys") }

func quoteName(company, id string) string {
	return "companies/" + company + "/quotes/" + id
}

// templateOf takes companies/{company}/templates/{office} apart.
func templateOf(name string) (company, office string) { return partsOf(name, "templates") }

func templateName(company, office string) string {
	return "companies/" + company + "/templates/" + office
}

// customerOf takes companies/{company}/customers/{customer} apart.
func customerOf(name string) (company, id string) { return partsOf(name, "customers") }

func customerName(company, id string) string {
	return "companies/" + company + "/customers/" + id
}

// importOf takes companies/{company}/imports/{import} apart.
func importOf(name string) (company, id string) { return partsOf(name, "imports") }

func importName(company, id string) string {
	return "companies/" + company + "/imports/" + id
}

// specOf takes companies/{company}/specs/{spec} apart; standard/{spec} is of no
// company, and is the name of an entry as it stands.
func specOf(name string) (company, spec string) {
	if strings.HasPrefix(name, catalog.StandardSpace) {
		return "", name
	}
	return partsOf(name, "specs")
}

func specName(company, spec string) string {
	if strings.HasPrefix(spec, catalog.StandardSpace) {
		return spec
	}
	return "companies/" + company + "/specs/" + spec
}

// webhookOf takes companies/{company}/webhooks/{webhook} apart.
func webhookOf(name string) (company, id string) { return partsOf(name, "webhooks") }

func webhookName(company, id string) string {
	return "companies/" + company + "/webhooks/" + id
}
