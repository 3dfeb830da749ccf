package quote

import "testing"

// buyingJobs are the corpus's jobs of several suppliers and units of sale, which
// the rules know from version 4 on.
func buyingJobs(t testing.TB, jobs map[string]Request) {
	add := func(name string, p Pricing) {
		r := bargains(t, p)
		r.Spec.Name = name
		jobs[name] = r.Normalised()
	}
	add("suppliers-cheapest", Pricing{ProfitPercent: dec("30")})
	add("suppliers-preferred", Pricing{ProfitPercent: dec("30"), PreferredSuppliers: []string{"birch", "acre"}, StaleAfterDays: new(365)})
	add("suppliers-never-stale", Pricing{ProfitPercent: dec("30"), PreferredSuppliers: []string{"millbrook"}, StaleAfterDays: new(0)})
}
