package office

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
)

// Limits.
const (
	MostSuppliers = 50
	MostTitle     = 200 // characters
	MostStaleDays = 3650
)

var idForm = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$`)

// Validate notes what is wrong with an office in itself. zone says whether a
// time zone is known: the names belong to the machine's tables, not to us.
func (o Office) Validate(v *fault.List, zone func(string) bool) {
	v.Require(idForm.MatchString(o.ID), "id", "expected lower-case letters, digits and inner hyphens, at most 63, found %.80q", o.ID)
	title(v, "title", o.Title)
	s, at := o.Settings, v.At("settings")
	at.Require(s.TimeZone == "" || zone(s.TimeZone), "time_zone", "expected the name of a time zone, such as America/Chicago, found %.80q", s.TimeZone)
	if f := s.MarginFloor; f != nil {
		at.Require(!f.IsNeg() && f.Cmp(decimal.Hundred) < 0 && f.MinScale() <= 4, "margin_floor_percent", "expected 0 to under 100 with at most 4 decimals, found %v", f)
	}
	if d := s.StaleAfterDays; d != nil {
		at.Require(*d >= 0 && *d <= MostStaleDays, "stale_after_days", "expected 0 (never) to %d days, found %d", MostStaleDays, *d)
	}
	at.Require(len(s.PreferredSuppliers) <= MostSuppliers, "preferred_suppliers", "expected at most %d, found %d", MostSuppliers, len(s.PreferredSuppliers))
	seen := make(map[string]bool)
	for i, name := range s.PreferredSuppliers {
		each := at.At("preferred_suppliers").Index(i)
		each.Require(name != "", "", "a name is expected")
		title(each, "", name)
		each.Require(!seen[name], "", "%q is named twice", name)
		seen[name] = true
	}
}

func title(v *fault.List, field, s string) {
	v.Require(utf8.RuneCountInString(s) <= MostTitle, field, "expected at most %d characters", MostTitle)
	v.Require(utf8.ValidString(s) && strings.IndexFunc(s, unicode.IsControl) < 0, field, "expected text without control characters")
}
