package geojson

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// kind is what a feature can be.
type kind struct {
	name       string
	shapes     []string
	properties []string
}

// kinds are all that are read, their properties besides kind and id.
var kinds = []kind{
	{"run", []string{"LineString", "MultiLineString", "Polygon"}, []string{"face", "start_tie_in", "end_tie_in", "start_wall_gap", "end_wall_gap"}},
	{"gate", []string{"Point"}, []string{"run", "width", "leaves", "hinge", "swing", "slides"}},
	{"keep-out", []string{"Point", "LineString"}, []string{"clearance"}},
	{"pin", []string{"Point"}, []string{"run", "existing"}},
}

func kindNamed(name string) (kind, bool) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name == name })
	if i < 0 {
		return kind{}, false
	}
	return kinds[i], true
}

// properties are those of one feature; each is read by its kind of value, the
// zero value where it is absent or wrong.
type properties struct {
	v *fault.List
	members
}

// names notes the properties that mean something, but not here or not as they
// are spelled; others are another program's own.
func (p properties) names(own kind) {
	for _, name := range slices.Sorted(maps.Keys(p.members)) {
		ours, known := spellings[folded(name)]
		switch {
		case !p.given(name) || name == "kind" || name == "id":
		case folded(name) == "kind":
			p.v.Add(name, "expected it to be spelled kind")
		case !known:
		case !slices.Contains(own.properties, ours):
			of := slices.IndexFunc(kinds, func(k kind) bool { return slices.Contains(k.properties, ours) })
			p.v.Add(name, "belongs to a %s; this is a %s", kinds[of].name, own.name)
		case name != ours:
			p.v.Add(name, "expected it to be spelled %s", ours)
		}
	}
}

// spellings finds a property of any kind by its folded name.
var spellings = func() map[string]string {
	m := map[string]string{}
	for _, k := range kinds {
		for _, name := range k.properties {
			m[folded(name)] = name
		}
	}
	return m
}()

// folded is a name without what people spell differently.
func folded(name string) string { return strings.ToLower(marks.Replace(name)) }

var marks = strings.NewReplacer("_", "", "-", "", " ", "")

func (p properties) text(name string) string {
	if !p.given(name) {
		return ""
	}
	s, ok := text(p.members[name])
	p.v.Require(ok, name, "expected text, found %s", described(p.members[name]))
	return s
}

func (p properties) length(name string) measure.Length {
	if !p.given(name) {
		return 0
	}
	s, ok := text(p.members[name])
	if !p.v.Require(ok, name, `expected text with a unit, such as "4 ft" or "1.2 m", found %s`, described(p.members[name])) {
		return 0
	}
	l, err := measure.Parse(s)
	p.v.Require(err == nil, name, "%v", err)
	return l
}

func (p properties) yes(name string) (yes bool) {
	if p.given(name) && json.Unmarshal(p.members[name], &yes) != nil {
		p.v.Add(name, "expected true or false, found %s", described(p.members[name]))
	}
	return yes
}

func (p properties) leaves() int {
	var n float64
	if !p.given("leaves") {
		return 1
	}
	if json.Unmarshal(p.members["leaves"], &n) != nil || n != 1 && n != 2 {
		p.v.Add("leaves", "expected 1 (single) or 2 (a pair), found %s", described(p.members["leaves"]))
	}
	return int(n)
}

func (p properties) side(name string) site.Side {
	return site.Side(p.choice(name, "left", "right"))
}

// choice is the index of the value among two; the first is the default.
func (p properties) choice(name, first, second string) int {
	if !p.given(name) {
		return 0
	}
	s, _ := text(p.members[name])
	i := slices.Index([]string{first, second}, s)
	p.v.Require(i >= 0, name, "expected %s or %s, found %s", first, second, described(p.members[name]))
	return max(i, 0)
}
