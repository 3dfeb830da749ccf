package estimating_test

import (
	"crypto/sha256"
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"wattle/internal/catalog"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Each standard spec of every family can be laid out and counted on a plain
// straight run, and is saved by its document unchanged.
func TestStandardSpecsBuild(t *testing.T) {
	use := &estimating.Service{}
	st := site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: measure.Must("54' 6\"")}}}}}
	for _, e := range catalog.Standard() {
		saved, sp, err := use.SpecByName(scoped(), "", e.Ref)
		if err != nil || saved.Ref != e.Ref || saved.Hash != sha256.Sum256(saved.Document) {
			t.Errorf("%s: %s, %v", e, saved.Ref, err)
			continue
		}
		if lost := differing(sp, e.Spec.WithDefaults()); len(lost) > 0 {
			t.Errorf("%s is another when it is read from its document: its %v", e, lost)
		}
		counted, err := use.ComputeTakeoff(scoped(), st, sp, civil.Must("2026-03-02"))
		if err != nil || len(counted.Layout.Posts) < 3 {
			t.Errorf("%s: %v", e, err)
		}
	}
}

// differing are the fields in which two specs differ.
func differing(a, b spec.Spec) (fields []string) {
	va, vb := reflect.ValueOf(a), reflect.ValueOf(b)
	for i := range va.NumField() {
		if !reflect.DeepEqual(va.Field(i).Interface(), vb.Field(i).Interface()) {
			fields = append(fields, va.Type().Field(i).Name)
		}
	}
	return fields
}

// What was saved by older rules is read by those: it means today what it meant
// then.
func TestASpecSavedByOlderRules(t *testing.T) {
	ctx := scoped()
	store := storetest.New(t)
	use := service(store)
	for _, name := range []string{"back-yard", "crossing"} { // of rules versions 1 and 2
		old, err := os.ReadFile("../../testdata/fingerprints/" + name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		r, q, err := quote.ParseDocument(old)
		if err != nil {
			t.Fatal(err)
		}
		var parts struct {
			Rules   string `json:"rules_version"`
			Request struct {
				Spec json.RawMessage `json:"spec"`
			} `json:"request"`
		}
		if err := json.Unmarshal(old, &parts); err != nil {
			t.Fatal(err)
		}
		document := []byte(`{"rules_version":"` + parts.Rules + `","spec":` + string(parts.Request.Spec) + `}`)
		_, _, err = store.SaveSpec(ctx, key("SaveSpec", name), estimating.SavedSpec{
			Company: company, Ref: catalog.Ref{Name: name}, Office: "main", CreatedAt: use.Now(),
			RulesVersion: r.RulesVersion, Document: document, Hash: sha256.Sum256(document),
		})
		if err != nil {
			t.Fatal(err)
		}
		saved, sp, err := use.SpecByName(ctx, company, catalog.Ref{Name: name})
		if err != nil || saved.RulesVersion != r.RulesVersion || saved.RulesVersion >= quote.RulesVersion || len(differing(sp, r.Spec)) > 0 {
			t.Errorf("%s of version %d: %v, other fields %v", name, saved.RulesVersion, err, differing(sp, r.Spec))
		}
		l, err := layout.Plan(r.Site, sp)
		if err != nil || len(l.Posts) != len(q.Layout.Posts) || len(l.Bays) != len(q.Layout.Bays) {
			t.Errorf("%s: %d posts, %v; it had %d", name, len(l.Posts), err, len(q.Layout.Posts))
		}
		// Saved anew it is today's.
		again, applied, err := use.SaveSpec(ctx, estimating.SaveSpec{Key: key("SaveSpec", name+" again"), Name: name, Spec: sp})
		if err != nil || !applied || again.Version != 2 || again.RulesVersion != quote.RulesVersion {
			t.Errorf("%s saved anew: %s of rules version %d, %v", name, again.Ref, again.RulesVersion, err)
		}
	}
}

// A document that the rules of this program cannot read is an error, and never
// taken for another spec.
func TestUnreadableSpecs(t *testing.T) {
	ctx := scoped()
	store := storetest.New(t)
	use := service(store)
	for document, kind := range map[string]fault.Kind{`{"rules_version":"1000","spec":{}}`: fault.Refused, "no JSON": fault.Internal} {
		_, _, err := store.SaveSpec(ctx, key("SaveSpec", document), estimating.SavedSpec{
			Company: company, Ref: catalog.Ref{Name: "odd"}, CreatedAt: use.Now(), RulesVersion: 1000,
			Document: []byte(document), Hash: sha256.Sum256([]byte(document)),
		})
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := use.SpecByName(ctx, company, catalog.Ref{Name: "odd"}); err == nil || fault.KindOf(err) != kind {
			t.Errorf("%s: %v", document, err)
		}
	}
}

// Another spelling of a name in Unicode is no other spec.
func TestSaveSpecIsInOneForm(t *testing.T) {
	use := service(storetest.New(t))
	for i, name := range []string{"cafe\u0301", "caf\u00e9"} {
		saved, applied, err := use.SaveSpec(scoped(), estimating.SaveSpec{
			Key: key("SaveSpec", name), Name: "cafe", Title: "Café", Spec: spec.Spec{Name: name, Height: measure.Must("6 ft")},
		})
		if err != nil || saved.Version != 1 || applied != (i == 0) {
			t.Errorf("%q: %s, %t, %v", name, saved.Ref, applied, err)
		}
	}
}
