package admission

import (
	"context"
	"errors"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func TestPlaces(t *testing.T) {
	p := NewPlaces(4)
	for i, step := range []struct {
		holder string
		want   bool
	}{{"a", true}, {"a", true}, {"a", false}, {"b", true}, {"", true}, {"", false}, {"c", false}} {
		if got := p.Take(step.holder); got != step.want {
			t.Errorf("step %d: a place for %q: %v", i, step.holder, got)
		}
	}
	p.Leave("a")
	if !p.Take("c") || p.Taken() != 4 {
		t.Error("a place given back is not had by another")
	}
	for _, holder := range []string{"a", "b", "", "c"} {
		p.Leave(holder)
	}
	if p.Taken() != 0 || len(p.by) != 0 {
		t.Errorf("all gave back, and %d are taken, by %v", p.Taken(), p.by)
	}
	none := NewPlaces(0)
	for range 1000 {
		if !none.Take("a") {
			t.Fatal("without a limit there was no place")
		}
	}
}

// Whoever finds no slot waits long once, and a twentieth of that while others are
// sent away.
func TestSlotsHurryUnderOverload(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := NewSlots(1, time.Second)
		take := func(wantWait time.Duration, want error) {
			t.Helper()
			start := time.Now()
			if err := s.Take(t.Context()); !errors.Is(err, want) || time.Since(start) != wantWait {
				t.Errorf("%v after %v, want %v after %v", err, time.Since(start), want, wantWait)
			}
		}
		take(0, nil)
		take(time.Second, ErrBusy)
		take(50*time.Millisecond, ErrBusy)
		time.Sleep(calm)
		take(time.Second, ErrBusy)
		time.Sleep(calm)
		go func() {
			time.Sleep(300 * time.Millisecond)
			s.Leave()
		}()
		take(300*time.Millisecond, nil)
		s.Leave()

		ended, cancel := context.WithTimeout(t.Context(), time.Millisecond)
		defer cancel()
		take(0, nil)
		if err := s.Take(ended); !errors.Is(err, context.DeadlineExceeded) || s.Overloaded() {
			t.Errorf("with a deadline of its own: %v, overloaded %v", err, s.Overloaded())
		}
	})
}

// A burst of as much as patience allows is taken in whole.
func TestSlotsAbsorbABurst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := NewSlots(2, time.Second)
		var all sync.WaitGroup
		for range 20 { // ten rounds of 90 ms
			all.Go(func() {
				if err := s.Take(t.Context()); err != nil {
					t.Error(err)
					return
				}
				time.Sleep(90 * time.Millisecond)
				s.Leave()
			})
		}
		all.Wait()
	})
}

func TestNoSlotsIsNoLimit(t *testing.T) {
	s := NewSlots(0, 0)
	for range 100 {
		if err := s.Take(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	s.Leave()
}
