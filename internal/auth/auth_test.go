package auth_test

import (
	"fmt"
	"testing"

	"wattle/internal/auth"
	"wattle/internal/fault"
	"wattle/internal/office"
)

func TestRolesAreALadder(t *testing.T) {
	all := append(auth.Roles(), auth.Operator, "")
	for i, r := range all {
		for j, least := range all {
			want := i >= j && i < 4 && j < 4 || i == 4 && j == 4
			if got := r.May(least); got != want {
				t.Errorf("%q may do what needs %q: %v", r, least, got)
			}
		}
	}
	if err := auth.Check(auth.Admin, "/wattle.v1.QuoteService/Unheard"); fault.KindOf(err) != fault.Denied {
		t.Errorf("a method without a row: %v", err)
	}
}

func TestReach(t *testing.T) {
	tree := office.NewTree([]office.Office{
		{ID: "main"}, {ID: "north", Parent: "main"}, {ID: "south", Parent: "main"}, {ID: "yard", Parent: "north"}, {ID: "gone", Parent: "north", Removed: true},
	})
	c := auth.Caller{Company: "harrow", Office: "north", Role: auth.Pricer, Tree: tree, QuotesFromAbove: true}
	if got := fmt.Sprint(c.PriceOffices(), c.QuoteOffices(), c.WriteOffices()); got != "[gone north yard main] [gone north yard] [north]" {
		t.Errorf("%s", got)
	}
	c.WritesBelow, c.QuotesFromAbove = true, false
	if got := fmt.Sprint(c.QuoteOffices(), c.WriteOffices()); got != "[north] [gone north yard]" {
		t.Errorf("%s", got)
	}
	for asked, want := range map[string]fault.Kind{"south": fault.Denied, "main": fault.Denied, "gone": fault.Invalid} {
		if _, err := c.Writes("office", asked); fault.KindOf(err) != want || err == nil {
			t.Errorf("writes at %s: %v", asked, err)
		}
	}
	if at, err := c.Writes("office", ""); at != "north" || err != nil {
		t.Errorf("writes at %q, %v", at, err)
	}
	if _, err := c.Reads("south"); fault.KindOf(err) != fault.Denied || err == nil {
		t.Errorf("reads at south: %v", err)
	}
	if at, err := c.Reads("main"); at != "main" || err != nil {
		t.Errorf("reads at %q, %v", at, err)
	}
}
