package cutting

import "sync"

// workspace is the memory of a master, which the next one goes on to use.
type workspace struct {
	lp       lp
	knap     knapsack
	patterns []pattern // of column lp.m, lp.m+1, ...
	cuts     []cut     // of the patterns
	// By the first bits of a hash, one more than the last pattern that has them; by
	// pattern, the same of the one before it.
	known        [1 << knownBits]int32
	alike        []int32
	worth, value []int64
	// The pattern that is being made, and it with more pieces.
	making, padded []cut
	found          []candidate
	// The plan of whole parts that is being made, the one before it, and what is
	// left to cut.
	whole, earlier []line
	rest           []int
	duals          []float64 // while others stand in their place
	// The patterns that a pool lists, their cuts, and how many of each piece the one
	// that is being made takes.
	listed     []pattern
	listedCuts []cut
	taken      []int
}

var workspaces = sync.Pool{New: func() any { return new(workspace) }}

// knownBits keep a few patterns at most alike, of as many as a kept workspace has.
const knownBits = 10

// mostKept bounds a workspace that is kept, in fillings of its knapsack.
const mostKept = 1 << 16

// release gives the workspace back; the master is not used any more.
func (m *master) release() {
	if m == nil {
		return
	}
	if len(m.sizes) <= manySizes && max(len(m.patterns), cap(m.listed)) <= 2*smallPool && m.knap.largest <= mostKept {
		clear(m.known[:])
		workspaces.Put(m.workspace)
	}
	m.workspace = nil
}
