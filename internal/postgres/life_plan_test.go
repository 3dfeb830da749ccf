package postgres_test

import (
	"strings"
	"testing"

	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// Among many quotes of two companies, all issued at some time, those whose day
// has ended are found by their index, as the service role and so under row-level
// security, whether the plan is made for the arguments or for any.
func TestExpiryUsesItsIndex(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	admin := connect(t, db.AdminURL())
	for _, sql := range []string{
		`insert into quote (company, id, created_at, as_of, valid_until, book_revision, book_hash, rules_version, fingerprint_version, fingerprint, currency, total)
			select c, i::text, now(), now(), now(), 0, sha256('a'), 3, 1, sha256('a'), 'USD', 1
			from unnest(array['ash', 'harrow']) c, generate_series(1, 5000) i`,
		`insert into quote_transition (company, quote_id, sequence, action, to_state, at) select company, id, 1, 'create', 'draft', now() from quote`,
		`insert into quote_state (company, quote_id, root, revision_number, option_group, state, sequence, updated_at)
			select company, id, id, 1, id, 'draft', 1, now() from quote`,
		`insert into quote_transition (company, quote_id, sequence, action, from_state, to_state, at)
			select company, id, 2, 'issue', 'draft', 'issued', now() from quote`,
		`insert into quote_transition (company, quote_id, sequence, action, from_state, to_state, at)
			select company, id, 3, 'void', 'issued', 'void', now() from quote where id::int % 10 <> 0`,
		`update quote_state set state = case when quote_id::int % 10 = 0 then 'issued' else 'void' end,
			sequence = case when quote_id::int % 10 = 0 then 2 else 3 end, expires_at = timestamptz '2026-01-01Z' + quote_id::int * interval '1 minute'`,
		`analyze quote_state`,
	} {
		if _, err := admin.Exec(scoped(), sql); err != nil {
			t.Fatal(err)
		}
	}
	service := connect(t, db.ServiceURL())
	for _, mode := range []string{"force_custom_plan", "force_generic_plan"} {
		plan := planOf(t, service, mode, company, "text, timestamptz, bigint", postgres.Ended, `'harrow', '2026-01-02Z', 500`, "").all()
		found := false
		for _, n := range plan {
			found = found || n.Index == "quote_state_open" && strings.Contains(n.Cond, "company =") && strings.Contains(n.Cond, "expires_at <=")
			if strings.HasSuffix(n.Type, "Sort") {
				t.Errorf("%s: the plan sorts; the index should give the order", mode)
			}
		}
		if !found {
			t.Errorf("%s: the plan does not use quote_state_open: %v", mode, plan)
		}
	}
}
