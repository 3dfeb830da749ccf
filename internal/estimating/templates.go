package estimating

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"strings"
	"time"

	"wattle/internal/fault"
	"wattle/internal/paper"
)

// SavedTemplate is one version of an office's template; Version 0 is the
// built-in one, which is no office's.
type SavedTemplate struct {
	Company, Office string
	Version         int
	CreatedAt       time.Time // UTC, to the microsecond
	// Hash is over the content; see templateHash.
	Hash [32]byte
	// Template is as it was saved, defaults not filled; in lists without logo and
	// font.
	Template paper.Template
}

// PaperStore keeps templates and the record of papers. Both are only ever added
// to.
type PaperStore interface {
	// SaveTemplate stores the template as the office's next version together with
	// the key, and reports true; where the newest version is the same, it stores
	// the key alone and answers that version.
	SaveTemplate(ctx context.Context, key RequestKey, t SavedTemplate) (SavedTemplate, bool, error)
	// Template is a version of the first of the offices that has one, the newest
	// where version is 0; NotFound (TEMPLATE_NOT_FOUND) where none has.
	Template(ctx context.Context, company string, offices []string, version int) (SavedTemplate, error)
	// ListTemplates is by office, newest first, without logos and fonts.
	ListTemplates(ctx context.Context, f TemplateFilter) ([]SavedTemplate, error)
	// RecordPaper stores what a paper was made of and its hash, unless it is
	// there, and answers when the first of the same inputs was stored.
	RecordPaper(ctx context.Context, p PaperRecord) (first PaperRecord, err error)
}

// TemplateFilter selects templates.
type TemplateFilter struct {
	Company string
	// Every version, and not only the newest of each office.
	Every bool
	// AfterOffice and BeforeVersion continue a listing: later offices, and earlier
	// versions of this one.
	AfterOffice   string
	BeforeVersion int
	Limit         int
}

// SaveTemplate saves an office's template as its next version, and reports
// whether it did. The error lists everything wrong with it, under "template".
func (s *Service) SaveTemplate(ctx context.Context, key RequestKey, at string, t paper.Template) (SavedTemplate, bool, error) {
	if err := alive(ctx); err != nil {
		return SavedTemplate{}, false, err
	}
	at, err := writesAt(ctx, key.Company, "name", at)
	if err != nil {
		return SavedTemplate{}, false, err
	}
	v := &fault.List{}
	if _, known := CallerOf(ctx).Tree.Find(at); !known {
		v.Add("name", "there is no office %q", at)
	}
	t.Validate(v.At("template"))
	if err := v.Err(); err != nil {
		return SavedTemplate{}, false, err
	}
	return s.Papers.SaveTemplate(ctx, key, SavedTemplate{Company: key.Company, Office: at, CreatedAt: s.now(), Hash: templateHash(t), Template: t})
}

// GetTemplate is a version of an office's template, the newest where version is
// 0. Inherited asks the offices above where it has none, and then for the
// built-in one.
func (s *Service) GetTemplate(ctx context.Context, company, at string, version int, inherited bool) (SavedTemplate, error) {
	at, err := readsAt(ctx, company, at)
	if err != nil {
		return SavedTemplate{}, err
	}
	if inherited && version == 0 {
		return s.templateFor(ctx, company, at)
	}
	return s.Papers.Template(ctx, company, []string{at}, version)
}

// ListTemplates is by office, newest first.
func (s *Service) ListTemplates(ctx context.Context, f TemplateFilter) ([]SavedTemplate, error) {
	return s.Papers.ListTemplates(ctx, f)
}

// templateFor is the template that holds at an office.
func (s *Service) templateFor(ctx context.Context, company, at string) (SavedTemplate, error) {
	saved, err := s.Papers.Template(ctx, company, CallerOf(ctx).Path(at), 0)
	if fault.KindOf(err) == fault.NotFound {
		return builtIn(company), nil
	}
	return saved, err
}

// builtIn is the template of a company that saved none.
func builtIn(company string) SavedTemplate {
	return SavedTemplate{Company: company, Hash: templateHash(paper.Template{})}
}

// titled is the template with the company's title where it has none.
func (s *Service) titled(ctx context.Context, company string, t paper.Template) (paper.Template, error) {
	if t.Title != "" {
		return t, nil
	}
	c, err := s.GetCompany(ctx, company)
	t.Title = cmp.Or(c.Title, company)
	return t, err
}

// templateHash is over every part of a template, each with its length before it.
func templateHash(t paper.Template) [32]byte {
	var b strings.Builder
	part := func(name, s string) { fmt.Fprintf(&b, "%s %d %s\n", name, len(s), s) }
	part("title", t.Title)
	for _, l := range t.Address {
		part("address", l)
	}
	for _, p := range t.Terms {
		part("terms", p)
	}
	part("locale", t.Locale)
	part("paper", t.Paper)
	part("measures", string(t.Measures))
	part("logo", string(t.Logo))
	part("font", string(t.Font))
	return sha256.Sum256([]byte(b.String()))
}
