package rpc

import (
	"context"
	"sync"

	wattlev1 "wattle/api/wattle/v1"
)

// workspace is what the larger messages of an answer are cut from. Once the answer is
// marshalled the next one goes on to use it, so nothing may keep a message of it.
type workspace struct {
	own     lengths
	lengths kept[wattlev1.Length]

	posts       kept[wattlev1.Post]
	points      kept[wattlev1.Point]
	holes       kept[wattlev1.Post_Hole]
	visits      kept[wattlev1.Post_Visit]
	ofVisits    kept[*wattlev1.Post_Visit]
	bays        kept[wattlev1.Bay]
	derivations kept[wattlev1.Derivation]
	steps       kept[wattlev1.Derivation_Step]
	inputs      kept[wattlev1.Derivation_Input]
	ofSteps     kept[*wattlev1.Derivation_Step]
	ofInputs    kept[*wattlev1.Derivation_Input]
}

var workspaces = sync.Pool{New: func() any { return new(workspace) }}

// release gives the workspace to the next answer.
func (m *workspace) release() {
	m.own = lengths{}
	m.lengths.release()
	m.posts.release()
	m.points.release()
	m.holes.release()
	m.visits.release()
	m.ofVisits.release()
	m.bays.release()
	m.derivations.release()
	m.steps.release()
	m.inputs.release()
	m.ofSteps.release()
	m.ofInputs.release()
	workspaces.Put(m)
}

// kept is values of one kind that are used again.
type kept[T any] struct{ used []T }

// mostKept bounds what is kept of one kind: a yard's take-off has some hundreds.
const mostKept = 1 << 12

// slab is n zero values, the first time where the last answer had its own.
func (k *kept[T]) slab(n int) slab[T] {
	switch {
	case len(k.used) > 0:
		return make(slab[T], n)
	case n > cap(k.used):
		k.used = make([]T, n)
	default:
		k.used = k.used[:n]
	}
	return k.used
}

func (k *kept[T]) release() {
	if cap(k.used) > mostKept {
		k.used = nil
		return
	}
	clear(k.used)
	k.used = k.used[:0]
}

// lent is a workspace that a call may take for its answer.
type lent struct{ *workspace }

type lentKey struct{}

// lend is a context in which lengthsFor takes a workspace that comes back.
func lend(ctx context.Context) (context.Context, *lent) {
	l := new(lent)
	return context.WithValue(ctx, lentKey{}, l), l
}

// release gives back what was taken.
func (l *lent) release() {
	if l != nil && l.workspace != nil {
		l.workspace.release()
		l.workspace = nil
	}
}

// firstLengths is how many lengths the answers for most fences have.
const firstLengths = 64

// lengthsFor are for the answer of a unary call, once.
func lengthsFor(ctx context.Context) *lengths {
	l, _ := ctx.Value(lentKey{}).(*lent)
	if l == nil || l.workspace != nil {
		return new(lengths)
	}
	m, _ := workspaces.Get().(*workspace) // there is nothing else in it
	l.workspace = m
	m.own.room, m.own.messages = m, m.lengths.slab(firstLengths)
	return &m.own
}
