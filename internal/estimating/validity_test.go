package estimating

import (
	"testing"
	"time"

	"wattle/internal/civil"
)

func TestValidityEnds(t *testing.T) {
	for _, c := range []struct{ day, zone, want string }{
		{"2026-03-31", "UTC", "2026-04-01T00:00:00Z"},
		{"2026-03-31", "America/Denver", "2026-04-01T06:00:00Z"},
		{"2026-03-07", "America/Denver", "2026-03-08T07:00:00Z"}, // the clocks change later that day
		{"2026-12-31", "Pacific/Kiritimati", "2026-12-31T10:00:00Z"},
		{"2024-02-28", "Asia/Kolkata", "2024-02-28T18:30:00Z"},
	} {
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := validityEnds(civil.Must(c.day), zone).UTC().Format(time.RFC3339); got != c.want {
			t.Errorf("%s in %s: %s, want %s", c.day, c.zone, got, c.want)
		}
	}
}
