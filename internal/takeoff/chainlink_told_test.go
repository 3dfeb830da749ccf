package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// printed is every line of a take-off with its sentences, but for posts that the
// layout places and what they are set in, which all families share.
func printed(k *takeoff.Takeoff) string {
	var b strings.Builder
	for _, l := range k.Lines {
		if strings.HasPrefix(l.Item, "post-") || l.Category == takeoff.Concrete {
			continue
		}
		fmt.Fprintf(&b, "%s: %s %s\n", l.Item, l.Net, l.Unit)
		for _, s := range l.Derivation.Sentences() {
			fmt.Fprintf(&b, "  %s\n", s)
		}
	}
	return b.String()
}

// A corner of 4 ft chain link with 24 ft on one leg and 20 ft on the other: all
// that it takes, line by line.
func TestChainLinkTold(t *testing.T) {
	s := spec.Spec{Family: spec.ChainLink, Height: 4 * ft, Details: spec.Details{"bottom": "rail"}}.WithDefaults()
	got := printed(count(t, site.Site{Runs: []site.Run{run("0,0 24,0 24,20")}}, s, nil))
	const want = `chain-rail-1.66od-21ft: 5 each
  P1 to P4 (run 1, 0 in to 24 ft): 24 ft / 21 ft a length = 1.1428... pieces, rounded up, on each of 2 rails: 4 pieces.
  P4 to P6 (run 1, 24 ft to 44 ft): 20 ft / 21 ft a length = 0.9523... pieces, rounded up, on each of 2 rails: 2 pieces.
  4 on P1 to P4 + 2 on P4 to P6 = 6 pieces.
  6 pieces, cut with a saw kerf of 1/8 in from sticks of 21 ft, for the least length (no plan buys less): 5 sticks of 21 ft.
fabric-4ft-2in-11ga-50ft: 0.88 roll
  From post centre to post centre, 24 ft on P1 to P4 + 20 ft on P4 to P6 = 44 ft.
  44 ft / 50 ft a roll = 0.88 rolls.
  0.88 rolls, rounded up once for the job: 1 roll.
brace-band-2.375od: 8 each
  Where fence ends, 2 at end posts + 2 at corner posts = 4 sides.
  4 sides x (2 rails + 0 tension wires) = 8 bands.
carriage-bolt: 20 each
  12 tension bands for 2.375 in OD pipe + 8 brace bands for 2.375 in OD pipe, one through each = 20 bolts.
rail-clamp-1.9od: 3 each
  3 posts passed x 1 rail under the top, one for each = 3 clamps.
rail-end-1.66od: 8 each
  Where fence ends, 2 at end posts + 2 at corner posts = 4 sides.
  4 sides x 2 rails = 8 rail ends.
rail-sleeve-1.66od: 2 each
  P1 to P4 (run 1, 0 in to 24 ft): 24 ft / 21 ft a length = 1.1428... pieces, rounded up, on each of 2 rails: 4 pieces.
  P4 to P6 (run 1, 24 ft to 44 ft): 20 ft / 21 ft a length = 0.9523... pieces, rounded up, on each of 2 rails: 2 pieces.
  4 on P1 to P4 + 2 on P4 to P6 = 6 pieces.
  6 pieces - 4 lines of rail from end to end, one where two pieces meet = 2 sleeves.
tension-band-2.375od: 12 each
  Where fence ends, 2 at end posts + 2 at corner posts = 4 sides.
  4 sides x 3 bands on a bar = 12 bands.
tension-bar-4ft: 4 each
  Where fence ends, 2 at end posts + 2 at corner posts = 4 sides.
  4 sides, one on each = 4 bars.
tie-1.66od: 44 each
  P1 to P4 (run 1, 0 in to 24 ft): 24 ft / 2 ft apart = 12 ties, on each of 2 rails: 24 ties.
  P4 to P6 (run 1, 24 ft to 44 ft): 20 ft / 2 ft apart = 10 ties, on each of 2 rails: 20 ties.
  24 on P1 to P4 + 20 on P4 to P6 = 44 ties.
  44 ties + 5 % waste = 46.2 ties, rounded up once for the job: 47 ties.
tie-1.9od: 12 each
  4 ft of fabric / 1 ft apart = 4 ties, on each of 3 posts: 12 ties.
  12 ties + 5 % waste = 12.6 ties, rounded up once for the job: 13 ties.
dome-cap-2.375od: 3 each
  3 posts that no top rail passes, one on each = 3 caps.
loop-cap-1.9od-1.66od: 3 each
  3 posts that the top rail passes, one on each = 3 caps.
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}
