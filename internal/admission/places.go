// Package admission bounds what is under way at once: places, which are had at
// once or not at all, and slots, which are waited for a little. It knows
// nothing of what they are for.
package admission

import "sync"

// Places are held by what is under way. There is no waiting for one. They may
// be used by any number of goroutines.
type Places struct {
	most, mostEach int

	mu    sync.Mutex
	taken int
	by    map[string]int // of them, by holders with a name
}

// NewPlaces has most places; a holder with a name gets at most half of them, so
// that one alone cannot keep all others out. Without any, there is no limit.
func NewPlaces(most int) *Places {
	return &Places{most: most, mostEach: (most + 1) / 2, by: make(map[string]int)}
}

// Most is how many there are; 0 means no limit.
func (p *Places) Most() int { return p.most }

// Taken is how many are held now.
func (p *Places) Taken() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.taken
}

// Take takes a place for a holder, who may be without a name, and reports
// whether there was one. It is given back by Leave with the same name.
func (p *Places) Take(holder string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.most > 0 && (p.taken >= p.most || holder != "" && p.by[holder] >= p.mostEach) {
		return false
	}
	p.taken++
	if holder != "" {
		p.by[holder]++
	}
	return true
}

// Leave gives a place back.
func (p *Places) Leave(holder string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.taken--
	if holder == "" {
		return
	}
	if p.by[holder]--; p.by[holder] == 0 {
		delete(p.by, holder)
	}
}
