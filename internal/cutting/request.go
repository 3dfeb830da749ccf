package cutting

import (
	"cmp"
	"math/bits"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// maxPieces is the largest number of pieces in one request.
const maxPieces = 10_000_000

// maxWeight keeps the search's sums of weights in range, with room to scale.
const maxWeight = 1 << 60

// validate lists everything wrong with the request. What an error would say is
// looked at where there is one: jobs have many pieces and seldom an error.
func (r *Request) validate() error {
	v := &fault.List{}
	v.Require(r.Kerf >= 0 && r.Kerf <= measure.MaxLength, "kerf", "must be zero or more and at most %v, is %v", measure.MaxLength, r.Kerf)
	v.Require(r.NodeBudget >= 0, "node_budget", "must be zero or more, is %d", r.NodeBudget)
	var longest measure.Length
	for i, s := range r.Stocks {
		at := v.At("stocks").Index(i)
		if s.Length <= 0 || s.Length > measure.MaxLength {
			at.Add("length", "must be over zero and at most %v, is %v (%s)", measure.MaxLength, s.Length, s.Item)
		}
		if s.Price.IsNeg() {
			at.Add("price", "must be zero or more, is %v (%s)", s.Price, s.Item)
		}
		longest = max(longest, s.Length)
	}
	if len(r.Pieces) > 0 {
		v.Require(len(r.Stocks) > 0, "stocks", "must list at least one stock length")
	}
	count, total := 0, measure.Length(0)
	for i, p := range r.Pieces {
		at := v.At("pieces").Index(i)
		long, many := p.Length > 0, p.Count > 0 && p.Count <= maxPieces
		if !long {
			at.Add("length", "must be over zero, is %v", p.Length)
		}
		if !many {
			at.Add("count", "must be 1 to %d, is %d", maxPieces, p.Count)
		}
		if long && longest > 0 && p.Length > longest {
			at.Add("length", "a piece of %v is longer than every stock length; the longest is %v", p.Length, longest)
			continue
		}
		if long && many {
			count = min(count+p.Count, maxPieces+1)
			if hi, lo := bits.Mul64(uint64(p.Length+r.Kerf), uint64(p.Count)); hi != 0 || lo > maxWeight {
				total = maxWeight + 1
			} else {
				total = min(total+measure.Length(lo), maxWeight+1)
			}
		}
	}
	v.Require(count <= maxPieces, "pieces", "must be at most %d pieces in all", maxPieces)
	v.Require(total <= maxWeight, "pieces", "are too long in all to be added up")
	return v.Err()
}

// tariff turns prices into small integers and back.
type tariff struct {
	units []int64 // price of each stock, in units
	unit  int64   // x 10^-scale of the currency, or nanometres
	scale int
}

// newTariff finds the largest unit that every price is a whole multiple of.
// Without any price, the lengths take their place. False if they do not fit.
func newTariff(stocks []Stock) (tariff, bool) {
	t := tariff{units: make([]int64, len(stocks))}
	priced := slices.ContainsFunc(stocks, func(s Stock) bool { return !s.Price.IsZero() })
	for _, s := range stocks {
		t.scale = max(t.scale, s.Price.MinScale())
	}
	for i, s := range stocks {
		if !priced {
			t.units[i] = int64(s.Length)
		} else {
			p := s.Price.Trim(0)
			n := p.Coef()
			for range t.scale - p.Scale() {
				if n > maxWeight {
					return t, false
				}
				n *= 10
			}
			if n > maxWeight {
				return t, false
			}
			t.units[i] = int64(n)
		}
		for a, b := t.units[i], t.unit; ; a, b = b, a%b {
			if b == 0 {
				t.unit = a
				break
			}
		}
	}
	for i := range t.units {
		t.units[i] /= max(1, t.unit)
	}
	return t, true
}

// amount is n units.
func (t tariff) amount(n int64) (decimal.Decimal, error) {
	return decimal.New(n*t.unit, t.scale)
}

// cheapest stock that holds pieces of the given length, one kerf each
// included; among equals the shortest, then the first.
func (t tariff) cheapest(r *Request, length int64) int {
	best := -1
	for i, s := range r.Stocks {
		if int64(s.Length+r.Kerf) < length {
			continue
		}
		if best < 0 || cmp.Or(cmp.Compare(t.units[i], t.units[best]), cmp.Compare(s.Length, r.Stocks[best].Length)) < 0 {
			best = i
		}
	}
	return best
}

// newJob puts a valid request with pieces into the search's terms. False if
// the prices of that many pieces do not add up within range.
func newJob(r *Request, t tariff) (*job, bool) {
	j := &job{sizes: make([]int64, 0, len(r.Pieces)), demand: make([]int, 0, len(r.Pieces))}
	var room [16]Piece // more than most jobs have
	pieces := append(room[:0], r.Pieces...)
	slices.SortFunc(pieces, func(a, b Piece) int { return cmp.Compare(b.Length, a.Length) })
	for i, p := range pieces {
		if i == 0 || p.Length != pieces[i-1].Length {
			j.sizes, j.demand = append(j.sizes, int64(p.Length+r.Kerf)), append(j.demand, 0)
		}
		j.demand[len(j.demand)-1] += p.Count
		j.pieces += p.Count
	}
	shortest := j.sizes[len(j.sizes)-1]

	var places [16]int
	order := places[:0]
	for i := range r.Stocks {
		order = append(order, i)
	}
	j.sticks = make([]stick, 0, len(r.Stocks))
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(r.Stocks[b].Length, r.Stocks[a].Length), cmp.Compare(t.units[a], t.units[b]))
	})
	for _, i := range order {
		s := stick{length: int64(r.Stocks[i].Length + r.Kerf), price: t.units[i]}
		n := len(j.sticks)
		if s.length >= shortest && (n == 0 || s.price < j.sticks[n-1].price) {
			j.sticks = append(j.sticks, s)
		}
	}
	return j, j.weigh(t.unit)
}

// weigh sets tie and the weights. The tie is as much larger than the number of
// pieces as there is room for, up to 64 times: the larger, the less a stick
// more or fewer blurs the bound on the price.
func (j *job) weigh(unit int64) bool {
	dearest := j.sticks[0].price
	limit := maxWeight / int64(j.pieces)
	if unit > 0 && dearest > limit/unit {
		return false
	}
	for spread := int64(64); spread > 0; spread /= 4 {
		j.tie = spread * int64(j.pieces+1)
		if dearest < limit/j.tie {
			for i := range j.sticks {
				j.sticks[i].weight = j.sticks[i].price*j.tie + 1
			}
			return true
		}
	}
	return false
}
