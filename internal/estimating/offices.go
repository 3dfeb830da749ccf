package estimating

import (
	"context"
	"slices"
	"strings"

	"wattle/internal/auth"
	"wattle/internal/fault"
	"wattle/internal/office"
)

// GetOffice is an office that the caller reads prices of.
func (s *Service) GetOffice(ctx context.Context, company, id string) (office.Office, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return office.Office{}, err
	}
	o, ok := c.Tree.Find(id)
	if !ok || !slices.Contains(c.PriceOffices(), id) {
		return office.Office{}, noOffice(company, id)
	}
	return o, nil
}

func noOffice(company, id string) error {
	return fault.New(fault.NotFound, "OFFICE_NOT_FOUND", "there is no office %q above or under yours", id).
		About("office", "companies/"+company+"/offices/"+id)
}

// ListOffices is the offices that the caller reads prices of, by id, those after
// the named one.
func (s *Service) ListOffices(ctx context.Context, company, after string, limit int) ([]office.Office, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return nil, err
	}
	var list []office.Office
	for _, id := range slices.Sorted(slices.Values(c.PriceOffices())) {
		if o, ok := c.Tree.Find(id); ok && id > after && len(list) < limit {
			list = append(list, o)
		}
	}
	return list, nil
}

// CreateOffice adds an office, under the caller's own where it names no parent.
func (s *Service) CreateOffice(ctx context.Context, key RequestKey, o office.Office) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return o, err
	}
	if o.Parent == "" {
		o.Parent = c.Office
	}
	o.Version = 1
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		if _, exists := t.Find(o.ID); exists {
			return o, fault.New(fault.AlreadyExists, "OFFICE_EXISTS", "there is an office %q already", o.ID)
		}
		return o, placed(c, t, o, true)
	})
}

// placed says what is wrong with an office at its place in the tree.
func placed(c auth.Caller, t office.Tree, o office.Office, moved bool) error {
	v := &fault.List{}
	o.Validate(v.At("office"), knownZone)
	if moved {
		if t.Place(v.At("office"), o.ID, o.Parent); v.Len() == 0 && !slices.Contains(t.Below(c.Office), o.Parent) {
			return fault.New(fault.Denied, "OFFICE_NOT_YOURS", "the office %q is not under yours, %s", o.Parent, c.Office)
		}
	}
	return v.Err()
}

// UpdateOffice changes an office under the caller's own, or the root by a key of
// the root: what an office may sell at is decided above it.
func (s *Service) UpdateOffice(ctx context.Context, key RequestKey, id string, version *int64, change func(*office.Office)) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return office.Office{}, err
	}
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		o, err := under(c, t, id, version)
		if err != nil {
			return o, err
		}
		was := o.Parent
		change(&o)
		o.Version++
		return o, placed(c, t, o, o.Parent != was)
	})
}

// under is an office that the caller may change.
func under(c auth.Caller, t office.Tree, id string, version *int64) (office.Office, error) {
	o, ok := t.Find(id)
	switch {
	case !ok:
		return o, noOffice(c.Company, id)
	case !slices.Contains(t.Below(c.Office), id) || id == c.Office && id != office.Main:
		return o, fault.New(fault.Denied, "OFFICE_NOT_YOURS", "the office %q is changed with a key of an office above it; yours is of %s", id, c.Office)
	case o.Removed:
		return o, fault.New(fault.Refused, "OFFICE_REMOVED", "the office %q is removed", id)
	}
	return o, sameVersion(version, o.Version)
}

// RemoveOffice ends an office under the caller's own.
func (s *Service) RemoveOffice(ctx context.Context, key RequestKey, id string, version *int64) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return office.Office{}, err
	}
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		o, err := under(c, t, id, version)
		if err != nil {
			return o, err
		}
		if id == office.Main {
			return o, fault.New(fault.Refused, "OFFICE_IS_ROOT", "the root of the offices is not removed")
		}
		alive := slices.DeleteFunc(t.Below(id), func(below string) bool {
			each, _ := t.Find(below)
			return below == id || each.Removed
		})
		if len(alive) > 0 {
			return o, fault.New(fault.Refused, "OFFICE_HAS_OFFICES", "offices stand under %q: %s; move or remove them first", id, strings.Join(alive, ", "))
		}
		o.Removed = true
		o.Version++
		return o, nil
	})
}

func sameVersion(asked *int64, now int64) error {
	if asked != nil && *asked != now {
		return fault.New(fault.Conflict, "ETAG_MISMATCH", "it was changed since it was read: read it again")
	}
	return nil
}
