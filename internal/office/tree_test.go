package office_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/office"
)

// parse makes a tree of words like "north<main": north stands under main.
func parse(words string) office.Tree {
	var list []office.Office
	for w := range strings.FieldsSeq(words) {
		id, parent, _ := strings.Cut(w, "<")
		list = append(list, office.Office{ID: id, Parent: parent, Removed: strings.HasSuffix(id, "-gone")})
	}
	return office.NewTree(list)
}

func TestPathsAndSubtrees(t *testing.T) {
	tree := parse("main north<main south<main yard<north shed<yard")
	for id, want := range map[string][2]string{
		"main":  {"[main]", "[main north shed south yard]"},
		"north": {"[north main]", "[north shed yard]"},
		"shed":  {"[shed yard north main]", "[shed]"},
		"none":  {"[]", "[]"},
	} {
		if got := [2]string{fmt.Sprint(tree.Path(id)), fmt.Sprint(tree.Below(id))}; got != want {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

func TestPlaceRefusesCircles(t *testing.T) {
	tree := parse("main north<main yard<north shed<yard old-gone<main")
	for _, c := range []struct{ id, parent, want string }{
		{"yard", "main", ""}, {"new", "shed", ""}, {"shed", "north", ""},
		{"north", "north", "cannot stand under itself"},
		{"north", "shed", "would close a circle"},
		{"north", "yard", "(yard < north < main)"},
		{"yard", "none", `there is no office "none"`},
		{"yard", "old-gone", "is removed"},
		{"main", "north", "is the root"},
	} {
		v := &fault.List{}
		tree.Place(v, c.id, c.parent)
		if err := v.Err(); (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s under %s: %v, want %q", c.id, c.parent, err, c.want)
		}
	}
}

// Whatever moves Place lets through, every office keeps a way to the root, and an
// office is below exactly those on its path.
func TestNoMovesLoseAnOffice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids := []string{"main", "a", "b", "c", "d", "e"}
		tree := parse("main a<main b<main c<main d<main e<main")
		for range rapid.IntRange(1, 20).Draw(t, "moves") {
			id, parent := rapid.SampledFrom(ids).Draw(t, "id"), rapid.SampledFrom(ids).Draw(t, "parent")
			v := &fault.List{}
			if tree.Place(v, id, parent); v.Len() == 0 {
				o, _ := tree.Find(id)
				o.Parent = parent
				tree = tree.With(o)
			}
		}
		for _, id := range ids {
			path := tree.Path(id)
			if path[len(path)-1] != "main" {
				t.Fatalf("%s ends at %v", id, path)
			}
			for _, other := range ids {
				if slices.Contains(tree.Below(other), id) != slices.Contains(path, other) {
					t.Fatalf("%s below %s: path %v", id, other, path)
				}
			}
		}
	})
}

func TestSettingsComeFromAbove(t *testing.T) {
	floor, days := decimal.MustParse("20"), 90
	tree := office.NewTree([]office.Office{
		{ID: "main", Settings: office.Settings{TimeZone: "America/Chicago", MarginFloor: &floor}},
		{ID: "north", Parent: "main", Settings: office.Settings{StaleAfterDays: &days, PreferredSuppliers: []string{"Acre"}}},
		{ID: "yard", Parent: "north", Settings: office.Settings{TimeZone: "America/Denver"}},
	})
	s := tree.Settings("yard")
	if s.TimeZone != "America/Denver" || s.MarginFloor.String() != "20" || *s.StaleAfterDays != 90 || s.PreferredSuppliers[0] != "Acre" {
		t.Errorf("at yard %+v", s)
	}
	if s := tree.Settings("main"); s.TimeZone != "America/Chicago" || s.StaleAfterDays != nil {
		t.Errorf("at main %+v", s)
	}
	if s := tree.Settings("none"); s.TimeZone != "UTC" {
		t.Errorf("nowhere %+v", s)
	}
}

func TestValidateListsEverything(t *testing.T) {
	floor, days := decimal.MustParse("100"), -1
	o := office.Office{ID: "North Yard", Title: "a\nb", Settings: office.Settings{
		TimeZone: "Mars/Olympus", MarginFloor: &floor, StaleAfterDays: &days, PreferredSuppliers: []string{"Acre", "", "Acre"},
	}}
	v := &fault.List{}
	o.Validate(v.At("office"), func(zone string) bool { return zone == "UTC" })
	err := fmt.Sprint(v.Err())
	for _, want := range []string{"office.id: ", "office.title: ", "office.settings.time_zone: ", "office.settings.margin_floor_percent: ",
		"office.settings.stale_after_days: ", "office.settings.preferred_suppliers[1]: ", `office.settings.preferred_suppliers[2]: "Acre" is named twice`} {
		if !strings.Contains(err, want) {
			t.Errorf("%q is not in:\n%s", want, err)
		}
	}
}
