package postgres_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// node is a step of a query plan, as EXPLAIN (FORMAT JSON) names things.
type node struct {
	Type     string `json:"Node Type"`
	Relation string `json:"Relation Name"`
	Index    string `json:"Index Name"`
	Cond     string `json:"Index Cond"`
	Filter   string `json:"Filter"`
	Plans    []node `json:"Plans"`
	// Pages of the root and all below it.
	Hit  int `json:"Shared Hit Blocks"`
	Read int `json:"Shared Read Blocks"`
}

func (n node) all() []node {
	nodes := []node{n}
	for _, p := range n.Plans {
		nodes = append(nodes, p.all()...)
	}
	return nodes
}

// grow fills a company's book with items x revisions, each revision a day
// later, straight into the tables.
func grow(t testing.TB, adminURL, company string, items, revisions int) {
	t.Helper()
	conn := connect(t, adminURL)
	for _, sql := range []string{
		fmt.Sprintf(`insert into book_head values ('%s', %d, sha256('head'))`, company, revisions),
		fmt.Sprintf(`insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
			select '%s', r, 'bench', r::text, 'patch', %d, date '2020-01-01' + r, sha256('content'), sha256('chain')
			from generate_series(1, %d) r`, company, items, revisions),
		fmt.Sprintf(`insert into price_entry (company, item, office, supplier, effective, revision, state, description, currency, unit, pack, min_quantities, prices)
			select '%s', 'item-' || to_char(i, 'FM000000'), 'main', 'acre', date '2020-01-01' + r, r, 'priced', 'an item', 'USD', 'each', 1, '{0,100}', array[10 + r * 0.01, 9 + r * 0.01]
			from generate_series(1, %d) i, generate_series(1, %d) r`, company, items, revisions),
		`analyze price_entry`, `analyze book_revision`,
	} {
		if _, err := conn.Exec(scoped(), sql); err != nil {
			t.Fatal(err)
		}
	}
}

// policyFilter is what the policy adds: the offices that the caller reads.
var policyFilter = regexp.MustCompile(`^\(\(office = ANY \(\$\d+\)\) OR \(\$\d+ = '\*'::text\)\)$`)

// On a large table, as the service role and so under row-level security, the
// search as of a date and a revision is a descent of the primary key with every
// column in the index condition, whether the plan is made for the arguments or
// for any.
func TestTheSearchUsesItsIndex(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	for _, name := range []string{"ash", "harrow", "larch"} {
		grow(t, db.AdminURL(), name, 1000, 35)
	}
	searchUsesItsIndex(t, db.ServiceURL(), "harrow", "2020-01-20", 12)
}

func searchUsesItsIndex(t testing.TB, serviceURL, company, asOf string, revision int) {
	t.Helper()
	service := connect(t, serviceURL)
	for _, mode := range []string{"force_custom_plan", "force_generic_plan"} {
		plan := explain(t, service, mode, "", company, asOf, revision)
		entry := slices.DeleteFunc(plan.all(), func(n node) bool { return n.Relation != "price_entry" })
		if len(entry) != 3 {
			t.Fatalf("%s: %d scans of price_entry, want those of the two seller steps and the search: %+v", mode, len(entry), plan)
		}
		asOf := 0
		for _, n := range entry {
			if n.Index != "price_entry_pkey" || n.Filter != "" && !policyFilter.MatchString(n.Filter) {
				t.Errorf("%s: %s by index %q with filter %q, want price_entry_pkey and no filter but the policy's", mode, n.Type, n.Index, n.Filter)
			}
			if strings.Contains(n.Cond, "revision <=") {
				asOf++
				for _, column := range []string{"company =", "item =", "office =", "supplier =", "effective <=", "revision <="} {
					if !strings.Contains(n.Cond, column) {
						t.Errorf("%s: %q is not in the index condition: %s", mode, column, n.Cond)
					}
				}
			}
		}
		if asOf != 1 {
			t.Errorf("%s: no scan has the revision in its index condition", mode)
		}
		for _, n := range plan.all() {
			if n.Type == "Sort" || n.Type == "Incremental Sort" {
				t.Errorf("%s: the plan sorts; the index should give the order", mode)
			}
		}
	}
}

// Each item costs as many pages in a book of 1,500 revisions as in one of two, at the
// newest and at the first, as of that time and as of later. Unlike a time, this is
// the same on any machine.
func TestTheSearchReadsAsMuchWhateverTheHistory(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	grow(t, db.AdminURL(), "ash", 40, 2)
	grow(t, db.AdminURL(), "harrow", 40, 1500) // some 15 pages of the index an item
	if _, err := connect(t, db.AdminURL()).Exec(scoped(), `vacuum price_entry`); err != nil {
		t.Fatal(err)
	}
	service := connect(t, db.ServiceURL())
	pages := func(company, asOf string, revision int) int {
		plan := explain(t, service, "force_generic_plan", "analyze, buffers, ", company, asOf, revision)
		return plan.Hit + plan.Read
	}
	newest, earlier := pages("ash", "2030-01-01", 2), pages("ash", "2030-01-01", 1)
	if newest == 0 || newest >= earlier {
		t.Errorf("in a book of two revisions %d pages at the newest, %d at the one before: want fewer, since that is found at once", newest, earlier)
	}
	for _, c := range []struct {
		asOf           string
		revision, most int
	}{{"2030-01-01", 1500, newest}, {"2030-01-01", 1, earlier}, {"2020-01-02", 1, earlier}, {"2030-01-01", 700, earlier}, {"2020-01-15", 1500, earlier}} {
		if n := pages("harrow", c.asOf, c.revision); n > c.most+c.most/4 {
			t.Errorf("as of %s at revision %d of 1500: %d pages; in a book of two revisions %d", c.asOf, c.revision, n, c.most)
		}
	}
}

// explain is the plan of the search for two items.
func explain(t testing.TB, conn *pgx.Conn, mode, options, company, asOf string, revision int) node {
	t.Helper()
	return planOf(t, conn, mode, company, "text, text[], text[], bigint[], date, bigint", postgres.InForce,
		fmt.Sprintf(`'%s', '{item-000007,item-000031}', '{main,main}', '{0,1}', '%s', %d`, company, asOf, revision), options)
}

// planOf is the plan of a statement for the service, under row-level security; jit
// is off, as the store's connections have it.
func planOf(t testing.TB, conn *pgx.Conn, mode, company, types, sql, arguments, options string) node {
	t.Helper()
	var text []byte
	err := pgx.BeginFunc(scoped(), conn, func(tx pgx.Tx) error {
		for _, sql := range []string{
			scopeOf(company, "*"), `set local jit = off`, `set local plan_cache_mode = ` + mode,
			`prepare page (` + types + `) as ` + sql,
		} {
			if _, err := tx.Exec(scoped(), sql); err != nil {
				return err
			}
		}
		if err := tx.QueryRow(scoped(), `explain (`+options+`format json) execute page (`+arguments+`)`).Scan(&text); err != nil {
			return err
		}
		_, err := tx.Exec(scoped(), `deallocate page`)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	var plans []struct{ Plan node }
	if err := json.Unmarshal(text, &plans); err != nil {
		t.Fatal(err)
	}
	return plans[0].Plan
}
