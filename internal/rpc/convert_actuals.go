package rpc

import (
	"context"

	"github.com/govalues/decimal"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/actuals"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
)

var hoursOf = pairsOf(map[wattlev1.HoursOf]actuals.HoursOf{
	wattlev1.HoursOf_HOURS_OF_CREW:   actuals.Crew,
	wattlev1.HoursOf_HOURS_OF_PERSON: actuals.Person,
})

var actualsKinds = pairsOf(map[wattlev1.ActualsLine_Kind]actuals.Kind{
	wattlev1.ActualsLine_KIND_MATERIAL: actuals.Material,
	wattlev1.ActualsLine_KIND_TASK:     actuals.Task,
	wattlev1.ActualsLine_KIND_LABOUR:   actuals.Labour,
})

var actualsSubjects = pairsOf(map[wattlev1.SummarizeActualsRequest_Subject]actuals.Subject{
	wattlev1.SummarizeActualsRequest_SUBJECT_TASK:     actuals.ByTask,
	wattlev1.SummarizeActualsRequest_SUBJECT_ITEM:     actuals.ByItem,
	wattlev1.SummarizeActualsRequest_SUBJECT_CATEGORY: actuals.ByCategory,
})

func recordActualsFromProto(ctx context.Context, req *wattlev1.RecordActualsRequest) (estimating.RecordActuals, error) {
	v := &fault.List{}
	company, id := quoteOf(req.GetQuote())
	in := estimating.RecordActuals{
		Key:   requestKey(ctx, "RecordActuals", company, req.GetRequestId(), requestHash(req, "request_id")),
		Quote: id, Etag: req.GetEtag(), FinishedOn: readDate(v, "finished_on", req.GetFinishedOn()), Crew: req.GetCrew(),
		Record: actuals.Record{
			Hours:      optionalDecimal(v, "hours", req.GetHours()),
			HoursOf:    hoursOf.domain[req.GetHoursOf()],
			LabourPaid: optionalDecimal(v, "labour_paid", req.GetLabourPaid()),
		},
	}
	for i, m := range req.GetMaterials() {
		at := v.At("materials").Index(i)
		in.Record.Materials = append(in.Record.Materials, actuals.Used{
			Item: m.GetItem(), Quantity: requiredDecimal(at, "quantity", m.GetQuantity()), Unit: m.GetUnit(), Paid: optionalDecimal(at, "paid", m.GetPaid()),
		})
	}
	for i, t := range req.GetTasks() {
		in.Record.Tasks = append(in.Record.Tasks, actuals.Took{
			Task: t.GetTask(), Hours: requiredDecimal(v.At("tasks").Index(i), "hours", t.GetHours()),
		})
	}
	return in, v.Err()
}

// optionalDecimal is nil for empty text.
func optionalDecimal(v *fault.List, field, text string) *decimal.Decimal {
	if text == "" {
		return nil
	}
	return new(readDecimal(v, field, text))
}

func requiredDecimal(v *fault.List, field, text string) decimal.Decimal {
	v.Require(text != "", field, "is empty; expected plain digits such as 12.5")
	return readDecimal(v, field, text)
}

// optionalText is a decimal, or empty for nil.
func optionalText(d *decimal.Decimal) string {
	if d == nil {
		return ""
	}
	return plain(*d)
}

func (a amounts) optional(d *decimal.Decimal) string {
	if d == nil {
		return ""
	}
	return a.of(*d)
}

func actualsToProto(a estimating.Actuals) *wattlev1.Actuals {
	in := amountsIn(a.Currency)
	p := &wattlev1.Actuals{
		Job: quoteName(a.Company, a.Job), Quote: quoteName(a.Company, a.Quote), Office: a.Office,
		Version: int32(a.Version), Etag: a.Etag(), FinishedOn: a.FinishedOn.String(), Crew: a.Crew,
		HoursOf: hoursOf.wire[a.HoursOf], Currency: string(a.Currency), LabourPaid: in.optional(a.LabourPaid),
		CreateTime: timestamppb.New(a.RecordedAt), RecordedBy: a.Principal,
	}
	for _, l := range a.Lines {
		switch {
		case l.Actual == nil:
		case l.Kind == actuals.Material:
			p.Materials = append(p.Materials, &wattlev1.MaterialUsed{Item: l.Name, Quantity: plain(*l.Actual), Unit: l.Unit, Paid: in.optional(l.Paid)})
		case l.Kind == actuals.Task:
			p.Tasks = append(p.Tasks, &wattlev1.TaskHours{Task: l.Name, Hours: plain(*l.Actual)})
		default:
			p.Hours = plain(*l.Actual)
		}
	}
	return p
}

func actualsLineToProto(c money.Currency, l actuals.Line, d actuals.Difference) *wattlev1.ActualsLine {
	in := amountsIn(c)
	p := &wattlev1.ActualsLine{
		Kind: actualsKinds.wire[l.Kind], Name: l.Name, Category: string(l.Category), Unit: l.Unit, Side: wattlev1.ActualsLine_SIDE_BOTH,
		Estimated: optionalText(l.Estimated), Actual: optionalText(l.Actual), Difference: optionalText(d.Quantity), Percent: optionalText(d.Percent),
		EstimatedCost: in.optional(l.EstimatedCost), Paid: in.optional(l.Paid), CostDifference: in.optional(d.Cost),
	}
	if l.Estimated == nil {
		p.Side = wattlev1.ActualsLine_SIDE_ACTUAL
	} else if l.Actual == nil {
		p.Side = wattlev1.ActualsLine_SIDE_ESTIMATED
	}
	return p
}

// actualsRequest is a request that selects finished jobs.
type actualsRequest interface {
	GetParent() string
	GetFromDate() string
	GetToDate() string
	GetOffice() string
	GetCrew() string
}

func actualsFilterFromProto(req actualsRequest) (estimating.ActualsFilter, error) {
	v := &fault.List{}
	f := estimating.ActualsFilter{
		Company: companyOf(req.GetParent()), From: readDate(v, "from_date", req.GetFromDate()), To: readDate(v, "to_date", req.GetToDate()),
		Office: req.GetOffice(), Crew: req.GetCrew(),
	}
	return f, v.Err()
}

func actualsByFromProto(req *wattlev1.SummarizeActualsRequest) actuals.By {
	by := actuals.By{Subject: actualsSubjects.domain[req.GetSubject()], Office: req.GetByOffice(), Crew: req.GetByCrew()}
	if by.Subject == "" {
		by.Subject = actuals.ByTask
	}
	return by
}

func actualsSummaryToProto(s estimating.Summary) *wattlev1.SummarizeActualsResponse {
	p := &wattlev1.SummarizeActualsResponse{
		Jobs: s.Jobs, Office: s.Office, EffectiveDate: s.Effective.String(), Revision: int64(s.Head.Revision), LeastJobs: int32(s.LeastJobs),
	}
	for _, g := range s.Groups {
		p.Groups = append(p.Groups, actualsGroupToProto(g))
	}
	return p
}

func actualsGroupToProto(f estimating.Finding) *wattlev1.ActualsGroup {
	p := &wattlev1.ActualsGroup{
		Office: f.Office, Crew: f.Crew, Kind: actualsKinds.wire[f.Kind], Name: f.Name, Unit: f.Unit, HoursOf: hoursOf.wire[f.HoursOf], Currency: string(f.Currency),
		Jobs: f.Jobs, EstimatedOnlyJobs: f.EstimatedOnly, ActualOnlyJobs: f.ActualOnly, Estimated: plain(f.Estimated), Actual: plain(f.Actual),
		Ratio: optionalText(f.Ratio), Factor: optionalText(f.Factor), Note: f.Note,
	}
	if f.Jobs > 0 {
		s := f.Spread
		p.Spread = &wattlev1.ActualsGroup_Spread{Least: plain(s[0]), LowerQuartile: plain(s[1]), Median: plain(s[2]), UpperQuartile: plain(s[3]), Most: plain(s[4])}
	}
	rates, _ := actuals.ParseRates(f.Rates) // read already, or there were no entries
	for _, r := range rates {
		p.Rates = append(p.Rates, &wattlev1.ActualsGroup_Rate{Item: r.Item, Value: plain(r.Value), Unit: string(r.Unit)})
	}
	for _, e := range f.Entries {
		p.Entries = append(p.Entries, &wattlev1.ActualsGroup_SuggestedEntry{
			Item: e.Item, EffectiveDate: e.Effective.String(), Unit: e.Unit, Price: plain(e.Breaks[0].Price), Currency: string(e.Currency),
			Description: e.Description, Office: e.Office, Supplier: e.Supplier, Pack: plain(e.Pack),
			PriceInForce: plain(e.InForce.Breaks[0].Price), EffectiveInForce: e.InForce.Effective.String(),
		})
	}
	return p
}
