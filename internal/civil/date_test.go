package civil

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for text, want := range map[string]Date{
		"2026-11-25": {2026, time.November, 25},
		"2024-02-29": {2024, time.February, 29},
		"0001-01-01": {1, time.January, 1},
		"9999-12-31": {9999, time.December, 31},
	} {
		if got, err := Parse(text); err != nil || got != want || got.String() != text {
			t.Errorf("Parse(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{
		"", "2025-02-29", "2026-13-01", "2026-00-10", "2026-1-5", "26-01-05", "2026/01/05", "01.05.2026", "2026-01-05T00:00:00Z",
		" 2026-01-05", "10000-01-01", "-001-01-01", "20260105",
	} {
		got, err := Parse(text)
		if err == nil || !got.IsZero() {
			t.Errorf("Parse(%q) = %v, %v; want an error", text, got, err)
		}
	}
	_, err := Parse("5 Jan")
	if want := `"5 Jan" is not a date of the form 2006-01-02`; err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

func TestMustPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("Must of no date did not panic")
		}
	}()
	Must("soon")
}

func TestZeroDate(t *testing.T) {
	var none Date
	if !none.IsZero() || none.String() != "" || Must("0001-01-01").IsZero() {
		t.Errorf("the zero date is %q, IsZero %v", none, none.IsZero())
	}
}

// The same instant is another day elsewhere; Of reads the instant's own place.
func TestOf(t *testing.T) {
	instant := time.Date(2026, time.March, 1, 3, 0, 0, 0, time.UTC)
	west := instant.In(time.FixedZone("west", -8*60*60))
	if got := Of(instant).String() + " " + Of(west).String(); got != "2026-03-01 2026-02-28" {
		t.Errorf("got %s", got)
	}
	if got := Must("2026-03-01").Time(); !got.Equal(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)) || got.Location() != time.UTC {
		t.Errorf("midnight is %v", got)
	}
}

func TestAddDays(t *testing.T) {
	for _, c := range []struct {
		from string
		days int
		want string
	}{
		{"2026-11-25", 30, "2026-12-25"},
		{"2024-02-28", 1, "2024-02-29"},
		{"2025-02-28", 1, "2025-03-01"},
		{"2026-01-01", -1, "2025-12-31"},
		{"2026-01-01", 0, "2026-01-01"},
		{"1900-02-28", 1, "1900-03-01"}, // no leap year
	} {
		if got := Must(c.from).AddDays(c.days).String(); got != c.want {
			t.Errorf("%s and %d days is %s, want %s", c.from, c.days, got, c.want)
		}
	}
}

func TestCompare(t *testing.T) {
	sorted := []string{"", "2025-12-31", "2026-01-02", "2026-02-01", "2026-02-02"}
	dates := make([]Date, len(sorted))
	for i, s := range sorted {
		if s != "" {
			dates[i] = Must(s)
		}
	}
	for i, d := range dates {
		for j, e := range dates {
			if got, want := d.Compare(e), i-j; got*want < 0 || (got == 0) != (want == 0) {
				t.Errorf("%q against %q is %d", d, e, got)
			}
		}
	}
	if !slices.IsSortedFunc(dates, Date.Compare) {
		t.Error("not sorted")
	}
}

func TestDateLaws(t *testing.T) {
	first := Must("1900-01-01")
	rapid.Check(t, func(t *rapid.T) {
		d := first.AddDays(rapid.IntRange(0, 100_000).Draw(t, "day"))
		n := rapid.IntRange(-10_000, 10_000).Draw(t, "n")
		if got, err := Parse(d.String()); err != nil || got != d {
			t.Fatalf("%v reads back as %v, %v", d, got, err)
		}
		later := d.AddDays(n)
		if later.AddDays(-n) != d || later.Compare(d) != min(1, max(-1, n)) || Of(d.Time()) != d {
			t.Fatalf("%v and %d days is %v", d, n, later)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"2026-11-25", "2025-02-29", "", "0000-01-01", "2026-1-5"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if d, err := Parse(text); err == nil && d.String() != text {
			t.Fatalf("Parse(%q) prints %q", text, d)
		}
	})
}

// Days to a date are how many must be added to get there, also over leap days and
// spans that a time.Duration cannot hold.
func TestDaysTo(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     int
	}{{"2024-02-28", "2024-03-01", 2}, {"2026-03-01", "2026-02-28", -1}, {"2026-03-01", "2026-03-01", 0}, {"1900-01-01", "2300-01-01", 146097}} {
		if got := Must(c.from).DaysTo(Must(c.to)); got != c.want {
			t.Errorf("from %s to %s: %d days, want %d", c.from, c.to, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(-400_000, 400_000).Draw(t, "days")
		if from := Must("2026-01-01"); from.DaysTo(from.AddDays(n)) != n {
			t.Fatalf("%d days on it is %d", n, from.DaysTo(from.AddDays(n)))
		}
	})
}
