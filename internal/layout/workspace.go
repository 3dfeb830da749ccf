package layout

import (
	"slices"
	"sync"

	"wattle/internal/site"
	"wattle/internal/spec"
)

// workspace is the memory of a planner, which the next one goes on to use. A layout
// has nothing of it.
type workspace struct {
	turns    []turned // by run: how it is planned
	profiles []*site.Profile
	runs     []fixedRun
	legs     []leg
	marks    []mark
	nodes    []node
	members  []int32 // marks by node; see node.first
	shares   []share // by stretch

	joined   []int32 // by mark; see find
	segments []segment
	grid     grid
}

var workspaces = sync.Pool{New: func() any { return new(workspace) }}

// mostKept bounds a workspace that is kept, in places of its grid.
const mostKept = 1 << 12

func newPlanner(rules int, f *spec.Spec) *planner {
	space, _ := workspaces.Get().(*workspace) // there is nothing else in it
	return &planner{rules: rules, spec: f, workspace: space, out: new(Layout)}
}

// release gives the workspace back; the planner is not used any more.
func (p *planner) release() {
	if w := p.workspace; max(cap(w.marks), cap(w.legs), cap(w.grid.cells)) <= mostKept {
		clear(w.profiles) // what is large, and not the planner's own
		clear(w.shares)
		*w = workspace{
			turns: w.turns[:0], profiles: w.profiles[:0], runs: w.runs[:0], legs: w.legs[:0], marks: w.marks[:0], nodes: w.nodes[:0],
			members: w.members[:0], shares: w.shares[:0], joined: w.joined[:0], segments: w.segments[:0], grid: w.grid,
		}
		workspaces.Put(w)
	}
	p.workspace = nil
}

// zeros are n of them, in the memory of old where that is enough.
func zeros[T any](old []T, n int) []T {
	all := room(old, n)[:n]
	clear(all)
	return all
}

// room is for n values, in the memory of old where that is enough.
func room[T any](old []T, n int) []T { return slices.Grow(old[:0], n) }
