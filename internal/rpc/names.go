package rpc

import "strings"

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

func quoteName(company, id string) string {
	return "companies/" + company + "/quotes/" + id
}
