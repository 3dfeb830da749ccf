package rest_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// What a finished job used, over HTTP: recorded, read, compared, summed up, and
// held against gRPC's answers and the OpenAPI document.
func TestFinishedJobsOverHTTP(t *testing.T) {
	o := openOffice(t)
	o.importDemo(t)
	const quote = "/v1/companies/harrow/quotes/q0001"
	read(t, o, &wattlev1.CreateQuoteResponse{}, http.MethodPost, "/v1/companies/harrow/quotes", clientJob(t, nil))
	read(t, o, &wattlev1.IssueQuoteResponse{}, http.MethodPost, quote+":issue", `{"requestId": "i"}`)
	read(t, o, &wattlev1.AcceptQuoteResponse{}, http.MethodPost, quote+":accept", `{"requestId": "a", "decidedBy": "PARTY_CUSTOMER"}`)

	bad, body := o.ask(t, http.MethodPost, quote+"/actuals", `{"requestId": "r", "finishedOn": "2026-04-01", "crew": "crew-2", "hours": "-1", "labourPaid": "0.001",
		"hoursOf": "HOURS_OF_PERSON", "materials": [{"item": "gravel", "quantity": "3", "unit": "bag"}, {"item": "gravel", "quantity": "3", "unit": "ft3"}]}`)
	for _, field := range []string{"finishedOn", "hoursOf", "materials[0].unit", "materials[1].item", "hours", "labourPaid"} {
		if bad.StatusCode != http.StatusBadRequest || !strings.Contains(body, `"field":"`+field+`"`) {
			t.Errorf("%s says nothing of %s: %s", bad.Status, field, body)
		}
	}
	const record = `{"requestId": "r", "finishedOn": "2026-03-16", "crew": "crew-2", "hours": "21.5", "materials": [{"item": "gravel", "quantity": "3", "unit": "ft3"}]}`
	made := read(t, o, &wattlev1.RecordActualsResponse{}, http.MethodPost, quote+"/actuals", record).GetActuals()
	if again := read(t, o, &wattlev1.RecordActualsResponse{}, http.MethodPost, quote+"/actuals", record).GetActuals(); !proto.Equal(again, made) || made.GetVersion() != 1 {
		t.Errorf("recorded as %v and %v", made, again)
	}
	if refused, body := o.ask(t, http.MethodPost, quote+"/actuals", strings.Replace(record, `"r"`, `"r2"`, 1)); refused.StatusCode != http.StatusConflict || !strings.Contains(body, "ACTUALS_RECORDED") {
		t.Errorf("recorded twice: %s %s", refused.Status, body)
	}
	stored, err := wattlev1.NewActualsServiceClient(o.conn).GetActuals(t.Context(), &wattlev1.GetActualsRequest{Quote: "companies/harrow/quotes/q0001"})
	if got := read(t, o, &wattlev1.GetActualsResponse{}, http.MethodGet, quote+"/actuals?version=1", ""); err != nil || !proto.Equal(got, stored) || !proto.Equal(got.GetActuals(), made) {
		t.Errorf("read as %v, %v", got, err)
	}
	compared := read(t, o, &wattlev1.CompareActualsResponse{}, http.MethodGet, quote+"/actuals:compare", "")
	if i := slices.IndexFunc(compared.GetLines(), func(l *wattlev1.ActualsLine) bool { return l.GetName() == "crew-hour" }); i < 0 || compared.GetLines()[i].GetActual() != "21.5" {
		t.Errorf("compared as %v", compared)
	}
	sum := read(t, o, &wattlev1.SummarizeActualsResponse{}, http.MethodGet, "/v1/companies/harrow/actuals:summarize?byCrew=true&subject=SUBJECT_TASK&leastJobs=1", "")
	if sum.GetJobs() != 1 || len(sum.GetGroups()) != 1 || sum.GetGroups()[0].GetFactor() == "" || sum.GetGroups()[0].GetNote() != "rates are of an office, not of a crew" {
		t.Errorf("summed up as %v", sum)
	}
	doc := served(t, o.base)
	for route, address := range map[string]string{
		"GET /v1/companies/{company}/actuals":                        "/v1/companies/harrow/actuals?crew=crew-2",
		"GET /v1/companies/{company}/actuals:summarize":              "/v1/companies/harrow/actuals:summarize?leastJobs=1",
		"GET /v1/companies/{company}/quotes/{quote}/actuals":         quote + "/actuals",
		"GET /v1/companies/{company}/quotes/{quote}/actuals:compare": quote + "/actuals:compare",
	} {
		response, body := o.ask(t, http.MethodGet, address, "")
		if response.StatusCode != http.StatusOK {
			t.Errorf("%s: %s %s", route, response.Status, body)
			continue
		}
		follows(t, doc, route, body)
	}
}
