package main

import "testing"

// The company of a full name is whose key is looked for, unless a flag says
// another.
func TestNamesTellTheCompany(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ flag, name, company, full string }{
		{"", "companies/harrow/quotes/q1", "harrow", "companies/harrow/quotes/q1"},
		{"larch", "companies/harrow/quotes/q1", "larch", "companies/harrow/quotes/q1"},
		{"harrow", "q1", "harrow", "companies/harrow/quotes/q1"},
		{"", "standard/cedar", "", "standard/cedar"},
	} {
		r := &remote{company: c.flag}
		if full, err := r.named(newRoot(), "quotes", c.name); err != nil || full != c.full || r.company != c.company {
			t.Errorf("%+v: %s of %s, %v", c, full, r.company, err)
		}
	}
	if _, err := (&remote{}).named(newRoot(), "quotes", "q1"); err == nil {
		t.Error("an id of no company has a name")
	}
}
