package postgres_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
)

// The life of a quote stands in Go, in the schema and in the documentation, and
// is the same in all three.
func TestTheLifeOfAQuoteStandsThreeTimes(t *testing.T) {
	t.Parallel()
	var inGo []string
	for _, l := range quote.Life() {
		inGo = append(inGo, fmt.Sprintf("%s: %s > %s", l.Action, orDash(string(l.From)), l.To))
	}
	slices.Sort(inGo)
	if got := lifeInDocs(t); !slices.Equal(got, inGo) {
		t.Errorf("DEVELOPERS.md has\n%s\nand package quote\n%s", strings.Join(got, "\n"), strings.Join(inGo, "\n"))
	}
	if got := lifeInSchema(t); !slices.Equal(got, inGo) {
		t.Errorf("the schema allows\n%s\nand package quote\n%s", strings.Join(got, "\n"), strings.Join(inGo, "\n"))
	}
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func lifeInDocs(t *testing.T) (rows []string) {
	t.Helper()
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "\n## The life of a quote\n")
	section, _, _ = strings.Cut(section, "\n## ")
	for line := range strings.Lines(section) {
		cells := strings.Split(line, "|")
		if len(cells) < 5 || strings.HasPrefix(cells[1], "---") || strings.TrimSpace(cells[1]) == "action" {
			continue
		}
		rows = append(rows, fmt.Sprintf("%s: %s > %s", strings.TrimSpace(cells[1]), strings.TrimSpace(cells[2]), strings.TrimSpace(cells[3])))
	}
	slices.Sort(rows)
	return rows
}

// lifeInSchema has the constraint judge every action, state and state.
func lifeInSchema(t *testing.T) []string {
	t.Helper()
	_, db := storetest.NewWithDB(t)
	admin := connect(t, db.AdminURL())
	ctx := scoped()
	var check string
	if err := admin.QueryRow(ctx, `select pg_get_expr(conbin, conrelid) from pg_constraint where conname = 'quote_transition_life_check'`).Scan(&check); err != nil {
		t.Fatal(err)
	}
	actions, froms, tos := []string{"sell", ""}, []string{"", "sold"}, []string{"", "sold"}
	for _, l := range quote.Life() {
		actions = append(actions, string(l.Action))
	}
	for _, s := range quote.States() {
		froms, tos = append(froms, string(s)), append(tos, string(s))
	}
	rows, err := admin.Query(ctx, `
		select distinct action || ': ' || coalesce(from_state, '-') || ' > ' || to_state
		from (select action, nullif(from_state, '') as from_state, to_state
			from unnest($1::text[]) action, unnest($2::text[]) from_state, unnest($3::text[]) to_state) all_there_could_be
		where `+check, actions, froms, tos)
	if err != nil {
		t.Fatal(err)
	}
	allowed, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(allowed)
	return allowed
}
