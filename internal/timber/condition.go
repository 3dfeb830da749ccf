package timber

import (
	"fmt"
	"math/big"
	"strings"
)

// Use is when boards are in a condition.
type Use string

// Uses, in the order of time.
const (
	Installed Use = "installed"
	InService Use = "in service"
)

// Condition is a moisture that has a name: a default to start from where nobody
// measured. A moisture meter on the delivered boards, or records of the site's
// weather through Equilibrium, are better.
type Condition struct {
	Name     string
	Use      Use
	Moisture Moisture
	// Basis is where the moisture comes from.
	Basis string
}

// stocks are the conditions in which boards are installed.
var stocks = []struct {
	name     string
	moisture Moisture
	basis    string
}{
	{"green", FibreSaturation, "common practice: fibre saturation, above which nothing moves"},
	{"treated-wet", 50 * Percent, "common practice: fresh from the treating cylinder"},
	{"air-dried", 19 * Percent, "common practice: the most that lumber stamped dry may hold"},
	{"kiln-dried after treatment", 19 * Percent, "common practice: the most that the stamp allows"},
	{"kiln-dried to 15", 15 * Percent, "common practice: the most that the stamp allows"},
	// The dry end of 8 % to 10 %, since dry boards swell more and so ask for more gap.
	{"kiln-dried", 8 * Percent, "common practice: as imported boards often come, 8 % to 10 %"},
}

// climates are the conditions in service. The moisture is that of wood in air
// of a steady temperature (C) and relative humidity (%), which are typical
// yearly means.
var climates = []struct {
	name                  string
	temperature, humidity int64
}{
	{"desert", 21, 30},
	{"dry interior west", 10, 50},
	{"temperate", 12, 68},
	{"cold north", 6, 70},
	{"humid gulf", 21, 75},
	{"wet coast", 11, 80},
}

// Conditions are all named conditions: those of installed stock from wet to
// dry, then climates from dry to wet.
func Conditions() []Condition {
	var all []Condition
	for _, s := range stocks {
		all = append(all, Condition{s.name, Installed, s.moisture, s.basis})
	}
	for _, c := range climates {
		all = append(all, Condition{c.name, InService,
			equilibrium(big.NewRat(c.temperature, 1), big.NewRat(c.humidity, 1)),
			fmt.Sprintf("equilibrium [WOOD-1] at %d C and %d %% humidity, yearly means by common practice", c.temperature, c.humidity)})
	}
	return all
}

// ParseCondition reads the name of a condition of the given use, in upper or
// lower case.
func ParseCondition(use Use, s string) (Condition, error) {
	var names []string
	for _, c := range Conditions() {
		if c.Use != use {
			continue
		}
		if strings.EqualFold(c.Name, s) {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return Condition{}, fmt.Errorf("%.40q is not a condition of boards %s; expected one of %s", s, use, strings.Join(names, ", "))
}
