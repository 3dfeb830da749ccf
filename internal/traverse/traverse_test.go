package traverse

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

const ft = measure.Foot

func mustRun(t interface{ Fatalf(string, ...any) }, in Input) Result {
	v := &fault.List{}
	r, ok := Run(v, in)
	if !ok {
		t.Fatalf("Run(%+v): %v", in, v.Err())
	}
	return r
}

// near says whether got is want feet, within tol.
func near(got measure.Length, want, tol float64) bool {
	off := float64(got)/float64(ft) - want
	return -tol <= off && off <= tol
}

const sur1 = `
S68-05-35W 472.68 ft   # SUR-1
N19-46-00W 216.13 ft
N45-55-20E 276.52 ft
S54-59-15E 382.24 ft
`

// SUR-1 [Mahun, Open Access Surveying, traverse computations E and I], printed
// to 0.001 ft: tolerance 0.0015 ft.
func TestPublishedTraverse(t *testing.T) {
	latitudesAndDepartures := func(balance bool, want [][2]float64) Closure {
		r := mustRun(t, Input{Text: sur1, Closes: true, Balance: balance})
		if len(r.Vertices) != 4 {
			t.Fatalf("%d vertices, want 4", len(r.Vertices))
		}
		// Without balance the last leg ends what it misses beside the start.
		ends := slices.Concat(r.Vertices, []measure.Point{r.Vertices[0]})
		if !balance {
			ends[4] = ends[4].Add(measure.Point{East: r.Closure.East, North: r.Closure.North})
		}
		for i, w := range want {
			got := ends[i+1].Sub(ends[i])
			if !near(got.North, w[0], 0.0015) || !near(got.East, w[1], 0.0015) {
				t.Errorf("balance %v, leg %d: %v, want latitude %v, departure %v", balance, i, got, w[0], w[1])
			}
		}
		return *r.Closure
	}
	run := latitudesAndDepartures(false, [][2]float64{{-176.357, -438.548}, {203.395, -73.093}, {192.357, 198.651}, {-219.312, 313.065}})
	balanced := latitudesAndDepartures(true, [][2]float64{{-176.386, -438.574}, {203.382, -73.105}, {192.340, 198.635}, {-219.336, 313.044}})
	for _, c := range []Closure{run, balanced} {
		// The source rounds its ratio to hundreds.
		if !near(c.Misclosure, 0.111, 0.0015) || (c.Precision+50)/100*100 != 12_100 || c.Length != measure.Must("1347.57 ft") {
			t.Errorf("closure %+v, want 0.111 ft, 1 in 12,100", c)
		}
	}
	if run.Balanced || !balanced.Balanced {
		t.Errorf("balanced: %v and %v", run.Balanced, balanced.Balanced)
	}
}

// SUR-4 [landsurveyorsunited.com]: the sums of a traverse of 3,739 ft. The
// source rounds its ratio to thousands.
func TestPublishedSums(t *testing.T) {
	c := Close(3739*ft, measure.Must("926.1908 ft")-measure.Must("926.1124 ft"), measure.Must("1271.5510 ft")-measure.Must("1271.6325 ft"))
	if !near(c.Misclosure, 0.1131, 0.00005) || (c.Precision+500)/1000 != 33 {
		t.Errorf("closure %+v, want 0.1131 ft, 1 in 33,000", c)
	}
}

// SUR-6 (computed), printed to 0.01 ft and to a millimetre.
func TestSlopeDistance(t *testing.T) {
	r := mustRun(t, Input{Text: "N45E 177.50 ft slope 3 %; due east 29.705 m rise 3.658 m", Elevation: 100 * ft})
	if got := r.Legs[0].Distance; !near(got, 177.42, 0.005) {
		t.Errorf("177.50 ft on 3 %% is %s in plan, want 177.42 ft", got.In(ft, 4))
	}
	if got := r.Legs[1].Distance; measure.RoundTo(got, measure.Millimetre) != measure.Must("29.479 m") {
		t.Errorf("29.705 m with a rise of 3.658 m is %v in plan, want 29.479 m", got)
	}
	rise := r.Legs[0].Rise // 3 % of 177.42 ft
	if !near(rise, 5.3226, 0.0001) {
		t.Errorf("the slope rises %v, want 5.3226 ft", rise)
	}
	want := []measure.Length{100 * ft, 100*ft + rise, 100*ft + rise + measure.Must("3.658 m")}
	if !slices.Equal(r.Elevations, want) {
		t.Errorf("elevations %v, want %v", r.Elevations, want)
	}
}

//	N
//
// d---------c
// |         |
// a---------b   walked counterclockwise from a
func TestRun(t *testing.T) {
	square := "due east 40 ft; due north 30 ft; due west 40 ft; due south 30 ft"
	at := func(e, n measure.Length) measure.Point { return measure.Point{East: e * ft, North: n * ft} }
	end := at(40, 30)
	for _, c := range []struct {
		name    string
		in      Input
		want    []measure.Point
		closure string // the ratio
	}{
		{"open", Input{Text: "E 40 ft\nN, 30 ft"}, []measure.Point{at(0, 0), at(40, 0), at(40, 30)}, ""},
		{"open from a start", Input{Text: "E 40 ft", Start: at(1, 2)}, []measure.Point{at(1, 2), at(41, 2)}, ""},
		{"open, though it returns", Input{Text: square}, []measure.Point{at(0, 0), at(40, 0), at(40, 30), at(0, 30), at(0, 0)}, ""},
		{"around", Input{Text: square, Closes: true}, []measure.Point{at(0, 0), at(40, 0), at(40, 30), at(0, 30)}, "exact"},
		{"around by its point", Input{Text: square, To: &measure.Point{}}, []measure.Point{at(0, 0), at(40, 0), at(40, 30), at(0, 30)}, "exact"},
		{"onto a point", Input{Text: "E 40 ft; due N 30 ft", To: &end}, []measure.Point{at(0, 0), at(40, 0), at(40, 30)}, "exact"},
		{"beside a point", Input{Text: "E 40 ft; due N 29.99 ft", To: &end}, []measure.Point{at(0, 0), at(40, 0), {East: 40 * ft, North: measure.Must("29.99 ft")}}, "1 in 6999"},
		{"brought onto it", Input{Text: "E 40 ft; due N 29.99 ft", To: &end, Balance: true}, []measure.Point{at(0, 0), {East: 40 * ft, North: 1_741_963}, at(40, 30)}, "1 in 6999"}, // 40/69.99 of 3,048,000 nm
		{"3 in 60 by a limit of one's own", Input{Text: "E 40 ft; due N 20 ft", To: &measure.Point{East: 40 * ft, North: 23 * ft}, LeastPrecision: 20}, []measure.Point{at(0, 0), at(40, 0), at(40, 20)}, "1 in 20"},
		{"legs", Input{Legs: []LegText{{Bearing: "N 90 E", Distance: `40'`}, {Bearing: "Az 0", Distance: "30 ft"}}}, []measure.Point{at(0, 0), at(40, 0), at(40, 30)}, ""},
		{"along a slope of 3 in 4", Input{Legs: []LegText{{Bearing: "E", Distance: `50'`, Percent: "-75 %"}, {Bearing: "due N", Distance: "50 ft", Rise: "40 ft"}}}, []measure.Point{at(0, 0), at(40, 0), at(40, 30)}, ""},
	} {
		r := mustRun(t, c.in)
		ratio := ""
		if r.Closure != nil {
			ratio = r.Closure.Ratio()
		}
		if !slices.Equal(r.Vertices, c.want) || ratio != c.closure {
			t.Errorf("%s: %v, %q; want %v, %q", c.name, r.Vertices, ratio, c.want, c.closure)
		}
		if r.Elevations != nil && len(r.Elevations) != len(r.Vertices) {
			t.Errorf("%s: %d elevations", c.name, len(r.Elevations))
		}
	}
}

// A way around that does not come back to its elevation says so, and keeps an
// elevation for each vertex.
func TestElevationsAround(t *testing.T) {
	r := mustRun(t, Input{Text: `E 50 ft slope 75 %; due N 30 ft; W 50 ft rise -30 ft; due S 30 ft rise 1/64 in`, Closes: true})
	if want := []measure.Length{0, 30 * ft, 30 * ft, 0}; !slices.Equal(r.Elevations, want) || len(r.Vertices) != 4 {
		t.Errorf("elevations %v of %v, want %v", r.Elevations, r.Vertices, want)
	}
	if r.Closure.Up == nil || *r.Closure.Up != measure.SixtyFourth {
		t.Errorf("it comes back %v higher, want 1/64 in", r.Closure.Up)
	}
	flat := mustRun(t, Input{Text: "E 40 ft; due N 30 ft; W 40 ft; due S 30 ft", Closes: true})
	if flat.Closure.Up != nil {
		t.Errorf("legs without elevations come back %v higher", flat.Closure.Up)
	}
}

func TestManyLegs(t *testing.T) {
	leg := "N 45 E 1 ft\n"
	if r := mustRun(t, Input{Text: strings.Repeat(leg, MaxLegs)}); len(r.Vertices) != MaxLegs+1 {
		t.Errorf("%d vertices", len(r.Vertices))
	}
}
