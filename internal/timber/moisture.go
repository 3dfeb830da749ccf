package timber

import (
	"fmt"
	"regexp"
	"strconv"
)

// Moisture is a moisture content, the weight of water over the weight of the
// oven-dry wood, in hundredths of a percent: 1200 is 12 %. Green sapwood may
// hold more water than wood, so it passes 100 %.
type Moisture int

const (
	// Percent is one percent.
	Percent Moisture = 100
	// FibreSaturation is where the cell walls are full and wood stops swelling:
	// 30 %, as the wide form of movement takes it [WOOD-5].
	FibreSaturation = 30 * Percent
	// MaxMoisture is the most that is read or reckoned with.
	MaxMoisture = 300 * Percent
)

var moistureText = regexp.MustCompile(`^\s*([0-9]{1,3})(?:\.([0-9]{1,2}))?\s*%?\s*$`)

// ParseMoisture reads a percentage with at most two decimals, the sign of which
// may be left out: "12 %", "12.5%", "12.25". Nothing is rounded.
func ParseMoisture(s string) (Moisture, error) {
	parts := moistureText.FindStringSubmatch(s)
	if parts == nil {
		return 0, fmt.Errorf("%.40q is not a moisture content: expected a percentage with at most two decimals, as in 12.5 %%", s)
	}
	hundredths, _ := strconv.Atoi(parts[1] + (parts[2] + "00")[:2])
	if m := Moisture(hundredths); m <= MaxMoisture {
		return m, nil
	}
	return 0, fmt.Errorf("%.40q is not a moisture content: expected at most %v", s, MaxMoisture)
}

// String is the percentage as ParseMoisture reads it: "12 %", "12.5 %".
func (m Moisture) String() string { return decimalText(int(m), 2) + " %" }

// decimalText is n over 10^places, trailing zeros dropped.
func decimalText(n, places int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	one := 1
	for range places {
		one *= 10
	}
	text := sign + strconv.Itoa(n/one)
	if rest := n % one; rest != 0 {
		for ; rest%10 == 0; rest /= 10 {
			places--
		}
		text += fmt.Sprintf(".%0*d", places, rest)
	}
	return text
}
