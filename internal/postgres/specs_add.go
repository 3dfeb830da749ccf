package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"time"

	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// SaveSpec stores the spec as the next version of its entry, unless the newest
// version is the same.
func (s *Store) SaveSpec(ctx context.Context, key estimating.RequestKey, in estimating.SavedSpec) (estimating.SavedSpec, bool, error) {
	return s.addVersion(ctx, key, in.Name, func(estimating.SavedSpec) (estimating.SavedSpec, error) { return in, nil })
}

// WithdrawSpec adds a version without a document, unless the newest version has
// none.
func (s *Store) WithdrawSpec(ctx context.Context, key estimating.RequestKey, name string, at time.Time) (estimating.SavedSpec, bool, error) {
	return s.addVersion(ctx, key, name, func(newest estimating.SavedSpec) (estimating.SavedSpec, error) {
		if newest.Version == 0 {
			return newest, noSpec(key.Company, catalog.Ref{Name: name})
		}
		return estimating.SavedSpec{
			Company: newest.Company, Ref: catalog.Ref{Name: name}, Office: newest.Office, Title: newest.Title,
			CreatedAt: at, Withdrawn: true,
		}, nil
	})
}

// addVersion adds what next makes of the newest version of an entry, unless
// that is the same, and keeps the answer under the key. The newest version of
// an entry that has none is zero.
func (s *Store) addVersion(ctx context.Context, key estimating.RequestKey, name string,
	next func(newest estimating.SavedSpec) (estimating.SavedSpec, error),
) (kept estimating.SavedSpec, applied bool, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if err := lockEntry(ctx, q, key.Company, name); err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was != nil {
			applied = was.Applied
			kept, err = specAt(ctx, q, key.Company, catalog.Ref{Name: was.Spec, Version: was.Version})
			return err
		}
		newest, err := specAt(ctx, q, key.Company, catalog.Ref{Name: name})
		if err != nil && fault.KindOf(err) != fault.NotFound {
			return err
		}
		if kept, err = next(newest); err != nil {
			return err
		}
		if err := mayChange(ctx, newest); err != nil {
			return err
		}
		if newest.Version > 0 && kept.Same(newest) {
			kept = newest
		} else {
			applied, kept.Version = true, newest.Version+1
			if err := insertSpec(ctx, q, kept); err != nil {
				return err
			}
			if err := emitSpec(ctx, q, kept); err != nil {
				return err
			}
		}
		return claimFirst(ctx, q, key, result{Spec: name, Version: kept.Version, Applied: applied})
	})
	if err != nil {
		return estimating.SavedSpec{}, false, err
	}
	return kept, applied, nil
}

// mayChange is nil where the caller writes at the office whose spec it is: the
// company uses one catalogue, and each office keeps its own entries of it.
func mayChange(ctx context.Context, s estimating.SavedSpec) error {
	if s.Version == 0 {
		return nil
	}
	_, err := estimating.CallerOf(ctx).Writes("office", s.Office)
	return err
}

// lockEntry puts those who add versions of one entry in order until their
// transactions end.
func lockEntry(ctx context.Context, q querier, company, name string) error {
	return lockName(ctx, q, "saved_spec/"+company+"/"+name)
}

// lockName puts those who change one thing in order until their transactions
// end, where there is no row to lock that they may all update: the thing may be
// new.
func lockName(ctx context.Context, q querier, name string) error {
	_, err := q.Exec(ctx, `select pg_advisory_xact_lock($1)`, lockNumber(name))
	return err
}

// lockNumber is the number of a name's lock. Two names of one number only wait
// for each other.
func lockNumber(name string) int64 {
	sum := sha256.Sum256([]byte(name))
	return int64(binary.BigEndian.Uint64(sum[:]))
}

func insertSpec(ctx context.Context, q querier, s estimating.SavedSpec) error {
	var rules *int
	var hash []byte
	if !s.Withdrawn {
		rules, hash = &s.RulesVersion, s.Hash[:]
	}
	_, err := q.Exec(ctx, `
		insert into saved_spec (company, name, version, office, title, created_at, rules_version, hash, document)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		s.Company, s.Name, s.Version, s.Office, s.Title, s.CreatedAt.UTC(), rules, hash, s.Document)
	return err
}

func emitSpec(ctx context.Context, q querier, s estimating.SavedSpec) error {
	e := estimating.Event{
		Company: s.Company, Office: s.Office, Type: estimating.SpecSaved,
		Subject: "companies/" + s.Company + "/specs/" + s.Name, Sequence: int64(s.Version),
	}
	if s.Withdrawn {
		e.Type = estimating.SpecWithdrawn
	}
	return emit(ctx, q, e)
}
