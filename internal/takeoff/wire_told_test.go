package takeoff_test

import (
	"fmt"
	"testing"

	"wattle/internal/site"
	"wattle/internal/spec"
)

// A corner of four barbed wires, 165 ft of it on one leg and 33 ft on the other.
func TestWireTold(t *testing.T) {
	s := spec.Spec{Family: spec.Wire, Height: 4 * ft}.WithDefaults()
	got := printed(count(t, site.Site{Runs: []site.Run{run("0,0 165,0 165,33")}}, s, nil))
	const want = `brace-post-5rd-7ft: 4 each
  One at each side that a post is pulled from, 2 at end posts + 2 at corner posts = 4 braces.
  5 in round, 7 ft: 4 braces of posts like these, 8 ft away, one in each = 4 posts.
brace-rail-4rd-8ft: 4 each
  One at each side that a post is pulled from, 2 at end posts + 2 at corner posts = 4 braces.
  4 braces, one in each = 4 rails.
barbed-wire-1320ft: 0.6 roll
  From post centre to post centre, 165 ft on P1 to P11 + 33 ft on P11 to P13 = 198 ft.
  198 ft x 4 strands / 1320 ft a roll = 0.6 rolls.
  0.6 rolls + 2 % waste = 0.612 rolls, rounded up once for the job: 1 roll.
brace-wire: 143.0833 ft
  One at each side that a post is pulled from, 2 at end posts + 2 at corner posts = 4 braces.
  4 braces x 2 loops x 2 x 8 ft 11-5/16 in, the diagonal of 8 ft and 4 ft, = 143.0833... ft.
  143.0833... ft + 2 % waste = 145.945 ft, rounded up once for the job: 146 ft.
fence-staple: 0.69 lb
  brace posts 5 in round: 4 posts x 4 wires fixed to each = 16 staples.
  ends at 5 in round posts: 4 sides x 4 wires x 2 staples = 32 staples.
  16 on brace posts 5 in round + 32 on ends at 5 in round posts = 48 staples.
  48 staples / 70 staples to the lb = 0.6857... lb, rounded up to 0.01 lb: 0.69 lb.
  0.69 lb + 5 % waste = 0.7245 lb, rounded up once for the job: 1 lb.
tee-clip: 40 each
  steel T posts that wires pass: 10 posts x 4 wires fixed to each = 40 clips.
  40 clips + 5 % waste = 42 clips.
brace-pin: 8 each
  One at each side that a post is pulled from, 2 at end posts + 2 at corner posts = 4 braces.
  4 braces x 2 pins = 8 pins.
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

// What is short of two braces, and of one, says so.
func TestShortBracesTold(t *testing.T) {
	for long, want := range map[string]string{
		"12 ft": "[5 in round, 7 ft: 2 braces of posts like these, 8 ft away, one in each but one for both in 1 line = 1 post.] brace-posts-shared " +
			"The two braces of a line too short for both share one post in its middle, and their rails are cut down to it: 1 line.",
		"8 ft":  "[] braced-post-to-post A line no longer than a brace is braced from post to post, its rail cut down: 1 line.",
		"20 ft": "[]",
	} {
		k := count(t, straight(long), wireSpec(), nil)
		got := fmt.Sprint(toldOf(k, "wire.shared-posts"))
		for _, c := range k.Cautions {
			if c.Field == "spec.details.brace_span" && c.Code != "brace-posts-not-placed" {
				got += " " + c.Code + " " + c.Text
			}
		}
		if got != want {
			t.Errorf("%s: %s\nwant %s", long, got, want)
		}
	}
}
