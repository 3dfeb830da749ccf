package actuals

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

func number(s string) *decimal.Decimal { return new(decimal.MustParse(s)) }

// small is an estimate with labour by tasks.
var small = Estimate{HoursOf: Person, Lines: []Line{
	{Kind: Material, Name: "board-1x6-6ft", Category: takeoff.Boards, Unit: "each", Estimated: number("289"), EstimatedCost: number("1190.68")},
	{Kind: Material, Name: "gravel", Category: takeoff.Gravel, Unit: "ft3", Estimated: number("27"), EstimatedCost: number("56.70")},
	{Kind: Task, Name: "holes", Category: takeoff.Labour, Unit: "hour", Estimated: number("14"), Rates: []takeoff.Rate{{Item: "rate-holes", Value: *number("0.5"), Unit: takeoff.HourPerEach}}},
	{Kind: Task, Name: "layout", Category: takeoff.Labour, Unit: "hour", Estimated: number("3.25")},
	{Kind: Labour, Name: "labour-hour", Category: takeoff.Labour, Unit: "hour", Estimated: number("17.25"), EstimatedCost: number("862.5")},
}}

func told(t *testing.T, r Record, e Estimate) []string {
	t.Helper()
	v := &fault.List{}
	lines, _ := r.Lines(e, money.USD, v)
	if err := v.Err(); err != nil {
		t.Fatal(err)
	}
	all := make([]string, 0, len(lines))
	for _, l := range lines {
		d, err := l.Difference()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, strings.Join([]string{string(l.Kind), l.Name, text(l.Estimated), text(l.Actual), l.Unit, text(d.Quantity), text(d.Percent), text(d.Cost)}, " "))
	}
	return all
}

func text(d *decimal.Decimal) string {
	if d == nil {
		return "-"
	}
	return d.Trim(0).String()
}

func expect(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("found\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestWhatWasUsedAgainstTheEstimate(t *testing.T) {
	expect(t, told(t, Record{
		Materials: []Used{
			{Item: "gravel", Quantity: *number("1.5"), Unit: "yd3", Paid: number("81")},
			{Item: "sod", Quantity: *number("2"), Unit: "roll"},
			{Item: "board-1x6-6ft", Quantity: *number("0"), Unit: "dozen"},
		},
		Tasks: []Took{{"layout", *number("3.25")}, {"holes", *number("15.166")}, {"rework", *number("1")}},
	}, small),
		"material board-1x6-6ft 289 0 each -289 -100 -",
		"material gravel 27 40.5 ft3 13.5 50 24.3",
		"material sod - 2 roll - - -",
		"task holes 14 15.166 hour 1.166 8.33 -", // 8.3285... %
		"task layout 3.25 3.25 hour 0 0 -",
		"task rework - 1 hour - - -",
		"labour labour-hour 17.25 19.416 hour 2.166 12.56 -", // 12.5565... %
	)
	// A task that was estimated and not recorded leaves the hours of the job unknown.
	expect(t, told(t, Record{Tasks: []Took{{"holes", *number("15")}}}, small),
		"material board-1x6-6ft 289 - each - - -",
		"material gravel 27 - ft3 - - -",
		"task holes 14 15 hour 1 7.14 -",
		"task layout 3.25 - hour - - -",
		"labour labour-hour 17.25 - hour - - -",
	)
	expect(t, told(t, Record{Hours: number("20.5"), LabourPaid: number("1025"), HoursOf: Person}, small)[4:],
		"labour labour-hour 17.25 20.5 hour 3.25 18.84 162.5")
	expect(t, told(t, Record{Hours: number("9"), HoursOf: Crew}, Estimate{}), "labour crew-hour - 9 hour - - -")
	expect(t, told(t, Record{Tasks: []Took{{"stain", *number("2")}}, HoursOf: Person}, Estimate{}),
		"task stain - 2 hour - - -", "labour labour-hour - 2 hour - - -")
}

// problems are what a record is refused for.
func problems(t *testing.T, r Record, e Estimate) []string {
	t.Helper()
	v := &fault.List{}
	r.Lines(e, money.USD, v)
	f, ok := errors.AsType[*fault.Error](v.Err())
	if !ok {
		return nil
	}
	var all []string
	for _, p := range f.Violations {
		all = append(all, p.Field+": "+p.Description)
	}
	return all
}

func TestEverythingWrongAtOnce(t *testing.T) {
	expect(t, problems(t, Record{
		HoursOf: Crew, LabourPaid: number("10.005"),
		Materials: []Used{
			{Item: "gravel", Quantity: *number("-1"), Unit: "ft3", Paid: number("-1")},
			{Item: "gravel", Quantity: *number("1"), Unit: "ft3"},
			{Item: "board-1x6-6ft", Quantity: *number("10"), Unit: "ft"},
			{Item: "sod", Quantity: *number("0"), Unit: "roll"},
			{Item: "sand", Quantity: *number("10000000.0001"), Unit: "kg"},
			{Item: "labour-hour", Quantity: *number("3"), Unit: "hour"},
		},
		Tasks: []Took{{"holes", *number("100001")}, {"holes", *number("1")}, {"layout", *number("1.00001")}, {"rework", *number("0")}},
	}, small),
		"hours_of: expected hours of one person, as the quote counts them; found hours of the whole crew",
		"materials[0].paid: expected 0 to 1000000000, found -1",
		"materials[0].quantity: expected 0 to 10000000, found -1",
		`materials[1].item: expected each item once; "gravel" stands in materials[0] already`,
		`materials[2].unit: expected a unit that is a fixed number of each (each, pair, dozen, hundred, gross, thousand), found "ft"`,
		"materials[3].quantity: expected more than 0 of what was not estimated",
		"materials[4].quantity: expected 0 to 10000000, found 10000000.0001",
		`materials[5].item: "labour-hour" is labour; say how long it took in hours or tasks`,
		"tasks[0].hours: expected 0 to 100000, found 100001",
		`tasks[1].task: expected each task once; "holes" stands in tasks[0] already`,
		"tasks[2].hours: expected at most 4 decimals, found 1.00001",
		"tasks[3].hours: expected more than 0 of what was not estimated",
		"labour_paid: expected at most 2 decimals, found 10.005",
	)
	expect(t, problems(t, Record{Materials: []Used{{Item: "gravel", Quantity: *number("1"), Unit: "m3"}}}, small),
		"materials[0].unit: 1 m3 is no exact decimal in ft3, which was ordered; say how many ft3")
	expect(t, problems(t, Record{}, small), "materials: expected materials, tasks or hours; found none of them")
	expect(t, problems(t, Record{LabourPaid: number("1")}, small), "labour_paid: expected hours or tasks beside it, found neither",
		"materials: expected materials, tasks or hours; found none of them")
	expect(t, problems(t, Record{Hours: number("0"), Tasks: nil}, small), "hours: expected more than 0")
	expect(t, problems(t, Record{Hours: number("1"), Tasks: []Took{{"holes", *number("1")}}}, small),
		"hours: expected either hours or tasks, found both: the hours of the job are the sum of its tasks")
	expect(t, problems(t, Record{Hours: number("1")}, Estimate{}), "hours_of: expected whose hours these are, of the crew or of one person: the quote has no labour that would say")
}

// An estimate's lines are not those of a record: what one job used does not show
// in the next.
func TestTheEstimateStays(t *testing.T) {
	before := fmt.Sprint(small)
	told(t, Record{Materials: []Used{{Item: "gravel", Quantity: *number("1"), Unit: "ft3"}}, Hours: number("2")}, small)
	if fmt.Sprint(small) != before || !reflect.DeepEqual(small.Lines[1].Actual, (*decimal.Decimal)(nil)) {
		t.Errorf("the estimate is %v", small)
	}
}
