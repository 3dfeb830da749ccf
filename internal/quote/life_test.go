package quote

import (
	"slices"
	"testing"

	"wattle/internal/fault"
)

func TestAfterFollowsTheTable(t *testing.T) {
	for _, from := range append(States(), "") {
		for _, a := range []Action{Create, Issue, Accept, Decline, Expire, Cancel, Revise, ChooseOther, "sell"} {
			i := slices.IndexFunc(Life(), func(t Transition) bool { return t.Action == a && t.From == from })
			to, err := from.After(a)
			switch {
			case i < 0 && fault.KindOf(err) != fault.Refused:
				t.Errorf("%s of %q: %q, %v; want it refused", a, from, to, err)
			case i >= 0 && (err != nil || to != Life()[i].To):
				t.Errorf("%s of %q: %q, %v; want %q", a, from, to, err, Life()[i].To)
			}
		}
	}
}

// Only what is open goes on, and every state but the draft is reached from one
// that is.
func TestLifeEnds(t *testing.T) {
	reached := map[State]bool{}
	for _, step := range Life() {
		if step.From != "" && !step.From.Open() {
			t.Errorf("%s leads on from %s", step.Action, step.From)
		}
		reached[step.To] = true
	}
	for _, s := range States() {
		if !reached[s] {
			t.Errorf("nothing leads to %s", s)
		}
	}
}
