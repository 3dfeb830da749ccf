package takeoff

import (
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// gateJob is a fence of 100 ft with one gate 40 ft from its start.
type gateJob struct {
	name    string
	opening string
	leaves  int // 0: one that slides
	spec    spec.Spec
	walk    string // the opening of another gate, 70 ft from the start; "": none
}

func steelFrame(tube section.Section) spec.Spec {
	return spec.Spec{Height: 6 * ft, Gates: spec.Gates{Frame: spec.SteelFrame, FrameSize: tube}}
}

// gateJobs are gates of every family, by width and by frame.
func gateJobs() []gateJob {
	family := func(f spec.Family, high measure.Length) spec.Spec { return spec.Spec{Family: f, Height: high} }
	return []gateJob{
		{"wood, single", "3 ft", 1, spec.Spec{Height: 6 * ft}, ""},
		{"wood, double", "10 ft", 2, spec.Spec{Height: 6 * ft}, ""},
		{"steel with boards, single", "4 ft", 1, steelFrame("1.66od"), ""},
		{"steel with boards, sliding", "12 ft", 0, steelFrame("2sq"), ""},
		{"steel with boards, sliding, of rails longer than a stick", "20 ft", 0, steelFrame("2sq"), ""},
		{"chain link, single", "4 ft", 1, family(spec.ChainLink, 6*ft), ""},
		{"chain link, double", "12 ft", 2, family(spec.ChainLink, 6*ft), ""},
		{"chain link, double and single", "12 ft", 2, family(spec.ChainLink, 6*ft), "4 ft"},
		{"chain link, sliding", "12 ft", 0, family(spec.ChainLink, 6*ft), ""},
		{"horizontal boards, double", "10 ft", 2, family(spec.HorizontalBoards, 6*ft), ""},
		{"horizontal boards, sliding", "20 ft", 0, family(spec.HorizontalBoards, 6*ft), ""},
		{"panels, double", "16 ft", 2, family(spec.Panels, 6*ft), ""},
		{"split rail, single", "4 ft", 1, family(spec.SplitRail, 4*ft), ""},
		{"split rail, wider than a rail", "12 ft", 1, family(spec.SplitRail, 4*ft), ""},
		{"wire, single", "12 ft", 1, family(spec.Wire, 4*ft), ""},
		{"wire, of the next width", "9 ft", 1, family(spec.Wire, 4*ft), ""},
	}
}

// layOut plans the job.
func (j gateJob) layOut(t testing.TB) (*layout.Layout, spec.Spec) {
	t.Helper()
	r := site.Run{ID: "front", Vertices: []measure.Point{{}, {East: 100 * ft}},
		Gates: []site.Gate{{ID: "way", Station: 40 * ft, Width: measure.Must(j.opening), Leaves: max(j.leaves, 1), Slides: j.leaves == 0}}}
	if j.walk != "" {
		r.Gates = append(r.Gates, site.Gate{ID: "walk", Station: 70 * ft, Width: measure.Must(j.walk), Leaves: 1})
	}
	s := j.spec.WithDefaults()
	l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, s)
	if err != nil {
		t.Fatalf("%s: %v", j.name, err)
	}
	return l, s
}

func (j gateJob) counted(t testing.TB) (*Takeoff, *layout.Layout) {
	t.Helper()
	l, s := j.layOut(t)
	k, err := Count(l, s, nil)
	if err != nil {
		t.Fatalf("%s: %v", j.name, err)
	}
	return k, l
}

func gateJobNamed(t testing.TB, name string) gateJob {
	for _, j := range gateJobs() {
		if j.name == name {
			return j
		}
	}
	t.Fatalf("no job %s", name)
	return gateJob{}
}
