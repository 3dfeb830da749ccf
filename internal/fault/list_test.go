package fault

import (
	"errors"
	"strings"
	"testing"
)

// One list, shared by validators that each know only their own part.
func TestListCollectsEverything(t *testing.T) {
	v := &List{}
	runs := v.At("site").At("runs")
	for i := range 2 {
		run := runs.Index(i)
		run.Add("", "expected at least two vertices, found %d", i)
		run.At("gates").Index(1).Add("width", "expected more than 0 in")
	}
	v.Add("spec", "unknown")
	if v.Len() != 5 || runs.Len() != 5 {
		t.Errorf("%d violations at the top, %d below; want 5", v.Len(), runs.Len())
	}
	want := strings.Join([]string{
		"the request has 5 thing(s) to put right",
		"  site.runs[0]: expected at least two vertices, found 0",
		"  site.runs[0].gates[1].width: expected more than 0 in",
		"  site.runs[1]: expected at least two vertices, found 1",
		"  site.runs[1].gates[1].width: expected more than 0 in",
		"  spec: unknown",
	}, "\n")
	err := v.Err()
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	e, ok := errors.AsType[*Error](err)
	if !ok || e.Kind != Invalid || e.Reason != "INVALID_REQUEST" || len(e.Violations) != 5 {
		t.Errorf("got %#v", err)
	}
}

// An empty list is no error: not a nil *Error in an error, either.
func TestEmptyListIsNoError(t *testing.T) {
	v := &List{}
	v.At("site").Index(3)
	if err := v.Err(); err != nil || v.Len() != 0 {
		t.Errorf("got %v, %d violations", err, v.Len())
	}
}

// Most requests have nothing wrong with them, and many parts.
func TestNothingWrongTakesNoRoom(t *testing.T) {
	if took := testing.AllocsPerRun(100, func() {
		v := &List{}
		for i := range 10 {
			checkGate(v.At("runs").Index(i).At("gates").Index(2), true)
		}
		if v.Len() > 0 {
			t.Error("something is wrong")
		}
	}); took > 0 {
		t.Errorf("%v allocations", took)
	}
	v := &List{}
	checkGate(v.At("runs").Index(0).At("gates").Index(2), false)
	if got := v.Err().Error(); !strings.Contains(got, "\n  runs[0].gates[2].width: expected more") {
		t.Errorf("got %q", got)
	}
}

func checkGate(v *List, sound bool) { v.Require(sound, "width", "expected more") }

func TestRequire(t *testing.T) {
	v := &List{}
	if !v.At("a").Require(true, "b", "no") || v.Len() != 0 {
		t.Error("a met requirement is noted")
	}
	if v.At("a").Require(false, "b", "expected %s", "more") || v.Len() != 1 {
		t.Error("an unmet requirement is not noted")
	}
	if got := v.Err().Error(); !strings.Contains(got, "a.b: expected more") {
		t.Errorf("got %q", got)
	}
}

// A list at the top of a request that is a sequence.
func TestPathsWithoutAName(t *testing.T) {
	v := &List{}
	v.Index(2).Add("sku", "unknown")
	v.Add("", "too long")
	if got := v.Err().Error(); !strings.Contains(got, "\n  [2].sku: unknown\n  : too long") {
		t.Errorf("got %q", got)
	}
}

func TestMergeTakesViolationsUnderItsPath(t *testing.T) {
	var inner List
	inner.Index(2).Add("x", "is wrong")
	var l List
	if err := l.At("runs").Merge(inner.Err()); err != nil {
		t.Fatal(err)
	}
	if e, ok := errors.AsType[*Error](l.Err()); !ok || e.Violations[0].Field != "runs[2].x" {
		t.Errorf("%v, expected a violation at runs[2].x", l.Err())
	}
	other := New(NotFound, "X", "not here")
	if err := l.Merge(other); !errors.Is(err, other) {
		t.Errorf("another kind of error must come back, got %v", err)
	}
	if err := l.Merge(nil); err != nil {
		t.Errorf("nil must stay nil, got %v", err)
	}
}
