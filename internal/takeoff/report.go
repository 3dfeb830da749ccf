package takeoff

import (
	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/timber"
)

// Movement is what boards do after they are hung (trade 6).
type Movement struct {
	Species string
	// Installed and Service are the moistures the boards are hung and stay at.
	Installed, Service timber.Moisture
	// Form of the formula, "narrow" or "wide"; Capped: a moisture above fibre
	// saturation counts as that.
	Form   string
	Capped bool
	// Width is a board's as it is hung, Change what it becomes wider by in
	// service, below zero narrower.
	Width, Change measure.Length
	// AdvisedGap is the least gap at installation; Gap the one that was counted
	// with; ServiceGap what it becomes, below zero where boards push.
	AdvisedGap, Gap, ServiceGap measure.Length
	// Push is how far the boards of the widest face would push past their place,
	// all together; zero where the gaps take the swell up.
	Push measure.Length
}

// Work is the labour by tasks (trade 9).
type Work struct {
	Tasks []Task
	// Hours are those of one person, over all tasks; a crew shares them (see
	// CrewHours). Days are the crew's, rounded up to a tenth.
	Hours, Days decimal.Decimal
	Crew        int
	HoursPerDay decimal.Decimal
}

// CrewHours is how long the whole crew is there, in hundredths, half up.
func (w *Work) CrewHours() decimal.Decimal {
	d, err := newDecimal(money.Rational(w.Hours).Quo(whole(w.Crew)).HalfUp(2), 2)
	if err != nil {
		return w.Hours // more digits than a decimal holds
	}
	return d
}

// Task is one kind of work: Quantity x Rate x every factor = Hours, in
// hundredths, half up.
type Task struct {
	Name     string // "holes"
	Item     string // the price-book item of its rate
	Quantity decimal.Decimal
	Unit     string // of the quantity
	Rate     decimal.Decimal
	Factors  []Factor
	Hours    decimal.Decimal
}

// Factor makes a task longer, or shorter.
type Factor struct {
	Item  string // of the price book
	Value decimal.Decimal
}

// Delivery is what the ordered material weighs, as far as its weight is known.
type Delivery struct {
	Pounds decimal.Decimal
	// Unweighed are the items whose weight is not known.
	Unweighed []string
}
