package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"google.golang.org/grpc/codes"
)

// stretch is a phase of the trial and what came of its calls.
type stretch struct {
	name     string
	from, to time.Duration // since the start
	calls    []call
}

func split(calls []call, half, flood time.Duration) []stretch {
	out := []stretch{{"half", 0, half, nil}, {"twice", half, half + flood, nil}, {"half again", half + flood, 2*half + flood, nil}}
	for _, c := range calls {
		for i := range out {
			if due := time.Duration(c.Due) * time.Microsecond; due >= out[i].from && due < out[i].to {
				out[i].calls = append(out[i].calls, c)
			}
		}
	}
	return out
}

func accepted(calls []call) []time.Duration {
	return timesOf(calls, func(c call) bool { return c.Status == codes.OK })
}

func refused(calls []call) []time.Duration {
	return timesOf(calls, func(c call) bool { return c.Later })
}

// timesOf are the times of some of the calls, the shortest first.
func timesOf(calls []call, is func(call) bool) []time.Duration {
	var out []time.Duration
	for _, c := range calls {
		if is(c) {
			out = append(out, time.Duration(c.Took)*time.Microsecond)
		}
	}
	slices.Sort(out)
	return out
}

// quantile of sorted times is by nearest rank.
func quantile(sorted []time.Duration, q float64) time.Duration {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(len(sorted)-1, int(q*float64(len(sorted))))]
}

func ms(d time.Duration) string { return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000) }

// judge prints the figures and says what is wrong with them.
func judge(stretches []stretch, memory []sample, rest, capacity float64) error {
	var wrong []error
	fmt.Printf("%-11s %8s %8s %9s %9s %9s %9s %8s %12s %8s\n", "load", "due/s", "done/s", "p50", "p99", "quote p99", "plan p99", "refused", "refusal p99", "memory")
	most := make([]float64, len(stretches))
	start := memory[0].at.Add(500 * time.Millisecond)
	for i, s := range stretches {
		seconds := (s.to - s.from).Seconds()
		ok, no := accepted(s.calls), refused(s.calls)
		for _, m := range memory {
			if at := m.at.Sub(start); at >= s.from && at < s.to {
				most[i] = max(most[i], m.mib)
			}
		}
		kind := func(quote bool) time.Duration {
			return quantile(timesOf(s.calls, func(c call) bool { return c.Status == codes.OK && c.Quote == quote }), 0.99)
		}
		fmt.Printf("%-11s %8.0f %8.0f %9s %9s %9s %9s %7.1f%% %12s %4.0f MiB\n", s.name, float64(len(s.calls))/seconds, float64(len(ok))/seconds,
			ms(quantile(ok, 0.50)), ms(quantile(ok, 0.99)), ms(kind(true)), ms(kind(false)), 100*float64(len(no))/float64(max(1, len(s.calls))), ms(quantile(no, 0.99)), most[i])
		if failed := len(s.calls) - len(ok) - len(no); failed > 0 {
			wrong = append(wrong, fmt.Errorf("at %s, %d calls failed by something else than a refusal: %v", s.name, failed, codesOf(s.calls)))
		}
	}
	half, twice, again := stretches[0], stretches[1], stretches[2]
	before := quantile(accepted(half.calls), 0.99)
	ratio := float64(quantile(accepted(twice.calls), 0.99)) / float64(max(1, before))
	fmt.Printf("\naccepted calls' p99, twice to half: %.2f (most %.1f)\n", ratio, mostRatio)
	if ratio > mostRatio {
		wrong = append(wrong, fmt.Errorf("at twice capacity accepted calls took %.2f times as long as at half", ratio))
	}
	bound := most[0]*1.5 + spareMiB
	fmt.Printf("memory: %.0f MiB before, most %.0f at half, %.0f at twice (most %.0f), without Postgres\n", rest, most[0], most[1], bound)
	if most[1] > bound {
		wrong = append(wrong, fmt.Errorf("at twice capacity the service took %.0f MiB", most[1]))
	}
	if done := float64(len(accepted(twice.calls))) / (twice.to - twice.from).Seconds(); done < capacity/2 {
		wrong = append(wrong, fmt.Errorf("at twice capacity %.0f calls/s were answered of %.0f that could be", done, capacity))
	}
	took, ok := recovery(again, 2*before)
	if !ok || took > mostRecovery {
		wrong = append(wrong, fmt.Errorf("after the flood it was not as before within %s", mostRecovery))
	}
	if ok {
		fmt.Printf("recovery: %s after the flood a second began without a refusal and with a p99 within twice that of half load (most %s)\n", took, mostRecovery)
	}
	return errors.Join(wrong...)
}

// recovery is after how many whole seconds the first second came that was as
// before.
func recovery(s stretch, most time.Duration) (time.Duration, bool) {
	for second := time.Duration(0); s.from+second+time.Second <= s.to; second += time.Second {
		from := s.from + second
		within := slices.Collect(func(yield func(call) bool) {
			for _, c := range s.calls {
				if due := time.Duration(c.Due) * time.Microsecond; due >= from && due < from+time.Second && !yield(c) {
					return
				}
			}
		})
		if len(accepted(within)) == len(within) && quantile(accepted(within), 0.99) <= most {
			return second, true
		}
	}
	return 0, false
}

func codesOf(calls []call) []string {
	count := make(map[codes.Code]int)
	for _, c := range calls {
		if !c.Later && c.Status != codes.OK {
			count[c.Status]++
		}
	}
	var out []string
	for code, n := range count {
		out = append(out, fmt.Sprintf("%d x %s", n, code))
	}
	slices.SortFunc(out, cmp.Compare)
	return out
}
