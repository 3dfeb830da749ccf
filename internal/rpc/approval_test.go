package rpc

import (
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/postgres/storetest"
)

// A quote under its office's margin floor is issued once somebody approved it at
// the office that set the floor or above, and by nobody whom the floor binds.
func TestApprovals(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	root := b.as(t, storetest.FirstKey(t, b.store, "harrow"))
	floor := func(office, percent, requestID string) {
		t.Helper()
		_, err := wattlev1.NewOfficeServiceClient(root).UpdateOffice(t.Context(), &wattlev1.UpdateOfficeRequest{
			Office: &wattlev1.Office{
				Name: "companies/harrow/offices/" + office, Settings: &wattlev1.OfficeSettings{MarginFloorPercent: &percent},
			},
			UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"settings.margin_floor_percent"}}, RequestId: requestID,
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	north := wattlev1.NewQuoteServiceClient(b.at(t, "north", auth.Estimator))
	draft := func(requestID string) string {
		t.Helper()
		answer, err := north.CreateQuote(t.Context(), job(requestID)) // 15 % on cost and overhead: a margin of 13.04 %
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetQuote().GetName()
	}
	issue := func(name, requestID string) error {
		_, err := north.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: name, RequestId: requestID})
		return err
	}
	approve := func(conn grpc.ClientConnInterface, name, requestID string) (*wattlev1.ApproveQuoteResponse, error) {
		return wattlev1.NewQuoteServiceClient(conn).ApproveQuote(t.Context(), &wattlev1.ApproveQuoteRequest{Name: name, RequestId: requestID})
	}

	floor("main", "13", "f1")
	kept := draft("kept")
	if err := issue(kept, "i1"); err != nil {
		t.Errorf("at its floor: %v", err)
	}
	_, err := approve(root, draft("free"), "a0")
	wants(t, err, codes.FailedPrecondition, "APPROVAL_NOT_NEEDED")

	floor("main", "20", "f2")
	name := draft("under")
	wants(t, issue(name, "i2"), codes.FailedPrecondition, "APPROVAL_NEEDED")
	if err := issue(kept, "i1"); err != nil {
		t.Errorf("a repeated call after the floor rose: %v", err)
	}
	_, err = approve(b.at(t, "north", auth.Pricer), name, "a1")
	wants(t, err, codes.PermissionDenied, "OFFICE_NOT_YOURS")
	_, err = approve(b.at(t, "main", auth.Estimator), name, "a1")
	wants(t, err, codes.PermissionDenied, "ROLE_TOO_LOW")
	_, err = approve(b.as(t, storetest.FirstKey(t, b.store, "larch")), name, "a1")
	wants(t, err, codes.PermissionDenied, "COMPANY_NOT_YOURS")
	_, err = approve(b.at(t, "south", auth.Pricer), name, "a1")
	wants(t, err, codes.NotFound, "QUOTE_NOT_FOUND")
	pricer := b.at(t, "main", auth.Pricer) // who writes at main alone
	first, err := approve(pricer, name, "a2")
	if err != nil || first.GetMarginPercent() != "13.0435" || first.GetFloorPercent() != "20" || first.GetApproverOffice() != "main" {
		t.Fatalf("approved %v, %v", first, err)
	}
	if again, err := approve(pricer, name, "a3"); err != nil || again.GetApproveTime().AsTime() != first.GetApproveTime().AsTime() {
		t.Errorf("approved again %v, %v", again, err)
	}
	if err := issue(name, "i3"); err != nil {
		t.Errorf("approved: %v", err)
	}
	_, err = approve(root, name, "a4") // it is no draft any more
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")

	// A floor that north has of its own is north's to lift.
	floor("north", "40", "f3")
	own := draft("own")
	wants(t, issue(own, "i4"), codes.FailedPrecondition, "APPROVAL_NEEDED")
	if _, err := approve(b.at(t, "north", auth.Pricer), own, "a5"); err != nil {
		t.Error(err)
	}
	if err := issue(own, "i5"); err != nil {
		t.Error(err)
	}
}
