package layout_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// posts are the posts of a layout, a line each: role and visits.
func posts(l *layout.Layout, role layout.Role) (lines []string) {
	for _, p := range l.Posts {
		if p.Role != role {
			continue
		}
		var at []string
		for _, v := range p.Visits {
			at = append(at, fmt.Sprintf("%d@%s", v.Run, v.Station.Imperial()))
		}
		lines = append(lines, strings.Join(at, " "))
	}
	return lines
}

// By the second rules, runs that cross share a post, which ends neither.
func TestCrossingRunsShareAPost(t *testing.T) {
	for _, c := range []struct {
		name, site string
		want       []string // the junction posts
	}{
		{"a cross", "a: 0,10 20,10\nb: 10,0 10,20", []string{"0@10 ft 1@10 ft"}},
		{"a run's vertex on another's leg", "a: 0,10 20,10\nb: 10,0 10,10 10,20", []string{"0@10 ft 1@10 ft"}},
		{"three through one point", "a: 0,10 20,10\nb: 10,0 10,20\nc: 0,0 20,20", []string{"0@10 ft 1@10 ft 2@14 ft 1-11/16 in"}},
		{"a figure of eight", "a: 0,0 20,20 20,0 0,16", []string{"0@12 ft 6-7/8 in 0@62 ft 6-3/16 in"}},
		{"a fence across two others", "a: 0,0 40,0\nb: 0,20 40,20\nc: 12,-5 12,25", []string{"0@12 ft 2@5 ft", "1@12 ft 2@25 ft"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := plan(t, c.site, sixFoot(spec.Layout{}))
			if got := posts(l, layout.Junction); strings.Join(got, "; ") != strings.Join(c.want, "; ") {
				t.Errorf("junctions %q, want %q", got, c.want)
			}
			if got := crossings(l); len(got) > 0 {
				t.Errorf("cautions %q", got)
			}
			for _, st := range l.Stretches {
				for _, e := range []layout.StretchEnd{st.StartEnd, st.FinishEnd} {
					if l.Posts[e.Post].Role == layout.Junction && e.Terminal {
						t.Errorf("rails of run %d end at the crossing %s", st.Run, l.Posts[e.Post].ID)
					}
				}
			}
		})
	}
}

// A fence within 1/8 in along another is told, though the two never cross.
func TestFenceAlongAFence(t *testing.T) {
	l := plan(t, "a: 0,0 40,0\nb: 10,0.0625in 16,0.0625in 16,20", sixFoot(spec.Layout{}))
	if got := posts(l, layout.Junction); len(got) != 1 || !hasCaution(l, "runs-cross") {
		t.Errorf("junctions %q, cautions %v", got, l.Cautions)
	}
}

// A fence through the gap between a wall and its post shares no post with it.
func TestFenceThroughAWallsGap(t *testing.T) {
	l := plan(t, "a: wall+1ft 0,0 20,0\nb: 2in,-10 2in,10", sixFoot(spec.Layout{}))
	if got := posts(l, layout.Junction); len(got) > 0 {
		t.Errorf("junctions %q", got)
	}
	if !hasCaution(l, "runs-cross") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// The first rules leave runs that cross apart, and refuse the site where line
// posts would stand in one another.
func TestFirstRulesOnCrossings(t *testing.T) {
	f := sixFoot(spec.Layout{TerminalLimit: new(false)})
	_, err := layout.PlanAs(1, mustSite("a: 0,16 64,16\nb: 32,0 32,32"), f)
	e, ok := errors.AsType[*fault.Error](err)
	const want = `the line post at 16 ft and the line post at 32 ft of run "a" would overlap: their centres are 0 in apart and need 3-1/2 in; give each a vertex`
	if !ok || len(e.Violations) != 1 || !strings.HasPrefix(e.Violations[0].Description, want) {
		t.Errorf("got %v", err)
	}
}

func TestFenceThroughAGate(t *testing.T) {
	_, err := layout.Plan(mustSite("a: 0,0 40,0 gate=g@10x3\nb: 138in,-10 138in,20"), sixFoot(spec.Layout{}))
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || len(e.Violations) != 1 || e.Violations[0].Field != "site.runs[0].gates[0].station" {
		t.Errorf("got %v", err)
	}
}

// What rules before the third said is said again word for word, and nothing
// stands elsewhere.
func TestFormerWords(t *testing.T) {
	f := sixFoot(spec.Layout{})
	f.Slope.Mode, f.Posts.Stock = spec.Stepped, []measure.Length{8 * ft, 10 * ft, 12 * ft}
	s := mustSite("a: 0,0 60,0 gate=f@40x4 gate=g@20x4 ground=0:0 ground=60:10")
	now, err := layout.Plan(s, f)
	if err != nil {
		t.Fatal(err)
	}
	for _, rules := range []int{1, 2, 3} {
		l, err := layout.PlanAs(rules, s, f)
		if err != nil {
			t.Fatal(err)
		}
		tall, field := "; their holes are as deep as that height asks for. A taller", "site.runs[0].gates"
		if rules >= 3 {
			tall, field = "; their holes are still those of the fence's height, 6 ft. A taller", "site.runs[0].gates[1]"
		}
		if got := caution(l, "tall-posts"); strings.Contains(got, tall) == (rules < 2) { // the first did not say
			t.Errorf("rules %d: %q", rules, got)
		}
		i := slices.IndexFunc(l.Cautions, func(c layout.Caution) bool { return c.Code == "gate-on-slope" })
		if i < 0 || l.Cautions[i].Field != field {
			t.Errorf("rules %d: %v", rules, l.Cautions)
		}
		if !reflect.DeepEqual(l.Posts, now.Posts) || !reflect.DeepEqual(l.Bays, now.Bays) {
			t.Errorf("rules %d: another layout", rules)
		}
	}
}

// A gate's post in another run's is the gate's to move.
func TestGatePostInAnotherRuns(t *testing.T) {
	_, err := layout.Plan(mustSite("b: 10,-10 10,-1in\na: 0,0 40,0 gate=f@30x3 gate=g@121.75inx3"), sixFoot(spec.Layout{}))
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || len(e.Violations) != 1 || e.Violations[0].Field != "site.runs[1].gates[1].station" {
		t.Errorf("got %v", err)
	}
}
