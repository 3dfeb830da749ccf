package cutting

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"testing"
)

// plansDigest is over the plans of 200 generated jobs. It is the same at every
// level of every architecture; it changes when the search does, and then stored
// plans change too: see the rules version.
const plansDigest = "8ef49cf00f30c2746ce3352f93f5831fba91256e29cb3b4717765a23a672adca"

func TestPlansAreTheSameOnEveryMachine(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	h := sha256.New()
	for range 200 {
		p := must(t, generated(r))
		h.Write(fmt.Appendf(nil, "%v %v %s %s %d\n", p.Patterns, p.Sticks, p.Cost, p.LowerBound, p.Nodes))
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != plansDigest {
		t.Errorf("the plans' digest is %s, expected %s", got, plansDigest)
	}
}
