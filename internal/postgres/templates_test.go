package postgres_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"testing"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
	"wattle/internal/paper"
	"wattle/internal/postgres/storetest"
)

func template(at, title string) estimating.SavedTemplate {
	return estimating.SavedTemplate{
		Company: company, Office: at, CreatedAt: made, Hash: sha256.Sum256([]byte(title)),
		Template: paper.Template{Title: title, Terms: []string{"We call before we dig."}, Logo: []byte{1, 2, 3}, Measures: "both"},
	}
}

// Versions are counted by office; the same content is no new version, and a
// request that comes again gets its first answer.
func TestTemplateVersions(t *testing.T) {
	t.Parallel()
	s, ctx := storetest.New(t), storetest.Context(company)
	save := func(request string, in estimating.SavedTemplate) (estimating.SavedTemplate, bool) {
		t.Helper()
		kept, applied, err := s.SaveTemplate(ctx, estimating.RequestKey{Company: company, RequestID: request, Hash: in.Hash}, in)
		if err != nil {
			t.Fatal(err)
		}
		return kept, applied
	}
	for i, step := range []struct {
		request, title string
		version        int
		applied        bool
	}{{"a", "Harrow", 1, true}, {"b", "Harrow", 1, false}, {"c", "Harrow & Daughters", 2, true}, {"a", "Harrow", 1, true}, {"d", "Harrow", 3, true}} {
		if kept, applied := save(step.request, template(office.Main, step.title)); kept.Version != step.version || applied != step.applied || kept.Template.Title != step.title {
			t.Errorf("step %d: version %d of %q, applied %t", i, kept.Version, kept.Template.Title, applied)
		}
	}
	_, _, err := s.SaveTemplate(ctx, estimating.RequestKey{Company: company, RequestID: "a", Hash: [32]byte{9}}, template(office.Main, "x"))
	if reasonOf(err) != "REQUEST_ID_REUSED" {
		t.Errorf("a request id for another request: %v", err)
	}
	save("n", template("north", "North"))
	for _, c := range []struct {
		offices []string
		version int
		title   string
	}{{[]string{"main"}, 2, "Harrow & Daughters"}, {[]string{"north", "main"}, 0, "North"}, {[]string{"south", "main"}, 0, "Harrow"}} {
		got, err := s.Template(ctx, company, c.offices, c.version)
		if err != nil || got.Template.Title != c.title || !bytes.Equal(got.Template.Logo, []byte{1, 2, 3}) || got.Template.Measures != "both" {
			t.Errorf("%v: %+v, %v", c, got, err)
		}
	}
	if _, err := s.Template(ctx, company, []string{"south"}, 0); reasonOf(err) != "TEMPLATE_NOT_FOUND" {
		t.Errorf("none: %v", err)
	}
	list := func(f estimating.TemplateFilter) (names []string) {
		f.Company = company
		all, err := s.ListTemplates(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, each := range all {
			names = append(names, each.Template.Title)
			if len(each.Template.Logo) > 0 {
				t.Error("a list has logos")
			}
		}
		return names
	}
	if got := list(estimating.TemplateFilter{Limit: 9}); len(got) != 2 || got[0] != "Harrow" || got[1] != "North" {
		t.Errorf("newest: %q", got)
	}
	if got := list(estimating.TemplateFilter{Every: true, AfterOffice: "main", BeforeVersion: 3, Limit: 2}); len(got) != 2 || got[0] != "Harrow & Daughters" {
		t.Errorf("every version, second page: %q", got)
	}
}

// Whoever is not at an office or under it sees no template of it, and writes
// none.
func TestTemplatesOfOthers(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	if _, _, err := s.SaveTemplate(storetest.Context(company), estimating.RequestKey{Company: company}, template("north", "North")); err != nil {
		t.Fatal(err)
	}
	tree := office.NewTree([]office.Office{{ID: "main"}, {ID: "north", Parent: "main"}, {ID: "south", Parent: "main"}})
	south := estimating.WithCaller(t.Context(), auth.Caller{Company: company, Office: "south", Role: auth.Admin, Tree: tree})
	if _, err := s.Template(south, company, []string{"north"}, 0); reasonOf(err) != "TEMPLATE_NOT_FOUND" {
		t.Errorf("south reads north's: %v", err)
	}
	if _, _, err := s.SaveTemplate(south, estimating.RequestKey{Company: company}, template("north", "South's")); err == nil {
		t.Error("south writes north's")
	}
}

// The first of the same inputs is kept and told; another hash of them stands
// beside it, other inputs begin anew.
func TestRecordedPapers(t *testing.T) {
	t.Parallel()
	s, ctx := storetest.New(t), storetest.Context(company)
	r := record("q1", "2026-03-01T12:00:00Z")
	if _, err := s.InsertQuote(ctx, estimating.RequestKey{Company: company, RequestID: "q"}, r); err != nil {
		t.Fatal(err)
	}
	for i, step := range []struct {
		madeOf string
		hash   byte
		isNew  bool
		first  byte
	}{{"a", 1, true, 1}, {"a", 1, false, 1}, {"a", 2, false, 1}, {"a", 2, false, 1}, {"b", 2, true, 2}} {
		first, err := s.RecordPaper(ctx, estimating.PaperRecord{
			Company: company, Quote: r.ID, Office: r.Office, Kind: paper.Proposal, MadeOf: step.madeOf, Hash: [32]byte{step.hash}, MadeAt: made.AddDate(0, 0, i),
		})
		if err != nil || first.New != step.isNew || first.Hash != [32]byte{step.first} {
			t.Errorf("step %d: %+v, %v", i, first, err)
		}
	}
}

func reasonOf(err error) string {
	if e, ok := errors.AsType[*fault.Error](err); ok {
		return e.Reason
	}
	return ""
}
