package driver

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
	"text/tabwriter"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// Timeline is what became of every try, second by second.
type Timeline struct {
	mu      sync.Mutex
	start   time.Time
	seconds []second
	done    []time.Time // when each acknowledgement came
	failure time.Time   // when the last try failed
}

type second struct {
	took           []time.Duration // of the acknowledged
	failed         map[codes.Code]int
	longestFailure time.Duration
}

func newTimeline() *Timeline { return &Timeline{start: time.Now()} }

func (t *Timeline) add(at time.Time, took time.Duration, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	n := int(at.Sub(t.start) / time.Second)
	for len(t.seconds) <= n {
		t.seconds = append(t.seconds, second{failed: map[codes.Code]int{}})
	}
	s := &t.seconds[n]
	if err != nil {
		s.failed[status.Code(err)]++
		t.failure = at
		s.longestFailure = max(s.longestFailure, took)
		return
	}
	s.took = append(s.took, took)
	t.done = append(t.done, at)
}

// Acknowledged is how many requests were, and Failed how many tries failed, by
// code.
func (t *Timeline) Acknowledged() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.done)
}

// Failed is how many tries failed, by code.
func (t *Timeline) Failed() map[codes.Code]int {
	t.mu.Lock()
	defer t.mu.Unlock()
	all := map[codes.Code]int{}
	for _, s := range t.seconds {
		for code, n := range s.failed {
			all[code] += n
		}
	}
	return all
}

// LongestFailure is the longest that a try took which failed: how far past its
// deadline a call hung.
func (t *Timeline) LongestFailure() time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	var longest time.Duration
	for _, s := range t.seconds {
		longest = max(longest, s.longestFailure)
	}
	return longest
}

// LastFailure is when the last of the tries that failed did; zero where none has.
func (t *Timeline) LastFailure() time.Time {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.failure
}

// FirstAfter is when the first acknowledgement came at or after a time.
func (t *Timeline) FirstAfter(at time.Time) (time.Time, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.done, func(d time.Time) bool { return !d.Before(at) })
	if i < 0 {
		return time.Time{}, false
	}
	return t.done[i], true
}

// LongestGap is the longest time without an acknowledgement between two.
func (t *Timeline) LongestGap() time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	var longest time.Duration
	for i := 1; i < len(t.done); i++ {
		longest = max(longest, t.done[i].Sub(t.done[i-1]))
	}
	return longest
}

// Write prints a line for each second.
func (t *Timeline) Write(w io.Writer) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(out, "second\tok\tp50 ms\tp99 ms\t  failed\t")
	for i, s := range t.seconds {
		slices.Sort(s.took)
		fmt.Fprintf(out, "%d\t%d\t%s\t%s\t  %s\t\n", i, len(s.took), quantile(s.took, 50), quantile(s.took, 99), Codes(s.failed))
	}
	return out.Flush()
}

// quantile is by nearest rank, in milliseconds.
func quantile(sorted []time.Duration, percent int) string {
	if len(sorted) == 0 {
		return "-"
	}
	return fmt.Sprint(sorted[(len(sorted)*percent+99)/100-1].Milliseconds())
}

// Codes writes counts by code.
func Codes(counts map[codes.Code]int) string {
	var words []string
	for _, code := range slices.Sorted(maps.Keys(counts)) {
		words = append(words, fmt.Sprintf("%d %s", counts[code], code))
	}
	if len(words) == 0 {
		return "-"
	}
	return strings.Join(words, ", ")
}
