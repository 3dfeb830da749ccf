package estimating

import (
	"cmp"
	"context"
	"crypto/sha256"
	"strings"
	"time"

	"wattle/internal/catalog"
	"wattle/internal/fault"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

// SavedSpec is one version of an entry of the catalogue: one that a company
// saved, or a built-in one, which has neither Company, Office nor CreatedAt.
type SavedSpec struct {
	Company string
	catalog.Ref
	Office, Title string
	CreatedAt     time.Time // UTC, to the microsecond
	// Withdrawn: the version has no spec, and RulesVersion and Hash are zero.
	Withdrawn bool
	// RulesVersion is that of the rules whose defaults filled the spec.
	RulesVersion int
	// Document is the spec's canonical document (quote.SpecDocument), nil in
	// lists; Hash is its SHA-256.
	Document []byte
	Hash     [32]byte
}

// Same reports whether two versions hold the same content.
func (s SavedSpec) Same(other SavedSpec) bool {
	return s.Office == other.Office && s.Title == other.Title && s.Withdrawn == other.Withdrawn && s.Hash == other.Hash
}

// Spec is the spec of a version that has one, as it was saved.
func (s SavedSpec) Spec() (spec.Spec, error) {
	sp, err := quote.ParseSpecDocument(s.Document)
	switch {
	case err == nil:
		return sp, nil
	case fault.KindOf(err) == fault.Refused:
		return sp, err
	default:
		return sp, fault.Wrap(err, fault.Internal, "DOCUMENT_UNREADABLE", "the stored document of spec %s cannot be read", s.Ref)
	}
}

// SaveSpec is the caller's wish; zero fields take the defaults named.
type SaveSpec struct {
	Key    RequestKey
	Name   string
	Office string // the caller's own
	Title  string // the spec's name
	Spec   spec.Spec
}

// SaveSpec saves the spec, every default filled, as the next version of the
// entry, and reports whether it did: where the newest version is the same,
// that is the answer.
func (s *Service) SaveSpec(ctx context.Context, in SaveSpec) (SavedSpec, bool, error) {
	if err := alive(ctx); err != nil {
		return SavedSpec{}, false, err
	}
	v := &fault.List{}
	catalog.CheckName(v, "name", in.Name)
	filled := in.Spec.WithDefaults()
	filled.Validate(v.At("spec"))
	filled.ValidateSense(v.At("spec"))
	if err := v.Err(); err != nil {
		return SavedSpec{}, false, err
	}
	at, err := writesAt(ctx, in.Key.Company, "office", in.Office)
	if err != nil {
		return SavedSpec{}, false, err
	}
	document := quote.SpecDocument(in.Spec)
	return s.Specs.SaveSpec(ctx, in.Key, SavedSpec{
		Company: in.Key.Company, Ref: catalog.Ref{Name: in.Name},
		Office: at, Title: cmp.Or(in.Title, in.Spec.Name), CreatedAt: s.now(),
		RulesVersion: quote.RulesVersion, Document: document, Hash: sha256.Sum256(document),
	})
}

// WithdrawSpec withdraws an entry, and reports whether it did: one that is
// withdrawn already stays as it is.
func (s *Service) WithdrawSpec(ctx context.Context, key RequestKey, name string) (SavedSpec, bool, error) {
	if err := alive(ctx); err != nil {
		return SavedSpec{}, false, err
	}
	return s.Specs.WithdrawSpec(ctx, key, name, s.now())
}

// now is the clock as rows keep it.
func (s *Service) now() time.Time { return s.Now().UTC().Truncate(time.Microsecond) }

// GetSpec is a version of an entry, the newest where the ref names none.
func (s *Service) GetSpec(ctx context.Context, company string, r catalog.Ref) (SavedSpec, error) {
	if !r.Standard() {
		return s.Specs.Spec(ctx, company, r)
	}
	e, ok := catalog.Find(r)
	if !ok {
		return SavedSpec{}, fault.New(fault.NotFound, "SPEC_NOT_FOUND", "there is no spec %q", r).About("spec", r.Name)
	}
	return standard(e), nil
}

// SpecByName is the spec that a request names instead of bringing one, and the
// version it is. A name without a version is Refused (SPEC_WITHDRAWN) where the
// entry is withdrawn. A service without a catalogue knows the standard ones.
func (s *Service) SpecByName(ctx context.Context, company string, r catalog.Ref) (SavedSpec, spec.Spec, error) {
	v := &fault.List{}
	switch {
	case r.Standard():
	case s.Specs == nil:
		v.Add("saved_spec", "%q is kept by the company's service, which is not asked here; expected a spec, or the name of a standard one such as %s",
			r, catalog.Standard()[0].Name)
	case company == "":
		v.Add("parent", "expected companies/{company}, in whose catalogue %q is", r)
	}
	if err := v.Err(); err != nil {
		return SavedSpec{}, spec.Spec{}, err
	}
	saved, err := s.GetSpec(ctx, company, r)
	if err != nil {
		return SavedSpec{}, spec.Spec{}, err
	}
	if saved.Withdrawn {
		return SavedSpec{}, spec.Spec{}, fault.New(fault.Refused, "SPEC_WITHDRAWN",
			"the spec %q is withdrawn in version %d; name another version, or save it anew", saved.Name, saved.Version).About("spec", saved.Name)
	}
	sp, err := saved.Spec()
	return saved, sp, err
}

// ListSpecs is the newest version of each entry, without documents: the
// company's by name and without withdrawn ones, then the standard ones.
func (s *Service) ListSpecs(ctx context.Context, f SpecFilter) ([]SavedSpec, error) {
	var list []SavedSpec
	if f.Company != "" && !strings.HasPrefix(f.After, catalog.StandardSpace) {
		var err error
		if list, err = s.Specs.ListSpecs(ctx, f); err != nil {
			return nil, err
		}
		f.After = "" // of the standard ones none was given yet
	}
	if f.Standard {
		for _, e := range catalog.Standard() {
			if e.Name > f.After && len(list) < f.Limit {
				list = append(list, withoutDocument(standard(e)))
			}
		}
	}
	return list, alive(ctx)
}

// ListSpecVersions is every version of an entry, newest first, without
// documents; a withdrawal is a version.
func (s *Service) ListSpecVersions(ctx context.Context, f VersionFilter) ([]SavedSpec, error) {
	r := catalog.Ref{Name: f.Name}
	if !r.Standard() {
		return s.Specs.ListSpecVersions(ctx, f)
	}
	saved, err := s.GetSpec(ctx, "", r)
	if err != nil || f.Before > 0 && saved.Version >= f.Before {
		return nil, err
	}
	return []SavedSpec{withoutDocument(saved)}, nil
}

// standard is a built-in entry, filled by the rules of this program.
func standard(e catalog.Entry) SavedSpec {
	document := quote.SpecDocument(e.Spec)
	return SavedSpec{Ref: e.Ref, Title: e.Title, RulesVersion: quote.RulesVersion, Document: document, Hash: sha256.Sum256(document)}
}

func withoutDocument(s SavedSpec) SavedSpec {
	s.Document = nil
	return s
}
