package check

import (
	"fmt"
	"slices"

	"wattle/internal/civil"
	"wattle/internal/fault"
)

// Moment is a time of day on a date, at the place of digging.
type Moment struct {
	Date civil.Date
	// Minute is counted from midnight, 0 to 1439.
	Minute int
}

const dayMinutes = 24 * 60

// Compare orders moments from early to late.
func (m Moment) Compare(o Moment) int {
	if c := m.Date.Compare(o.Date); c != 0 {
		return c
	}
	return m.Minute - o.Minute
}

func (m Moment) String() string {
	return fmt.Sprintf("%s %02d:%02d", m.Date, m.Minute/60, m.Minute%60)
}

// NoticeRule is how long before digging a place wants notice. One of Hours and
// Days is given; both count on working days only: Saturdays, Sundays and
// holidays stand still.
type NoticeRule struct {
	Place       string
	Hours, Days int
	// NoticeDayCounts makes the day of the notice the first of Days; otherwise
	// the day after it is.
	NoticeDayCounts bool
	// AheadDays is the most days from the notice to the start of digging, after
	// which a new notice is needed; 0 is "none stated". AheadWorking counts
	// working days, otherwise those of the calendar.
	AheadDays       int
	AheadWorking    bool
	Source, Edition string
}

// NoticeRules are the rules known here [PZ-4]. The slice is the caller's own.
func NoticeRules() []NoticeRule {
	const edition = "as seen, undated"
	return []NoticeRule{
		{Place: "Texas", Hours: 48, AheadDays: 14, Source: "Texas notice rule: 48 hours, weekends and holidays excluded, at most 14 days ahead", Edition: edition},
		// That the ten are business days too is from memory.
		{Place: "Nebraska", Days: 2, AheadDays: 10, AheadWorking: true,
			Source: "Nebraska notice rule: 2 full business days, at most 10", Edition: edition},
		{Place: "Alabama", Days: 2, Source: "Alabama notice rule: 2 working days, day of notice excluded", Edition: edition},
	}
}

// Notice asks when digging may start after a notice.
type Notice struct {
	Rule  NoticeRule
	Given Moment
	// Holidays are the days besides weekends that stand still.
	Holidays []civil.Date
	// Dig is when digging is planned to start; nil asks for the dates only.
	Dig *Moment
}

// Window is when digging may start: not before Earliest, and at the latest on
// Last, the zero date where the rule states no such day.
type Window struct {
	Earliest Moment
	Last     civil.Date
}

// Validate notes everything wrong with the input; see Check.
func (n Notice) Validate(v *fault.List) {
	rule := v.At("rule")
	rule.Require(n.Rule.Place != "", "place", "expected a name, found nothing")
	rule.Require((n.Rule.Hours > 0) != (n.Rule.Days > 0), "hours", "expected either hours or days, found %d and %d", n.Rule.Hours, n.Rule.Days)
	rule.Require(n.Rule.Hours >= 0 && n.Rule.Hours <= 1000, "hours", "expected 0 to 1000, found %d", n.Rule.Hours)
	rule.Require(n.Rule.Days >= 0 && n.Rule.Days <= 100, "days", "expected 0 to 100, found %d", n.Rule.Days)
	rule.Require(n.Rule.AheadDays >= 0 && n.Rule.AheadDays <= 1000, "ahead_days", "expected 0 to 1000, found %d", n.Rule.AheadDays)
	n.Given.validate(v.At("given"))
	if n.Dig != nil {
		n.Dig.validate(v.At("dig"))
	}
}

func (m Moment) validate(v *fault.List) {
	parsed, err := civil.Parse(m.Date.String())
	v.Require(err == nil && parsed == m.Date, "date", "expected a date of the calendar, found %q", m.Date)
	v.Require(m.Minute >= 0 && m.Minute < dayMinutes, "minute", "expected 0 to %d, found %d", dayMinutes-1, m.Minute)
}

// Window is when digging may start; an Invalid error lists everything wrong with
// the input. Where a rule can be read in two ways the later start is taken: a
// notice outside working days is taken as given when the next one begins, and
// working days pass whole, so that digging starts on the day after the last.
func (n Notice) Window() (Window, error) {
	v := new(fault.List)
	n.Validate(v)
	if err := v.Err(); err != nil {
		return Window{}, err
	}
	start := n.Given
	if !n.working(start.Date) {
		start = Moment{Date: n.workday(start.Date)}
	}
	w := Window{Earliest: n.afterHours(start)}
	if n.Rule.Days > 0 {
		w.Earliest = n.afterDays(start.Date)
	}
	switch last := n.Given.Date; {
	case n.Rule.AheadDays > 0 && n.Rule.AheadWorking:
		for range n.Rule.AheadDays {
			last = n.workday(last.AddDays(1))
		}
		w.Last = last
	case n.Rule.AheadDays > 0:
		w.Last = last.AddDays(n.Rule.AheadDays)
	}
	return w, nil
}

// afterHours runs the clock through working days.
func (n Notice) afterHours(start Moment) Moment {
	date, minute := start.Date, start.Minute+60*n.Rule.Hours
	for minute > dayMinutes {
		date, minute = n.workday(date.AddDays(1)), minute-dayMinutes
	}
	if minute == dayMinutes { // the end of a day is the start of the next, working or not
		return Moment{Date: date.AddDays(1)}
	}
	return Moment{Date: date, Minute: minute}
}

func (n Notice) afterDays(date civil.Date) Moment {
	days := n.Rule.Days
	if n.Rule.NoticeDayCounts {
		days--
	}
	for range days {
		date = n.workday(date.AddDays(1))
	}
	return Moment{Date: date.AddDays(1)}
}

// workday is the first working day from date on.
func (n Notice) workday(date civil.Date) civil.Date {
	for !n.working(date) {
		date = date.AddDays(1)
	}
	return date
}

func (n Notice) working(date civil.Date) bool {
	const sunday, saturday = 0, 6
	weekday := date.Time().Weekday()
	return weekday != sunday && weekday != saturday && !slices.Contains(n.Holidays, date)
}

// Check is the window as a result: Pass or Fail where a time to dig is planned,
// otherwise Advisory.
func (n Notice) Check() (Window, Result, error) {
	w, err := n.Window()
	if err != nil {
		return Window{}, Result{}, err
	}
	text := fmt.Sprintf("Notice given in %s on %s allows digging from %s", n.Rule.Place, n.Given, w.Earliest)
	figures := []Figure{{Name: "notice", Value: n.Given.String()}, {Name: "earliest", Value: w.Earliest.String()}}
	inTime := true
	if !w.Last.IsZero() {
		text += fmt.Sprintf(" and is good for a start up to %s", w.Last)
		figures = append(figures, Figure{Name: "last", Value: w.Last.String()})
		inTime = n.Dig == nil || n.Dig.Date.Compare(w.Last) <= 0
	}
	outcome := Advisory
	if n.Dig != nil {
		text += fmt.Sprintf("; digging is planned for %s", n.Dig)
		figures = append(figures, Figure{Name: "planned", Value: n.Dig.String()})
		outcome = passIf(inTime && n.Dig.Compare(w.Earliest) >= 0)
	}
	return w, result(DigNotice, outcome, "dig", text+".", figures...).from(n.Rule.Source, n.Rule.Edition), nil
}
