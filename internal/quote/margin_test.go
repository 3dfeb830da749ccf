package quote

import (
	"testing"

	"github.com/govalues/decimal"
)

func TestMargin(t *testing.T) {
	d := decimal.MustParse
	for _, c := range []struct{ cost, overhead, net, fees, want string }{
		{"100", "0", "140", "0", "28.5714"}, // TAX-6: a markup of 40 % is a margin of 28.57 %
		{"100", "10", "137.50", "0", "20"},
		{"100", "10", "182.50", "45", "20"}, // a fee changes nothing
		{"100", "10", "100", "0", "-10"},
		{"0", "0", "0", "0", "0"},
		{"0", "0", "45", "45", "0"},
	} {
		m, err := Totals{Cost: d(c.cost), Overhead: d(c.overhead), Net: d(c.net), Fees: d(c.fees)}.Margin()
		if err != nil || !m.Equal(d(c.want)) {
			t.Errorf("%+v: %v, %v", c, m, err)
		}
	}
}
