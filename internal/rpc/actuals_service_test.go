package rpc

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
)

func (l *lives) actuals() wattlev1.ActualsServiceClient {
	return wattlev1.NewActualsServiceClient(l.conn)
}

// sold is an accepted quote.
func (l *lives) sold(t *testing.T, change ...func(*wattlev1.CreateQuoteRequest)) *wattlev1.Quote {
	t.Helper()
	q, err := l.accept(t, l.issue(t, l.draft(t, change...)))
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// record is what a job of openLives used: hours as a third of its estimate more.
func record(q *wattlev1.Quote, requestID string) *wattlev1.RecordActualsRequest {
	return &wattlev1.RecordActualsRequest{
		Quote: q.GetName(), RequestId: requestID, FinishedOn: "2026-03-05", Crew: "crew-2", Hours: "14.2", LabourPaid: "880.4",
		Materials: []*wattlev1.MaterialUsed{
			{Item: "gravel", Quantity: "0.5", Unit: "yd3", Paid: "30"}, {Item: "post-4x4-8ft", Quantity: "7", Unit: "each"}, {Item: "sod", Quantity: "2", Unit: "roll"},
		},
	}
}

func (l *lives) record(t *testing.T, request *wattlev1.RecordActualsRequest) *wattlev1.Actuals {
	t.Helper()
	answer, err := l.actuals().RecordActuals(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	return answer.GetActuals()
}

func TestWhatAJobUsedIsRecordedAndCorrected(t *testing.T) {
	l := openLives(t)
	q := l.sold(t)
	request := record(q, "r")
	made := l.record(t, request)
	want := &wattlev1.Actuals{
		Job: q.GetName(), Quote: q.GetName(), Office: "main", Version: 1, Etag: "1", FinishedOn: "2026-03-05", Crew: "crew-2",
		Materials: []*wattlev1.MaterialUsed{{Item: "gravel", Quantity: "13.5", Unit: "ft3", Paid: "30.00"}, {Item: "post-4x4-8ft", Quantity: "7", Unit: "each"}, {Item: "sod", Quantity: "2", Unit: "roll"}},
		Hours:     "14.2", HoursOf: wattlev1.HoursOf_HOURS_OF_CREW, Currency: "USD", LabourPaid: "880.40", CreateTime: made.GetCreateTime(), RecordedBy: made.GetRecordedBy(),
	}
	if !proto.Equal(made, want) || !made.GetCreateTime().AsTime().Equal(*l.now) || made.GetRecordedBy() == "" {
		t.Errorf("recorded as %v, want %v", made, want)
	}
	_, err := l.actuals().RecordActuals(t.Context(), record(q, "r2"))
	if st := wants(t, err, codes.AlreadyExists, "ACTUALS_RECORDED"); detail[*errdetails.ErrorInfo](st).GetMetadata()["etag"] != "1" {
		t.Errorf("the etag to correct by is not told: %v", st.Details())
	}
	other := record(q, "r")
	other.Hours = "15"
	_, err = l.actuals().RecordActuals(t.Context(), other)
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	other.RequestId, other.Etag = "r3", "2"
	_, err = l.actuals().RecordActuals(t.Context(), other)
	wants(t, err, codes.Aborted, "ETAG_MISMATCH")
	other.Etag = "1"
	if corrected := l.record(t, other); corrected.GetVersion() != 2 || corrected.GetHours() != "15" {
		t.Errorf("corrected as %v", corrected)
	}
	// A repeated request gets what it made, whatever came after it.
	if again := l.record(t, request); !proto.Equal(again, made) {
		t.Errorf("again: %v", again)
	}
	get := func(version *int32) *wattlev1.Actuals {
		t.Helper()
		answer, err := l.actuals().GetActuals(t.Context(), &wattlev1.GetActualsRequest{Quote: q.GetName(), Version: version})
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetActuals()
	}
	if first, newest := get(new(int32(1))), get(nil); !proto.Equal(first, made) || newest.GetVersion() != 2 {
		t.Errorf("read as %v and %v", first, newest)
	}
	_, err = l.actuals().GetActuals(t.Context(), &wattlev1.GetActualsRequest{Quote: q.GetName(), Version: new(int32(3))})
	wants(t, err, codes.NotFound, "ACTUALS_NOT_FOUND")
	l.replays(t, q.GetName())
	events, err := wattlev1.NewEventServiceClient(l.conn).ListEvents(t.Context(), &wattlev1.ListEventsRequest{Parent: "companies/harrow", Types: []string{"actuals.recorded"}})
	if err != nil || len(events.GetEvents()) != 2 || events.GetEvents()[1].GetSubject() != q.GetName()+"/actuals" || events.GetEvents()[1].GetSequence() != 2 {
		t.Errorf("told as %v, %v", events, err)
	}
}

func TestOnlyTheNewestAcceptedQuoteIsRecordedFor(t *testing.T) {
	l := openLives(t)
	draft := l.draft(t)
	_, err := l.actuals().RecordActuals(t.Context(), record(draft, "d"))
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")
	_, err = l.actuals().RecordActuals(t.Context(), record(&wattlev1.Quote{Name: draft.GetName() + "x"}, "x"))
	wants(t, err, codes.NotFound, "QUOTE_NOT_FOUND")

	first := l.sold(t)
	_, err = l.actuals().CompareActuals(t.Context(), &wattlev1.CompareActualsRequest{Quote: first.GetName()})
	wants(t, err, codes.NotFound, "ACTUALS_NOT_FOUND")
	l.record(t, record(first, "a"))
	changes := func(r *wattlev1.CreateQuoteRequest) { r.ChangesQuote = first.GetName() }
	l.draft(t, changes) // not accepted, so it changes nothing
	*l.now = l.now.Add(time.Hour)
	order := l.sold(t, changes)
	correction := record(first, "b")
	correction.Etag = "1"
	_, err = l.actuals().RecordActuals(t.Context(), correction)
	if st := wants(t, err, codes.FailedPrecondition, "QUOTE_CHANGED"); detail[*errdetails.ErrorInfo](st).GetMetadata()["newest"] != order.GetName() {
		t.Errorf("the newest is not told: %v", st.Details())
	}
	correction.Quote = order.GetName()
	if a := l.record(t, correction); a.GetJob() != first.GetName() || a.GetQuote() != order.GetName() || a.GetVersion() != 2 {
		t.Errorf("recorded as %v", a)
	}
	list, err := l.actuals().ListActuals(t.Context(), &wattlev1.ListActualsRequest{Parent: "companies/harrow"})
	if err != nil || len(list.GetActuals()) != 1 || list.GetActuals()[0].GetVersion() != 2 || list.GetActuals()[0].GetMaterials() != nil {
		t.Errorf("listed as %v, %v", list, err)
	}
	compared, err := l.actuals().CompareActuals(t.Context(), &wattlev1.CompareActualsRequest{Quote: first.GetName()})
	if err != nil || compared.GetActuals().GetQuote() != order.GetName() {
		t.Errorf("compared as %v, %v", compared.GetActuals(), err)
	}
}

// hours are those that a quote counts for the crew.
func (l *lives) hours(t *testing.T, q *wattlev1.Quote) string {
	t.Helper()
	answer, err := l.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: q.GetName(), View: wattlev1.QuoteView_QUOTE_VIEW_FULL})
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range answer.GetQuote().GetLines() {
		if line.GetItem() == "crew-hour" || line.GetItem() == "labour-hour" {
			return line.GetQuantity()
		}
	}
	t.Fatalf("%s has no hours", q.GetName())
	return ""
}

func TestAJobLineByLine(t *testing.T) {
	l := openLives(t)
	q := l.sold(t)
	l.record(t, record(q, "r"))
	compared, err := l.actuals().CompareActuals(t.Context(), &wattlev1.CompareActualsRequest{Quote: q.GetName()})
	if err != nil {
		t.Fatal(err)
	}
	sides := map[wattlev1.ActualsLine_Side][]string{}
	for _, line := range compared.GetLines() {
		sides[line.GetSide()] = append(sides[line.GetSide()], strings.Join([]string{line.GetName(), line.GetEstimated(), line.GetActual(), line.GetUnit(), line.GetDifference(), line.GetPercent()}, " "))
	}
	hours := l.hours(t, q)
	both, recorded := sides[wattlev1.ActualsLine_SIDE_BOTH], sides[wattlev1.ActualsLine_SIDE_ACTUAL]
	if len(both) != 3 || !strings.HasPrefix(both[2], "crew-hour "+hours+" 14.2 hour ") || !slices.Equal(recorded, []string{"sod  2 roll  "}) ||
		len(sides[wattlev1.ActualsLine_SIDE_ESTIMATED]) < 5 {
		t.Errorf("hours of %s; compared as %v", hours, sides)
	}
	last := compared.GetLines()[len(compared.GetLines())-1]
	if last.GetPaid() != "880.40" || last.GetEstimatedCost() == "" || last.GetCostDifference() == "" {
		t.Errorf("costs of %v", last)
	}
}

func TestABadRecordIsToldWhole(t *testing.T) {
	l := openLives(t)
	q := l.sold(t)
	refused := func(change func(*wattlev1.RecordActualsRequest), want ...string) {
		t.Helper()
		request := record(q, l.fresh())
		change(request)
		_, err := l.actuals().RecordActuals(t.Context(), request)
		var fields []string
		for _, told := range describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")) {
			field, _, _ := strings.Cut(told, ":")
			fields = append(fields, field)
		}
		if !slices.Equal(fields, want) {
			t.Errorf("refused for %v, want %v", describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")), want)
		}
	}
	refused(func(r *wattlev1.RecordActualsRequest) {
		r.FinishedOn, r.Crew, r.Materials[0].Unit, r.HoursOf = "5 March", "Pat Example", "", 7
	}, "finished_on", "crew", "materials[0].unit", "hours_of")
	refused(func(r *wattlev1.RecordActualsRequest) {
		for i := range 10_000 {
			r.Materials = append(r.Materials, &wattlev1.MaterialUsed{Item: fmt.Sprint("thing-", i), Quantity: "1", Unit: "each"})
		}
	}, "materials")
	refused(func(r *wattlev1.RecordActualsRequest) {
		r.FinishedOn, r.Hours, r.LabourPaid, r.Materials[0].Quantity, r.Materials[1].Quantity, r.Materials[2].Paid = "2026-02-30", "1e3", "-", "", "+7", "12,5"
	}, "finished_on", "hours", "labour_paid", "materials[0].quantity", "materials[1].quantity", "materials[2].paid")
	for _, day := range []string{"2026-03-04", "2026-03-06"} { // before the acceptance, and tomorrow
		refused(func(r *wattlev1.RecordActualsRequest) {
			r.FinishedOn, r.HoursOf = day, wattlev1.HoursOf_HOURS_OF_PERSON
			r.Hours, r.Materials[0].Unit, r.Materials[1].Quantity, r.Materials[2].Item = "-1", "bag", "70000000", "gravel"
			r.Tasks = []*wattlev1.TaskHours{{Task: "holes", Hours: "1"}}
		}, "finished_on", "hours_of", "materials[0].unit", "materials[1].quantity", "materials[2].item", "hours")
	}
	// Nothing of all this was stored.
	if list, err := l.actuals().ListActuals(t.Context(), &wattlev1.ListActualsRequest{Parent: "companies/harrow"}); err != nil || len(list.GetActuals()) != 0 {
		t.Errorf("stored: %v, %v", list, err)
	}
	_, err := l.actuals().SummarizeActuals(t.Context(), &wattlev1.SummarizeActualsRequest{Parent: "companies/harrow", FromDate: "2026-02-30", EffectiveDate: "2026-13-01"})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 2 {
		t.Errorf("told %v", got)
	}
	_, err = l.actuals().SummarizeActuals(t.Context(), &wattlev1.SummarizeActualsRequest{Parent: "companies/harrow", FromDate: "2026-02-02", ToDate: "2026-02-01"})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}

// suggestedList is what a summary suggests, as a price list.
func suggestedList(groups []*wattlev1.ActualsGroup) string {
	var b strings.Builder
	b.WriteString("item,effective,unit,price,currency,description,office,supplier,pack\n")
	for _, g := range groups {
		for _, e := range g.GetEntries() {
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%s,%s,%s,%s\n", e.GetItem(), e.GetEffectiveDate(), e.GetUnit(), e.GetPrice(), e.GetCurrency(), e.GetDescription(), e.GetOffice(), e.GetSupplier(), e.GetPack())
		}
	}
	return b.String()
}

func (l *lives) summarize(t *testing.T, change ...func(*wattlev1.SummarizeActualsRequest)) *wattlev1.SummarizeActualsResponse {
	t.Helper()
	request := &wattlev1.SummarizeActualsRequest{Parent: "companies/harrow"}
	for _, c := range change {
		c(request)
	}
	answer, err := l.actuals().SummarizeActuals(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	return answer
}

// times is a decimal times another, which takes six decimals at most.
func times(t *testing.T, a, b string) string {
	t.Helper()
	x := ratOf(t, a)
	return strings.TrimRight(strings.TrimRight(x.Mul(x, ratOf(t, b)).FloatString(6), "0"), ".")
}

// Jobs that take 1.2 times as long suggest rates that are 1.2 times as high, and
// change nothing. Once a pricer has imported them, a quote of the same job has
// 1.2 times the hours, what was quoted before replays to the same bytes, and
// nothing more is suggested.
func TestASuggestionIsEnteredByAPricer(t *testing.T) {
	for _, by := range []wattlev1.Spec_Labour_By{wattlev1.Spec_Labour_BY_FENCE, wattlev1.Spec_Labour_BY_TASKS} {
		t.Run(by.String(), func(t *testing.T) { t.Parallel(); enterASuggestion(t, by) })
	}
}

func enterASuggestion(t *testing.T, by wattlev1.Spec_Labour_By) {
	l := openLives(t)
	tasks := "item,effective,unit,price,currency,supplier\nlabour-hour,2026-03-01,hour,41.00,USD,\n"
	for task, rate := range map[string]string{
		"mobilisation": "1.5,hour/job", "layout": "0.02,hour/ft", "holes": "0.5,hour/each", "setting": "0.25,hour/each", "rails": "0.1,hour/each", "boards": "0.04,hour/each", "gate-leaves": "1,hour/leaf",
	} {
		value, unit, _ := strings.Cut(rate, ",")
		tasks += fmt.Sprintf("rate-%s,2026-03-01,%s,%s,USD,own\n", task, unit, value)
	}
	if _, err := l.importList(t, "tasks", tasks); err != nil {
		t.Fatal(err)
	}
	kind := func(r *wattlev1.CreateQuoteRequest) {
		r.Spec = &wattlev1.Spec{Height: "6 ft", Labour: &wattlev1.Spec_Labour{By: by}}
	}
	var sold *wattlev1.Quote
	for i := range 5 {
		sold = l.sold(t, kind)
		request := &wattlev1.RecordActualsRequest{Quote: sold.GetName(), RequestId: l.fresh(), FinishedOn: "2026-03-05", Crew: fmt.Sprint("crew-", i%2)}
		full, err := l.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: sold.GetName(), View: wattlev1.QuoteView_QUOTE_VIEW_FULL})
		if err != nil {
			t.Fatal(err)
		}
		for _, task := range full.GetQuote().GetTakeoff().GetWork().GetTasks() {
			request.Tasks = append(request.Tasks, &wattlev1.TaskHours{Task: task.GetName(), Hours: times(t, task.GetHours(), "1.2")})
		}
		if request.GetTasks() == nil {
			request.Hours = times(t, l.hours(t, sold), "1.2")
		}
		if i == 4 { // four are too few
			for _, g := range l.summarize(t).GetGroups() {
				if g.GetFactor() != "" || g.GetEntries() != nil || g.GetNote() != "4 of the 5 jobs from which on a factor is suggested" {
					t.Errorf("of four jobs: %v", g)
				}
			}
		}
		l.record(t, request)
	}
	head := func() *wattlev1.SummarizeActualsResponse {
		return l.summarize(t, func(r *wattlev1.SummarizeActualsRequest) { r.EffectiveDate = "2026-03-05" })
	}
	sum := head()
	entries := 0
	for _, g := range sum.GetGroups() {
		spread := &wattlev1.ActualsGroup_Spread{Least: "1.2", LowerQuartile: "1.2", Median: "1.2", UpperQuartile: "1.2", Most: "1.2"}
		if g.GetJobs() != 5 || g.GetRatio() != "1.2" || g.GetFactor() != "1.2" || !proto.Equal(g.GetSpread(), spread) {
			t.Errorf("summed up as %v", g)
		}
		for i, e := range g.GetEntries() {
			if entries++; e.GetPrice() != times(t, g.GetRates()[i].GetValue(), "1.2") || e.GetEffectiveDate() != "2026-03-05" || e.GetOffice() != "main" || e.GetItem() != g.GetRates()[i].GetItem() {
				t.Errorf("the entry %v of %v", e, g)
			}
		}
	}
	if want := map[wattlev1.Spec_Labour_By]int{wattlev1.Spec_Labour_BY_FENCE: 2, wattlev1.Spec_Labour_BY_TASKS: 7}[by]; entries != want || sum.GetJobs() != 5 {
		t.Errorf("%d entries, want %d; %d jobs", entries, want, sum.GetJobs())
	}
	// Nothing has changed by it.
	if again := head(); !proto.Equal(again, sum) {
		t.Errorf("asked again: %v", again)
	}
	before := l.hours(t, l.draft(t, kind))
	if before != l.hours(t, sold) {
		t.Errorf("%s hours, and %s before anything was entered", before, l.hours(t, sold))
	}
	if _, err := l.importList(t, "suggested", suggestedList(sum.GetGroups())); err != nil {
		t.Fatal(err)
	}
	after := l.hours(t, l.draft(t, kind))
	if off := new(big.Rat).Sub(ratOf(t, after), ratOf(t, times(t, before, "1.2"))); off.Abs(off).Cmp(big.NewRat(7, 200)) > 0 { // seven tasks are each rounded
		t.Errorf("%s hours after %s", after, before)
	}
	l.replays(t, sold.GetName())
	if l.hours(t, sold) != before {
		t.Errorf("the old quote has %s hours", l.hours(t, sold))
	}
	for _, g := range head().GetGroups() {
		if g.GetEntries() != nil || len(g.GetRates()) > 0 && !strings.Contains(g.GetNote(), "are another group") {
			t.Errorf("suggested again: %v", g)
		}
	}
}

func ratOf(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

// A reader reads hours and quantities, and no cost.
func TestAReaderSeesNoCostOfAJob(t *testing.T) {
	b := openBranches(t)
	b.sell(t)
	q := &wattlev1.Quote{Name: b.accepted}
	estimator := wattlev1.NewActualsServiceClient(b.at(t, "north", auth.Estimator))
	if _, err := estimator.RecordActuals(t.Context(), record(q, "r")); err != nil {
		t.Fatal(err)
	}
	reader := wattlev1.NewActualsServiceClient(b.at(t, "north", auth.Reader))
	get := &wattlev1.GetActualsRequest{Quote: b.accepted}
	full, err := estimator.GetActuals(t.Context(), get)
	seen, errSeen := reader.GetActuals(t.Context(), get)
	if err != nil || errSeen != nil || full.GetActuals().GetLabourPaid() != "880.40" || full.GetActuals().GetMaterials()[0].GetPaid() != "30.00" {
		t.Fatalf("%v, %v, %v", full, err, errSeen)
	}
	a := seen.GetActuals()
	if a.GetHours() != "14.2" || a.GetMaterials()[0].GetQuantity() != "13.5" || a.GetLabourPaid() != "" || a.GetMaterials()[0].GetPaid() != "" {
		t.Errorf("a reader sees %v", a)
	}
	compared, err := reader.CompareActuals(t.Context(), &wattlev1.CompareActualsRequest{Quote: b.accepted})
	if err != nil || len(compared.GetLines()) < 5 {
		t.Fatalf("%v, %v", compared, err)
	}
	for _, line := range compared.GetLines() {
		if line.GetPaid()+line.GetEstimatedCost()+line.GetCostDifference() != "" {
			t.Errorf("a reader sees %v", line)
		}
	}
	once := &wattlev1.SummarizeActualsRequest{Parent: "companies/harrow", LeastJobs: 1}
	for client, entries := range map[wattlev1.ActualsServiceClient]int{reader: 0, estimator: 2} {
		sum, err := client.SummarizeActuals(t.Context(), once)
		if err != nil || len(sum.GetGroups()) != 1 || sum.GetGroups()[0].GetFactor() == "" || len(sum.GetGroups()[0].GetEntries()) != entries {
			t.Errorf("%v, %v; want %d entries", sum, err, entries)
		}
	}
	// A sister office sees nothing of it, the head office all.
	for office, jobs := range map[string]int64{"south": 0, "main": 1, "north-yard": 0} {
		client := wattlev1.NewActualsServiceClient(b.at(t, office, auth.Reader))
		sum, err := client.SummarizeActuals(t.Context(), &wattlev1.SummarizeActualsRequest{Parent: "companies/harrow"})
		if err != nil || sum.GetJobs() != jobs || (len(sum.GetGroups()) > 0) != (jobs > 0) {
			t.Errorf("%s sees %v, %v", office, sum, err)
		}
	}
}

func TestFinishedJobsAreListedByPages(t *testing.T) {
	l := openLives(t)
	*l.now = time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC)
	var want []string
	for i, crew := range []string{"crew-1", "crew-2", "crew-1", "crew-1"} {
		q := l.sold(t)
		if i == 2 {
			*l.now = l.now.Add(24 * time.Hour)
		}
		request := record(q, l.fresh())
		request.Crew, request.FinishedOn = crew, l.now.Format(time.DateOnly)
		l.record(t, request)
		want = append([]string{q.GetName()}, want...)
	}
	list := func(change func(*wattlev1.ListActualsRequest)) (got []string) {
		t.Helper()
		request := &wattlev1.ListActualsRequest{Parent: "companies/harrow", PageSize: 1}
		change(request)
		for {
			page, err := l.actuals().ListActuals(t.Context(), request)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range page.GetActuals() {
				got = append(got, a.GetJob())
			}
			if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
				return got
			}
		}
	}
	for _, c := range []struct {
		change func(*wattlev1.ListActualsRequest)
		want   []string
	}{
		{func(*wattlev1.ListActualsRequest) {}, want},
		{func(r *wattlev1.ListActualsRequest) { r.Crew = "crew-2" }, want[2:3]},
		{func(r *wattlev1.ListActualsRequest) { r.FromDate = "2026-03-06" }, want[:2]},
		{func(r *wattlev1.ListActualsRequest) { r.ToDate, r.Office = "2026-03-05", "main" }, want[2:]},
		{func(r *wattlev1.ListActualsRequest) { r.FromDate = "2026-03-07" }, nil},
	} {
		if got := list(c.change); !slices.Equal(got, c.want) {
			t.Errorf("listed %v, want %v", got, c.want)
		}
	}
	_, err := l.actuals().ListActuals(t.Context(), &wattlev1.ListActualsRequest{Parent: "companies/harrow", Office: "nowhere"})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}
