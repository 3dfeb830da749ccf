package takeoff

import (
	"strconv"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/steel"
	"wattle/internal/timber"
)

// Densities by which loads are weighed.
const (
	lumberDensity = 35  // lb/ft3, dry construction softwood [LUM-1w]; green and treated wood is heavier
	gravelDensity = 100 // lb/ft3, loose (common practice)
)

// sizeAndLength are what the name of an item says that is bought by the length,
// after its kind: a section or a size, perhaps what tells posts apart, and a
// length, as in post-4x4-line-8ft.
func sizeAndLength(name string) (size string, long measure.Length, ok bool) {
	for isWord := false; ; isWord = true {
		word, rest, more := strings.Cut(name, "-")
		if word != "" && isDigit(word[0]) && isWord {
			break
		}
		if !more || word == "" || strings.Trim(word, lowerCase) != "" {
			return "", 0, false
		}
		name = rest
	}
	size, last, _ := strings.Cut(name, "-")
	if as, rest, has := strings.Cut(last, "-"); has && as != "" && strings.Trim(as, lowerCase) == "" {
		last = rest
	}
	unit := strings.TrimLeft(last, "0123456789.")
	number, in := last[:len(last)-len(unit)], measure.Length(0)
	switch unit {
	case "ft":
		in = measure.Foot
	case "in":
		in = measure.Inch
	case "mm":
		in = measure.Millimetre
	}
	if number == "" || in == 0 {
		return "", 0, false
	}
	if long, ok = measure.Decimal(number, in); ok {
		return size, long, true
	}
	long, err := measure.Parse(number + " " + unit)
	return size, long, err == nil
}

const lowerCase = "abcdefghijklmnopqrstuvwxyz"

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// pounds is what one unit of an item weighs, by its default name.
func (g *gathered) pounds(l Line) (rational.Number, bool) {
	if own := g.weights[l.Default]; own.Sign() > 0 {
		return own, true
	}
	switch {
	case l.Unit == Pound:
		return whole(1), true
	case l.Default == gravelItem().name:
		return whole(gravelDensity), true
	case l.Category == Concrete:
		size, _ := strings.CutPrefix(l.Default, "concrete-")
		n, err := strconv.Atoi(strings.TrimSuffix(size, "lb"))
		return whole(n), err == nil
	}
	size, long, ok := sizeAndLength(l.Default)
	if !ok {
		return rational.Number{}, false
	}
	perFoot := poundsPerFoot(size)
	if perFoot.Sign() == 0 {
		return rational.Number{}, false
	}
	return perFoot.Mul(quotient(long, measure.Foot)), true
}

// poundsPerFoot is the weight of a foot of sawn wood, of round wood or of steel
// pipe of the usual wall [AS-6]; 0 where it is not known.
func poundsPerFoot(size string) rational.Number {
	if lumber := timber.Size(size); lumber.Known() {
		return lumber.PoundsPerFoot(lumberDensity)
	}
	switch s := section.Section(size); s.Kind() {
	case section.Pipe:
		if wall, err := steel.WallFor(s.Width()); err == nil {
			return steel.PoundsPerFoot(s.Width(), wall)
		}
	case section.RoundWood:
		return s.DisplacesFt3(measure.Foot).Mul(whole(lumberDensity))
	default:
	}
	return rational.Number{}
}

// Weigh is what some lines of the job's take-off weigh, such as those of one
// supplier, in pounds rounded up.
func (job *Gathered) Weigh(lines []Line) (Delivery, error) { return job.all.weigh(lines) }

func (g *gathered) weigh(lines []Line) (Delivery, error) {
	var d Delivery
	var total rational.Number
	for _, l := range lines {
		if l.Category == Labour || l.Category == Equipment || l.Category == Removal {
			continue
		}
		each, known := g.pounds(l)
		if !known {
			d.Unweighed = append(d.Unweighed, l.Item)
			continue
		}
		ordered := money.Rational(l.Order)
		if l.OrderUnit != "" {
			ratio, _ := measure.UnitRatio(string(l.OrderUnit), string(l.Unit)) // it was converted the other way
			ordered = ordered.Mul(ratio)
		}
		total = total.Add(each.Mul(ordered))
	}
	var err error
	d.Pounds, err = decimalOf(ceiling(total, one))
	return d, err
}
