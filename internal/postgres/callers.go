package postgres

import (
	"context"
	"errors"
	"sync"

	"github.com/jackc/pgx/v5"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
)

// Caller is who shows the secret with that hash.
func (s *Store) Caller(ctx context.Context, hash [32]byte) (auth.Caller, error) {
	var c auth.Caller
	var version int64
	var state string
	err := s.unscoped(ctx, `
		select company, key, office, role, writes_below, quotes_from_above, tree_version, state from wattle_caller($1)`,
		[]any{hash[:]}, &c.Company, &c.Principal, &c.Office, &c.Role, &c.WritesBelow, &c.QuotesFromAbove, &version, &state)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return auth.Caller{}, fault.New(fault.Unauthenticated, "KEY_UNKNOWN", "there is no such key")
	case err != nil:
		return auth.Caller{}, err
	case state != "good":
		return auth.Caller{}, fault.New(fault.Unauthenticated, "KEY_DEAD", "this key is dead (%s)", state).With("state", state)
	}
	c.Tree, err = s.tree(ctx, c.Company, version)
	return c, err
}

// trees are the office trees that this process has read, by company. A tree
// is small and changes seldom, and every call needs one.
type trees struct {
	sync.Mutex
	known map[string]versioned
}

type versioned struct {
	version int64
	tree    office.Tree
}

func (t *trees) find(company string, version int64) (office.Tree, bool) {
	t.Lock()
	defer t.Unlock()
	known, ok := t.known[company]
	return known.tree, ok && known.version >= version
}

func (t *trees) keep(company string, tree versioned) {
	t.Lock()
	defer t.Unlock()
	if t.known == nil {
		t.known = make(map[string]versioned)
	}
	if tree.version >= t.known[company].version {
		t.known[company] = tree
	}
}

// tree is the offices of a company in at least that version.
func (s *Store) tree(ctx context.Context, company string, version int64) (office.Tree, error) {
	if t, ok := s.trees.find(company, version); ok {
		return t, nil
	}
	var read versioned
	err := s.within(estimating.WithCaller(ctx, auth.ForCompany(company)), company, readOnce, func(q querier) error {
		err := q.QueryRow(ctx, `select tree_version from company where company = $1`, company).Scan(&read.version)
		if err != nil {
			return err
		}
		read.tree, err = treeOf(ctx, q, company)
		return err
	})
	if err != nil {
		return office.Tree{}, err
	}
	s.trees.keep(company, read)
	return read.tree, nil
}

// treeOf is the company's offices, as far as the caller sees them.
func treeOf(ctx context.Context, q querier, company string) (office.Tree, error) {
	rows, err := q.Query(ctx, `select `+officeColumns+` from office o where o.company = $1`, company)
	if err != nil {
		return office.Tree{}, err
	}
	list, err := pgx.CollectRows(rows, scanOffice)
	return office.NewTree(list), err
}
