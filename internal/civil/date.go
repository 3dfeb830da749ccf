// Package civil holds calendar dates without a clock or a place: the date a
// price takes effect, the date a quote's prices hold for.
package civil

import (
	"cmp"
	"fmt"
	"time"
)

// Date is a day of the proleptic Gregorian calendar. The zero Date is "no
// date".
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// Parse reads the ISO 8601 form 2006-01-02, and only that.
func Parse(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a date of the form 2006-01-02", s)
	}
	return Of(t), nil
}

// Must is Parse for constants and tests; it panics on error.
func Must(s string) Date {
	d, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return d
}

// Of is the date on which t falls in t's own location.
func Of(t time.Time) Date {
	y, m, d := t.Date()
	return Date{Year: y, Month: m, Day: d}
}

func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// IsZero reports whether d is "no date".
func (d Date) IsZero() bool { return d == Date{} }

// Time is midnight UTC of d, for drivers that want an instant.
func (d Date) Time() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

// AddDays is the date n days later (earlier where n is negative).
func (d Date) AddDays(n int) Date { return Of(d.Time().AddDate(0, 0, n)) }

// DaysTo is the number of days from d to e, below 0 where e is earlier.
func (d Date) DaysTo(e Date) int { return int((e.Time().Unix() - d.Time().Unix()) / (24 * 60 * 60)) }

// Compare orders dates from early to late.
func (d Date) Compare(e Date) int {
	return cmp.Or(cmp.Compare(d.Year, e.Year), cmp.Compare(d.Month, e.Month), cmp.Compare(d.Day, e.Day))
}
