package check_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/check"
	"wattle/internal/civil"
)

// moment reads "2026-03-06 10:00".
func moment(s string) check.Moment {
	date, clock, _ := strings.Cut(s, " ")
	minute := (int(clock[0]-'0')*10+int(clock[1]-'0'))*60 + int(clock[3]-'0')*10 + int(clock[4]-'0')
	return check.Moment{Date: civil.Must(date), Minute: minute}
}

func rule(t interface{ Fatalf(string, ...any) }, place string) check.NoticeRule {
	for _, r := range check.NoticeRules() {
		if r.Place == place {
			return r
		}
	}
	t.Fatalf("no rule for %s", place)
	return check.NoticeRule{}
}

// PZ-4. 2026-03-06 is a Friday. The first row is checks.md's own; the others are
// computed from the same rules, by the readings that Window states.
func TestNoticeWindow(t *testing.T) {
	for _, c := range []struct {
		place, given, earliest, last, holidays string
	}{
		{"Texas", "2026-03-06 10:00", "2026-03-10 10:00", "2026-03-20", ""},
		{"Texas", "2026-03-02 08:30", "2026-03-04 08:30", "2026-03-16", ""},
		{"Texas", "2026-03-06 10:00", "2026-03-11 10:00", "2026-03-20", "2026-03-09"}, // Monday a holiday
		{"Texas", "2026-03-07 10:00", "2026-03-11 00:00", "2026-03-21", ""},           // a Saturday counts from Monday
		{"Texas", "2026-03-05 00:00", "2026-03-07 00:00", "2026-03-19", ""},           // Thursday and Friday, whole
		{"Nebraska", "2026-03-02 10:00", "2026-03-05 00:00", "2026-03-16", ""},        // Tuesday and Wednesday pass whole
		{"Nebraska", "2026-03-06 10:00", "2026-03-11 00:00", "2026-03-20", ""},
		{"Nebraska", "2026-03-02 10:00", "2026-03-06 00:00", "2026-03-17", "2026-03-03"},
		{"Alabama", "2026-03-02 10:00", "2026-03-05 00:00", "", ""},
		{"Alabama", "2026-03-08 10:00", "2026-03-12 00:00", "", ""}, // a Sunday is taken as Monday
		{"Alabama", "2026-02-27 23:59", "2026-03-04 00:00", "", ""},
	} {
		n := check.Notice{Rule: rule(t, c.place), Given: moment(c.given)}
		if c.holidays != "" {
			n.Holidays = []civil.Date{civil.Must(c.holidays)}
		}
		w, err := n.Window()
		if err != nil || w.Earliest != moment(c.earliest) || w.Last.String() != c.last {
			t.Errorf("%s, notice %s: %s, last %s, %v; want %s, %s", c.place, c.given, w.Earliest, w.Last, err, c.earliest, c.last)
		}
	}
	// The day of notice counted: Monday and Tuesday, then Wednesday.
	counted := check.Notice{Rule: check.NoticeRule{Place: "elsewhere", Days: 2, NoticeDayCounts: true}, Given: moment("2026-03-02 10:00")}
	if w, err := counted.Window(); err != nil || w.Earliest != moment("2026-03-04 00:00") {
		t.Errorf("with the day of notice: %s, %v", w.Earliest, err)
	}
}

func TestNotice(t *testing.T) {
	for _, c := range []struct {
		place, dig string
		want       check.Outcome
	}{
		{"Texas", "", check.Advisory},
		{"Texas", "2026-03-10 10:00", check.Pass},
		{"Texas", "2026-03-10 09:59", check.Fail},
		{"Texas", "2026-03-20 23:59", check.Pass},
		{"Texas", "2026-03-21 00:00", check.Fail},
		{"Alabama", "2027-03-21 00:00", check.Pass}, // no last day stated
	} {
		n := check.Notice{Rule: rule(t, c.place), Given: moment("2026-03-06 10:00")}
		if c.dig != "" {
			n.Dig = new(moment(c.dig))
		}
		_, r, err := n.Check()
		if err != nil || r.Outcome != c.want {
			t.Errorf("%s, digging %s: %+v, %v; want %s", c.place, c.dig, r, err, c.want)
		}
		sound(t, r)
	}
	n := check.Notice{Rule: rule(t, "Texas"), Given: moment("2026-03-06 10:00"), Dig: new(moment("2026-03-10 10:00"))}
	_, r, _ := n.Check()
	n.Rule.Source, n.Rule.Edition = "the job", ""
	if _, r, _ := n.Check(); r.Source != "the job" || r.Edition != "as stated" {
		t.Errorf("a source without an edition: %+v", r)
	}
	const want = "Notice given in Texas on 2026-03-06 10:00 allows digging from 2026-03-10 10:00 and is good for a start up to 2026-03-20; " +
		"digging is planned for 2026-03-10 10:00. Advisory only: the locating service decides."
	if r.Text != want || !strings.HasPrefix(r.Source, "Texas") {
		t.Errorf("got %+v", r)
	}
}

func TestBadNotices(t *testing.T) {
	n := check.Notice{
		Rule:  check.NoticeRule{Hours: 2000, Days: 101, AheadDays: -1},
		Given: check.Moment{Date: civil.Date{Year: 2026, Month: 2, Day: 30}, Minute: 1440}, Dig: &check.Moment{},
	}
	_, _, err := n.Check()
	if got := fields(err); got != "rule.place rule.hours rule.hours rule.days rule.ahead_days given.date given.minute dig.date" {
		t.Errorf("violations of %s", got)
	}
}

// A later notice never lets digging start earlier, one more holiday neither; and
// hours are never shorter than the clock.
func TestNoticeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := func(label string) civil.Date {
			return civil.Must("2026-01-01").AddDays(rapid.IntRange(0, 40).Draw(t, label))
		}
		n := check.Notice{
			Rule:  rapid.SampledFrom(check.NoticeRules()).Draw(t, "rule"),
			Given: check.Moment{Date: day("given"), Minute: rapid.IntRange(0, 1439).Draw(t, "minute")},
		}
		for range rapid.IntRange(0, 5).Draw(t, "holidays") {
			n.Holidays = append(n.Holidays, day("holiday"))
		}
		window := func(n check.Notice) check.Window {
			w, err := n.Window()
			if err != nil {
				t.Fatal(err)
			}
			return w
		}
		w := window(n)
		later := n
		later.Given = check.Moment{Date: n.Given.Date.AddDays(rapid.IntRange(0, 3).Draw(t, "days later")), Minute: 1439}
		holiday := n
		holiday.Holidays = append(slices.Clip(holiday.Holidays), day("one more"))
		for name, o := range map[string]check.Notice{"later": later, "one more holiday": holiday} {
			if got := window(o); got.Earliest.Compare(w.Earliest) < 0 {
				t.Fatalf("%s: %s, yet %s before", name, got.Earliest, w.Earliest)
			}
		}
		least := check.Moment{Date: n.Given.Date.AddDays(2), Minute: n.Given.Minute}
		if w.Earliest.Compare(least) < 0 {
			t.Fatalf("notice %s, digging %s: less than two days", n.Given, w.Earliest)
		}
	})
}
