package rpc

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

const cedar = "companies/harrow/specs/cedar-privacy"

func (o shop) catalog() wattlev1.CatalogServiceClient {
	return wattlev1.NewCatalogServiceClient(o.conn)
}

func saveRequest(requestID, height string) *wattlev1.SaveSpecRequest {
	return &wattlev1.SaveSpecRequest{Name: cedar, RequestId: requestID, Title: "Cedar privacy", Spec: &wattlev1.Spec{Name: "Cedar", Height: height}}
}

func (o shop) save(t *testing.T, request *wattlev1.SaveSpecRequest) *wattlev1.SaveSpecResponse {
	t.Helper()
	answer, err := o.catalog().SaveSpec(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	return answer
}

func TestSavedSpecsOverTheWire(t *testing.T) {
	o := openOffice(t, Config{})
	first := o.save(t, saveRequest("1", "6 ft"))
	s := first.GetSavedSpec()
	if !first.GetApplied() || s.GetName() != cedar || s.GetVersion() != 1 || s.GetTitle() != "Cedar privacy" || s.GetOffice() != "main" ||
		len(s.GetSha256()) != 64 || s.GetRulesVersion() < 2 || s.GetWithdrawn() || s.GetCreateTime().AsTime().Year() != 2026 {
		t.Errorf("saved %v", first)
	}
	if s.GetSpec().GetHeight() != "6 ft" || s.GetSpec().GetKerf() != "1/8 in" {
		t.Errorf("the spec is not answered with its defaults: %v", s.GetSpec())
	}
	if again := o.save(t, saveRequest("1", "6 ft")); !proto.Equal(again, first) {
		t.Errorf("the same request again: %v", again)
	}
	// The same content, said in full.
	full := saveRequest("2", "72 in")
	full.Spec = s.GetSpec()
	if same := o.save(t, full); same.GetApplied() || same.GetSavedSpec().GetVersion() != 1 || same.GetSavedSpec().GetSha256() != s.GetSha256() {
		t.Errorf("the same content: %v", same)
	}
	untitled := saveRequest("3", "6 ft")
	untitled.Title = ""
	if next := o.save(t, untitled); !next.GetApplied() || next.GetSavedSpec().GetVersion() != 2 || next.GetSavedSpec().GetTitle() != "Cedar" {
		t.Errorf("with the title of the spec: %v", next)
	}
	if next := o.save(t, saveRequest("4", "5 ft")); next.GetSavedSpec().GetVersion() != 3 || next.GetSavedSpec().GetSha256() == s.GetSha256() {
		t.Errorf("another height: %v", next)
	}
	_, err := o.catalog().SaveSpec(t.Context(), saveRequest("1", "5 ft"))
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")

	for version, height := range map[int32]string{0: "5 ft", 1: "6 ft", 3: "5 ft"} {
		got, err := o.catalog().GetSpec(t.Context(), &wattlev1.GetSpecRequest{Name: cedar, Version: version})
		if err != nil || got.GetSavedSpec().GetSpec().GetHeight() != height {
			t.Errorf("version %d: %v, %v", version, got, err)
		}
	}
	for _, request := range []*wattlev1.GetSpecRequest{{Name: cedar, Version: 4}, {Name: "companies/harrow/specs/pine"}, {Name: "standard/nothing"}} {
		_, err := o.catalog().GetSpec(t.Context(), request)
		st := wants(t, err, codes.NotFound, "SPEC_NOT_FOUND")
		if r := detail[*errdetails.ResourceInfo](st); !strings.HasPrefix(r.GetResourceName(), request.GetName()) {
			t.Errorf("%v names %q", request, r.GetResourceName())
		}
	}
}

func TestWithdrawSpec(t *testing.T) {
	o := openOffice(t, Config{})
	withdraw := func(requestID string) (*wattlev1.WithdrawSpecResponse, error) {
		return o.catalog().WithdrawSpec(t.Context(), &wattlev1.WithdrawSpecRequest{Name: cedar, RequestId: requestID})
	}
	_, err := withdraw("early")
	wants(t, err, codes.NotFound, "SPEC_NOT_FOUND")
	o.save(t, saveRequest("1", "6 ft"))
	for range 2 { // the second is a repetition
		gone, err := withdraw("w")
		if s := gone.GetSavedSpec(); err != nil || !gone.GetApplied() || s.GetVersion() != 2 || !s.GetWithdrawn() || s.GetSpec() != nil || s.GetSha256() != "" || s.GetTitle() != "Cedar privacy" {
			t.Errorf("withdrawn: %v, %v", gone, err)
		}
	}
	if again, err := withdraw("w2"); err != nil || again.GetApplied() || again.GetSavedSpec().GetVersion() != 2 {
		t.Errorf("withdrawn again: %v, %v", again, err)
	}
	request := named(yard(), "cedar-privacy")
	_, err = wattlev1.NewLayoutServiceClient(o.conn).PlanLayout(t.Context(), request)
	wants(t, err, codes.FailedPrecondition, "SPEC_WITHDRAWN")
	request.SavedSpec = "cedar-privacy@2"
	_, err = wattlev1.NewLayoutServiceClient(o.conn).PlanLayout(t.Context(), request)
	wants(t, err, codes.FailedPrecondition, "SPEC_WITHDRAWN")
	request.SavedSpec = "cedar-privacy@1"
	if _, err := wattlev1.NewLayoutServiceClient(o.conn).PlanLayout(t.Context(), request); err != nil {
		t.Errorf("a version from before: %v", err)
	}
	versions, err := o.catalog().ListSpecVersions(t.Context(), &wattlev1.ListSpecVersionsRequest{Name: cedar})
	if err != nil || len(versions.GetSavedSpecs()) != 2 || !versions.GetSavedSpecs()[0].GetWithdrawn() || versions.GetSavedSpecs()[1].GetSpec() != nil {
		t.Errorf("versions %v, %v", versions, err)
	}
	if back := o.save(t, saveRequest("2", "6 ft")); !back.GetApplied() || back.GetSavedSpec().GetVersion() != 3 {
		t.Errorf("saved anew: %v", back)
	}
}

func TestListSpecsPageByPage(t *testing.T) {
	o := openOffice(t, Config{})
	var own, standard []string
	for i := range 4 {
		request := saveRequest(fmt.Sprint(i), "6 ft")
		request.Name += fmt.Sprint("-", i)
		o.save(t, request)
		own = append(own, request.GetName())
	}
	for _, e := range catalog.Standard() {
		standard = append(standard, e.Name)
	}
	for size := range int32(8) {
		for _, c := range []struct {
			request *wattlev1.ListSpecsRequest
			want    []string
		}{
			{&wattlev1.ListSpecsRequest{Parent: "companies/harrow"}, own},
			{&wattlev1.ListSpecsRequest{Parent: "companies/harrow", IncludeStandard: true}, slices.Concat(own, standard)},
			{&wattlev1.ListSpecsRequest{}, standard},
		} {
			c.request.PageSize = size
			var got []string
			for {
				page, err := o.catalog().ListSpecs(t.Context(), c.request)
				if err != nil {
					t.Fatal(err)
				}
				for _, s := range page.GetSavedSpecs() {
					if s.GetSpec() != nil || len(s.GetSha256()) != 64 {
						t.Errorf("%s in a list: %v", s.GetName(), s)
					}
					got = append(got, s.GetName())
				}
				if c.request.PageToken = page.GetNextPageToken(); c.request.GetPageToken() == "" {
					break
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("pages of %d of %q: %q, want %q", size, c.request.GetParent(), got, c.want)
			}
		}
	}
	_, err := o.catalog().ListSpecs(t.Context(), &wattlev1.ListSpecsRequest{Parent: "companies/harrow", PageToken: "x"})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "page_token: ") {
		t.Errorf("%q", got)
	}
}

func TestListSpecVersionsPageByPage(t *testing.T) {
	o := openOffice(t, Config{})
	for i := range 5 {
		o.save(t, saveRequest(fmt.Sprint(i), fmt.Sprint(4+i%2, " ft")))
	}
	for size := range int32(7) {
		var got []int32
		request := &wattlev1.ListSpecVersionsRequest{Name: cedar, PageSize: size}
		for {
			page, err := o.catalog().ListSpecVersions(t.Context(), request)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range page.GetSavedSpecs() {
				got = append(got, s.GetVersion())
			}
			if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
				break
			}
		}
		if want := []int32{5, 4, 3, 2, 1}; !slices.Equal(got, want) {
			t.Errorf("pages of %d: %v, want %v", size, got, want)
		}
	}
	_, err := o.catalog().ListSpecVersions(t.Context(), &wattlev1.ListSpecVersionsRequest{Name: "companies/harrow/specs/pine"})
	wants(t, err, codes.NotFound, "SPEC_NOT_FOUND")
	standard, err := o.catalog().ListSpecVersions(t.Context(), &wattlev1.ListSpecVersionsRequest{Name: "standard/vertical-boards-6ft"})
	if err != nil || len(standard.GetSavedSpecs()) != 1 || standard.GetSavedSpecs()[0].GetVersion() != 1 {
		t.Errorf("of a standard one: %v, %v", standard, err)
	}
}

// Standard specs need no store.
func TestStandardSpecs(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	site := yard().GetSite()
	site.Runs[0].Gates = nil // what leaves a family may have is its own affair
	for _, e := range catalog.Standard() {
		got, err := wattlev1.NewCatalogServiceClient(conn).GetSpec(t.Context(), &wattlev1.GetSpecRequest{Name: e.Name, Version: 1})
		if err != nil {
			t.Fatal(err)
		}
		s := got.GetSavedSpec()
		if s.GetName() != e.Name || s.GetVersion() != 1 || s.GetTitle() != e.Title || s.GetOffice() != "" || s.GetCreateTime() != nil || s.GetSpec().GetHeight() != e.Spec.Height.String() {
			t.Errorf("%s: %v", e, s)
		}
		answer, err := wattlev1.NewTakeoffServiceClient(conn).ComputeTakeoff(t.Context(), &wattlev1.ComputeTakeoffRequest{Site: site, SavedSpec: e.Name})
		if err != nil || len(answer.GetTakeoff().GetLines()) == 0 {
			t.Errorf("%s cannot be counted: %v", e, err)
		}
	}
}

// Every mistake at once, by field, of shape and of meaning.
func TestBadCatalogRequests(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	client := wattlev1.NewCatalogServiceClient(conn)
	for name, c := range map[string]struct {
		call func() error
		want []string
	}{
		"nothing": {
			func() error { _, err := client.SaveSpec(t.Context(), &wattlev1.SaveSpecRequest{}); return err },
			[]string{"name: ", "request_id: ", "spec: value is required"},
		},
		"shape and meaning": {
			func() error {
				_, err := client.SaveSpec(t.Context(), &wattlev1.SaveSpecRequest{
					Name: "companies/harrow/specs/Cedar", RequestId: "two words", Title: "a\nb", Office: "Main", Spec: &wattlev1.Spec{Height: "6"},
				})
				return err
			},
			[]string{"request_id: ", "title: ", "office: ", `name: "Cedar" is not a name; expected lower-case words`, `spec.height: "6" is not a length`},
		},
		"meaning": {
			func() error {
				_, err := client.SaveSpec(t.Context(), &wattlev1.SaveSpecRequest{
					Name: cedar, RequestId: "r", Spec: &wattlev1.Spec{Height: "6 ft", GroundClearance: new("7 ft"), Rails: &wattlev1.Spec_Rails{Count: 99}},
				})
				return err
			},
			[]string{"spec.ground_clearance: ", "spec.rails.count: "},
		},
		"a long name": {
			func() error {
				_, err := client.GetSpec(t.Context(), &wattlev1.GetSpecRequest{Name: "companies/harrow/specs/" + strings.Repeat("a", 65), Version: -1})
				return err
			},
			[]string{"version: ", "name: expected a name of at most 64 bytes, found 65"},
		},
		"saving a standard one": {
			func() error {
				_, err := client.SaveSpec(t.Context(), &wattlev1.SaveSpecRequest{Name: "standard/vertical-boards-6ft", RequestId: "r", Spec: yard().GetSpec()})
				return err
			},
			[]string{"name: "},
		},
		"withdrawing a standard one": {
			func() error {
				_, err := client.WithdrawSpec(t.Context(), &wattlev1.WithdrawSpecRequest{Name: "standard/vertical-boards-6ft", RequestId: "r"})
				return err
			},
			[]string{"name: "},
		},
		"versions of no name": {
			func() error {
				_, err := client.ListSpecVersions(t.Context(), &wattlev1.ListSpecVersionsRequest{Name: "companies/harrow/specs/-", PageSize: -1})
				return err
			},
			[]string{"page_size: ", "name: "},
		},
	} {
		got := describe(status.Convert(c.call()))
		ok := len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && strings.HasPrefix(got[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s: got\n%s\nwant the starts\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// The hash is that of the document, which anyone can make of the spec.
func TestSavedSpecHash(t *testing.T) {
	o := openOffice(t, Config{})
	answer := o.save(t, saveRequest("1", "6 ft"))
	stored, err := o.use.GetSpec(storetest.Context("harrow"), "harrow", catalog.Ref{Name: "cedar-privacy"})
	if sum := sha256.Sum256(stored.Document); err != nil || hex.EncodeToString(sum[:]) != answer.GetSavedSpec().GetSha256() {
		t.Errorf("%s is not the hash of %s, %v", answer.GetSavedSpec().GetSha256(), stored.Document, err)
	}
}
