package costindex_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"text/tabwriter"

	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

var update = flag.Bool("update", false, "rewrite the files in testdata; read the diff")

func lumberIndex(t *testing.T) (history []costindex.Observation) {
	t.Helper()
	b, err := os.ReadFile("../../../shared/reference/lumber-index.tsv")
	if err != nil {
		t.Skip("the lumber index is not beside the checkout: ", err)
	}
	for row := range strings.Lines(string(b)) {
		if month, value, ok := strings.Cut(strings.TrimSpace(row), "\t"); ok && !strings.HasPrefix(row, "#") {
			history = append(history, costindex.Observation{On: civil.Must(month + "-01"), Value: dec(value)})
		}
	}
	if len(history) != 72 {
		t.Fatalf("read %d months, want 72", len(history))
	}
	return history
}

// What bands of the lumber index were worth [PRC-1: US BLS WPU081, lumber, monthly,
// 2019 to 2024]: each origin knows only what came before it (though by the index as
// it was published last), at least a year. The file says how often what came was
// inside; it is what it is, and nothing here was chosen to better it.
func TestBacktestOfTheLumberIndex(t *testing.T) {
	outcomes, err := costindex.Backtest(lumberIndex(t), costindex.Risk{Every: costindex.Month, Seed: 1}, 12)
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	fmt.Fprintf(&got, "Bands held against the lumber index WPU081, monthly, 2019-01 to 2024-12.\n"+
		"Risk: by the month, default blocks, %d draws, seed 1; at least 12 changes known.\n", costindex.DefaultDraws)
	for _, window := range []struct{ name, from, to string }{
		{"All targets", "2019-01-01", "2024-12-31"},
		{"Targets in 2020 and 2021", "2020-01-01", "2021-12-31"},
		{"Targets in 2022 to 2024", "2022-01-01", "2024-12-31"},
	} {
		fmt.Fprintf(&got, "\n%s\n", window.name)
		table := tabwriter.NewWriter(&got, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintln(table, "days\tband\toutcomes\tinside\tabove\tbelow\tinside, %\tby its making, %\tthe band\t")
		for _, c := range costindex.Cover(outcomes, civil.Must(window.from), civil.Must(window.to)) {
			verdict := "held"
			if inside, _ := c.Percent().Float64(); inside < float64(c.Nominal) {
				verdict = "FAILED"
			}
			fmt.Fprintf(table, "%d\t%s\t%d\t%d\t%d\t%d\t%s\t%d\t%s\t\n", c.Days, c.Band, c.Outcomes(), c.Inside, c.Above, c.Below, money.Fixed(c.Percent(), 1), c.Nominal, verdict)
		}
		if err := table.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	const golden = "testdata/lumber-bands.txt"
	if *update {
		if err := os.WriteFile(golden, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || got.String() != string(want) {
		t.Errorf("%v; got\n%s\nwant\n%s", err, got.String(), want)
	}
}

// An outcome is what Assess said at its origin of the history until then, and what
// came; every origin and horizon that the history can judge is there once.
func TestBacktestIsWhatAssessSaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		history := drawHistory(t)
		r := costindex.Risk{Every: costindex.Month, Draws: 100, Horizons: []int{60, 30}}
		outcomes, err := costindex.Backtest(history, r, 0)
		if len(history) < 14 {
			if err == nil {
				t.Fatal("a backtest of a history that leaves nothing")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for origin := 12; origin < len(history); origin++ {
			for i, steps := range []int{2, 1} {
				if origin+steps >= len(history) {
					continue
				}
				a, err := r.Assess(history[:origin+1])
				if err != nil {
					t.Fatal(err)
				}
				o, b := outcomes[n], a.Bands[i]
				n++
				came, _, err := money.FromRat(money.Rat(history[origin+steps].Value).Quo(money.Rat(history[origin+steps].Value), money.Rat(history[origin].Value)), 6)
				if err != nil || o.Origin != history[origin].On || o.Target != history[origin+steps].On || o.Realised.Cmp(came) != 0 ||
					o.P5.Cmp(b.P5) != 0 || o.P20.Cmp(b.P20) != 0 || o.P50.Cmp(b.P50) != 0 || o.P80.Cmp(b.P80) != 0 || o.P95.Cmp(b.P95) != 0 {
					t.Fatalf("outcome %+v of band %+v, came %v, %v", o, b, came, err)
				}
			}
		}
		if n != len(outcomes) {
			t.Fatalf("%d outcomes, want %d", len(outcomes), n)
		}
		counted := 0
		for _, c := range costindex.Cover(outcomes, civil.Date{}, civil.Date{}) {
			counted += c.Outcomes()
		}
		if counted != 2*n {
			t.Fatalf("%d counted of %d", counted, n)
		}
	})
}

func TestBacktestRefusals(t *testing.T) {
	history := monthly(decs("1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16")...)
	for want, run := range map[string]func() error{
		"least: 5 changes; at least 12": func() error {
			_, err := costindex.Backtest(history, costindex.Risk{Every: costindex.Month}, 5)
			return err
		},
		"history: 16 values leave none": func() error {
			_, err := costindex.Backtest(history, costindex.Risk{Every: costindex.Month}, 15)
			return err
		},
		"history: 2 values by the day": func() error { _, err := costindex.Backtest(history[:2], costindex.Risk{}, 0); return err },
		"block_length: 13 changes in a row; the shortest history has 12": func() error {
			_, err := costindex.Backtest(history, costindex.Risk{Every: costindex.Month, BlockLength: 13}, 12)
			return err
		},
		"draws: 99; expected": func() error {
			_, err := costindex.Backtest(history, costindex.Risk{Every: costindex.Month, Draws: 99}, 12)
			return err
		},
	} {
		if err := run(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
