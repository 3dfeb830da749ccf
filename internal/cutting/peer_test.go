package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattle/internal/measure"
)

// TestAgainstAnIntegerSolver states 50 generated jobs as integer programs over
// all their patterns, written down here without the package's help, and has
// CBC (Debian: coinor-cbc) solve them.
func TestAgainstAnIntegerSolver(t *testing.T) {
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		t.Skip("no cbc on this machine to compare with (Debian: coinor-cbc)")
	}
	r := rand.New(rand.NewPCG(7, 8))
	unfinished := 0
	for done := 0; done < 50; {
		request := generated(r)
		model, ok := integerProgram(request)
		if !ok || request.Stocks[0].Price.IsZero() {
			continue
		}
		done++
		p := must(t, request)
		got, optimal, err := solution(t.Context(), cbc, t.TempDir(), model)
		if err != nil {
			t.Fatal(err)
		}
		if !optimal {
			unfinished++
		}
		cost, _ := p.Cost.Float64()
		bound, _ := p.LowerBound.Float64()
		if optimal && cost < got-0.001 || bound > got+0.001 || p.Proven && cost > got+0.001 {
			t.Errorf("job %d: cost %s, bound %s, proven %v; the solver finds %.2f, optimal %v", done, p.Cost, p.LowerBound, p.Proven, got, optimal)
		}
	}
	t.Logf("the solver ran out of time on %d of 50, where its plan is only an upper bound", unfinished)
	if unfinished > 10 {
		t.Errorf("too few optima to compare with")
	}
}

// integerProgram is the job in CPLEX LP format; false if it has more than 3000
// patterns.
func integerProgram(r Request) (string, bool) {
	count := map[measure.Length]int{}
	for _, p := range r.Pieces {
		count[p.Length] += p.Count
	}
	var lengths []measure.Length
	for l := range count {
		lengths = append(lengths, l)
	}
	slices.Sort(lengths)
	var cost []string
	rows := make([][]string, len(lengths))
	cuts := make([]int, len(lengths))
	var walk func(s Stock, i int, left measure.Length) bool
	walk = func(s Stock, i int, left measure.Length) bool {
		if i < len(lengths) {
			for n := 0; n <= count[lengths[i]] && measure.Length(n)*(lengths[i]+r.Kerf) <= left; n++ {
				cuts[i] = n
				if !walk(s, i+1, left-measure.Length(n)*(lengths[i]+r.Kerf)) {
					return false
				}
			}
			cuts[i] = 0
			return true
		}
		x := fmt.Sprintf("x%d", len(cost))
		cost = append(cost, s.Price.String()+" "+x)
		for i, n := range cuts {
			if n > 0 {
				rows[i] = append(rows[i], strconv.Itoa(n)+" "+x)
			}
		}
		return len(cost) <= 3000
	}
	for _, s := range r.Stocks {
		if !walk(s, 0, s.Length+r.Kerf) {
			return "", false
		}
	}
	var b strings.Builder
	b.WriteString("Minimize\n " + strings.Join(cost, "\n + ") + "\nSubject To\n")
	for i, row := range rows {
		fmt.Fprintf(&b, " %s >= %d\n", strings.Join(row, "\n + "), count[lengths[i]])
	}
	b.WriteString("General\n")
	for i := range cost {
		fmt.Fprintf(&b, " x%d\n", i)
	}
	b.WriteString("End\n")
	return b.String(), true
}

// solution has the solver solve the model, for two seconds at most.
func solution(ctx context.Context, cbc, dir, model string) (value float64, optimal bool, err error) {
	in, out := filepath.Join(dir, "job.lp"), filepath.Join(dir, "job.sol")
	if err := os.WriteFile(in, []byte(model), 0o600); err != nil {
		return 0, false, err
	}
	if text, err := exec.CommandContext(ctx, cbc, in, "ratio", "0", "allow", "0", "seconds", "2", "solve", "solution", out).CombinedOutput(); err != nil {
		return 0, false, fmt.Errorf("%w: %s", err, text)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		return 0, false, err
	}
	head, _, _ := strings.Cut(string(text), "\n")
	status, number, ok := strings.Cut(head, " - objective value ")
	if !ok || status != "Optimal" && status != "Stopped on time" {
		return 0, false, fmt.Errorf("the solver says %q", head)
	}
	value, err = strconv.ParseFloat(strings.TrimSpace(number), 64)
	return value, status == "Optimal", err
}
