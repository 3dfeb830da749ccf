package cutting

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"testing"
)

// plansDigest is over the plans of 100 generated jobs. It is the same at every
// level of every architecture; it changes when the search does, and then stored
// plans change too: see the rules version.
const plansDigest = "16e6b93fb9c7a05002372ffe0d295737bcfa90e1e18209154bd548c30954561f"

func TestPlansAreTheSameOnEveryMachine(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	h := sha256.New()
	for range 100 {
		p := must(t, generated(r))
		h.Write(fmt.Appendf(nil, "%v %v %s %s %d\n", p.Patterns, p.Sticks, p.Cost, p.LowerBound, p.Nodes))
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != plansDigest {
		t.Errorf("the plans' digest is %s, expected %s", got, plansDigest)
	}
}
