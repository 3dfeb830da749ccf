package traverse

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// wrongWith is everything that Run says against the input, a line each.
func wrongWith(t *testing.T, in Input) []string {
	v := &fault.List{}
	_, ok := Run(v, in)
	err := v.Err()
	if ok || err == nil {
		t.Errorf("Run(%+v) is content", in)
		return nil
	}
	return strings.Split(err.Error(), "\n  ")[1:]
}

func TestBadInput(t *testing.T) {
	far, near := measure.Point{East: measure.MaxLength + 1}, measure.Point{East: 10 * ft}
	leg := LegText{Bearing: "E", Distance: "10 ft"}
	for _, c := range []struct {
		in   Input
		want string
	}{
		{Input{}, "legs: there are no legs; expected at least one"},
		{Input{Text: "# nothing\n\n ; thence"}, "text: there are no legs; expected at least one"},
		{Input{Text: "E 10 ft", Legs: []LegText{leg}}, "legs: given beside a text"},
		{Input{Text: "N 45-95-00 E 20 ft"}, `text: line 1: "N 45-95-00 E 20 ft" is not a bearing: 95 minutes; expected less than 60`},
		{Input{Text: "\n# x\nN 45-00-60 E 20 ft"}, `text: line 3: "N 45-00-60 E 20 ft" is not a bearing: 60 seconds`},
		{Input{Text: "N 95 E 20 ft"}, "95 deg is more than 90 deg"},
		{Input{Text: "Az 361 20 ft"}, "361 degrees; expected at most 360"},
		{Input{Text: "NaN 20 ft"}, "expected a bearing such as"},
		{Input{Text: "N 45 E NaN"}, `text: line 1 ("N 45 E NaN"): "NaN" is not a length`},
		{Input{Text: "N 45 E inf ft"}, `"inf ft" is not a length`},
		{Input{Text: "N 45 E 20"}, `"20" is not a length: it needs a unit`},
		{Input{Text: "N 45 E"}, `text: line 1 ("N 45 E"): "" is not a length: expected a number with its unit`},
		{Input{Text: "N 45 20 ft"}, "expected E or W after the angle"},
		{Input{Text: "45 20 E 20 ft"}, "expected N, S or Az before a number alone"},
		{Input{Text: "45-20 E 20 ft"}, "expected N or S before the angle"},
		{Input{Text: "E 0 ft"}, "0 in; expected more than 0"},
		{Input{Text: "E -5 ft"}, "-5 ft; expected more than 0"},
		{Input{Text: "E 20 ft rise 20 ft"}, "a rise of 20 ft in 20 ft along the slope; expected less than the distance"},
		{Input{Text: "E 20 ft rise -21 ft"}, "a rise of -21 ft in 20 ft"},
		{Input{Text: "E 20 ft rise 3"}, `"3" is not a length: it needs a unit`},
		{Input{Text: "E 20 ft rise"}, "expected one figure after the word rise"},
		{Input{Text: "E 20 ft Slope"}, "expected one figure after the word Slope"},
		{Input{Text: "E 20 ft rise 1 ft rise 2 ft"}, "expected one figure after the word rise, and one such word"},
		{Input{Text: "E 20 ft rise 1 ft slope 2 %"}, "both a rise and a slope; expected one of them"},
		{Input{Text: "E 20 ft slope steep"}, `"steep" is not a slope: expected percent, as in "3 %"`},
		{Input{Text: "E 20 ft slope NaN"}, `"NaN" is not a slope`},
		{Input{Text: "E 20 ft slope 1e3 %"}, `"1e3 %" is not a slope`},
		{Input{Text: "E 20 ft slope 1000.000001 %"}, "expected at most 1000 %"},
		{Input{Text: "E 20 ft slope 12345678901234567890"}, "expected at most 1000 %"},
		{Input{Text: "E 20 ft slope 0.0000001"}, "expected at most six decimals"},
		{Input{Text: "E 1 nm slope 1000 %"}, "nothing is left of it in plan"},
		{Input{Text: "E 1000 km"}, "unknown unit"},
		{Input{Text: "E 600000 m"}, "legs: leg 1 ends at E 1968503 ft 11-1/4 in, N 0 in; expected"},
		{Input{Text: strings.Repeat("E 1 ft;", MaxLegs+1)}, "text: 1001 legs; expected at most 1000"},
		{Input{Legs: make([]LegText, MaxLegs+1)}, "legs: 1001 legs; expected at most 1000"},
		{Input{Text: strings.Repeat(" ", MaxText+1)}, "text: 256001 bytes; expected at most 256000"},
		{Input{Text: "E 10 ft", Start: far}, "start: E 1640419 ft 11-3/8 in, N 0 in; expected at most 1640419.948 ft = 500000 m from the origin each way"},
		{Input{Text: "E 10 ft", To: &far}, "to: E 1640419 ft 11-3/8 in"},
		{Input{Text: "E 10 ft", Elevation: -1 << 63}, "elevation: "},
		{Input{Text: "E 10 ft", Balance: true}, "balance: only a traverse that closes can be balanced"},
		{Input{Text: "E 10 ft", To: &near, LeastPrecision: -1}, "least_precision: -1; expected the N of 1 in N, or 0 for 2000"},
		{Input{Text: "E 10 ft", LeastPrecision: 5000}, "least_precision: only a traverse that closes has a precision"},
		{Input{Text: "E 10 ft; W 10 ft", Closes: true}, "closes: 2 leg(s) cannot go around"},
		{Input{Text: "E 40 ft; due N 30 ft; W 40 ft; due S 29 ft", Closes: true},
			"closes: the traverse misses its closing point by 1 ft = 0.305 m (1 ft north, 0 ft east) in 139 ft = 42.367 m, 1 in 139; expected 1 in 2000 or better"},
		{Input{Text: "E 40 ft; due N 30 ft; W 40 ft; due S 29 ft", Closes: true, Balance: true}, "1 in 139; expected 1 in 2000"},
		{Input{Text: "E 10 ft", To: &measure.Point{East: -90 * ft}}, "1 in 0; expected 1 in 2000"},
	} {
		if got := wrongWith(t, c.in); len(got) != 1 || !strings.Contains(got[0], c.want) {
			t.Errorf("%.80q: %q, want one thing wrong: %q", fmt.Sprint(c.in.Text, c.in.Legs), got, c.want)
		}
	}
}

// Everything wrong is listed, under the line or the field it is in.
func TestAllWrongIsListed(t *testing.T) {
	got := wrongWith(t, Input{Text: "N 45-95 E 20 ft\nE 20\nE 30 ft; thence foo THENCE bar 3 ft", Balance: true})
	for i, want := range []string{"balance: only", `text: line 1: "N 45-95 E 20 ft" is`, `text: line 2 ("E 20"): "20" is`, `text: line 3: "foo" is`, `text: line 3: "bar 3 ft" is`} {
		if len(got) != 5 || !strings.HasPrefix(got[i], want) {
			t.Fatalf("%d of %q, want %q", i, got, want)
		}
	}
	got = wrongWith(t, Input{Legs: []LegText{
		{Bearing: "E", Distance: "20 ft"},
		{Bearing: "X", Distance: "Y", Rise: "Z"},
		{Bearing: "N 45-60 E", Distance: "20 ft", Percent: "x"},
		{Bearing: "E", Distance: "20 ft", Rise: "1 ft", Percent: "2"},
		{Bearing: "E", Distance: "-1 ft", Percent: "steep"},
		{Bearing: "E", Distance: "0 ft", Rise: "high"},
		{Bearing: "E", Distance: "0 ft", Rise: "1 ft", Percent: "x"},
	}})
	wants := []string{
		"legs[1].bearing: ", "legs[1].distance: ", "legs[1].rise: ", "legs[2].bearing: ", "legs[2].percent: ", "legs[3].percent: both rise and percent",
		"legs[4].distance: -1 ft; expected more than 0", `legs[4].percent: "steep" is not`, "legs[5].distance: 0 in", `legs[5].rise: "high" is not`,
		"legs[6].distance: 0 in", "legs[6].percent: both", `legs[6].percent: "x" is not`,
	}
	for i, want := range wants {
		if len(got) != len(wants) || !strings.HasPrefix(got[i], want) {
			t.Fatalf("%d of %q, want %q", i, got, want)
		}
	}
	got = wrongWith(t, Input{Text: "E 0 ft slope steep\nE -1 ft rise 1 ft slope 2 %"})
	for i, want := range []string{`text: line 1 ("E 0 ft slope steep"): 0 in; expected more than 0`, `text: line 1 ("E 0 ft slope steep"): "steep" is not a slope`,
		`text: line 2 ("E -1 ft rise 1 ft slope 2 %"): both a rise and a slope`, `text: line 2 ("E -1 ft rise 1 ft slope 2 %"): -1 ft; expected`} {
		if len(got) != 4 || !strings.HasPrefix(got[i], want) {
			t.Fatalf("%d of %q, want %q", i, got, want)
		}
	}
}

// Any text is read or refused, and what was read is read again from its print.
func FuzzText(f *testing.F) {
	for _, seed := range []string{sur1, "E 20 ft rise -3 ft; thence N45E 177.50 ft slope 3 %", "Az 248-05-35 29.705 m, rise 3.658 m # x", "thence", "S 10-15 E, 88' 6\"."} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v := &fault.List{}
		r, ok := Run(v, Input{Text: text})
		if ok != (v.Err() == nil) || !ok && r.Vertices != nil {
			t.Fatalf("Run is %v with %v", ok, v.Err())
		}
		if !ok {
			return
		}
		var printed strings.Builder
		for _, leg := range r.Legs {
			fmt.Fprintf(&printed, "%s %v\n", measure.BearingText(leg.Bearing, 6), leg.Distance)
		}
		again := mustRun(t, Input{Text: printed.String()})
		for i, p := range r.Vertices {
			if again.Vertices[i] != p {
				t.Fatalf("%q prints %q, which runs to %v, not %v", text, printed.String(), again.Vertices, r.Vertices)
			}
		}
	})
}
