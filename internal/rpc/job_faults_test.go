package rpc

import (
	"slices"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// violatedFields are the field paths that an answer's status lists.
func violatedFields(err error) []string {
	var fields []string
	for _, v := range detail[*errdetails.BadRequest](status.Convert(err)).GetFieldViolations() {
		fields = append(fields, v.GetField())
	}
	return fields
}

// Whatever is wrong with a job's family, its options and its conditions is in one
// answer, by the paths that the request has.
func TestEverythingWrongWithAJobIsOneAnswer(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	conditions := &wattlev1.Conditions{
		SoilClass: 9, Digging: "Very rocky", Wind: &wattlev1.Conditions_Wind{Speed: 115, Topography: "-1"},
		TearOut: []*wattlev1.Conditions_OldFence{{Length: "40 ft", Height: "-1 ft", PoundsPerFoot: "-2"}},
		Pool:    &wattlev1.Conditions_Pool{BottomGap: new("-2 in")},
		Yard:    &wattlev1.Conditions_Yard{Name: "back", MaxHeight: "-6 ft"},
		Notice:  &wattlev1.Conditions_Notice{Hour: new(int32(25))},
	}
	wrongConditions := []string{
		"site.conditions.soil_class", "site.conditions.digging", "site.conditions.wind.exposure", "site.conditions.wind.topography",
		"site.conditions.tear_out[0].height", "site.conditions.tear_out[0].pounds_per_foot", "site.conditions.pool.bottom_gap",
		"site.conditions.yard.name", "site.conditions.yard.max_height", "site.conditions.notice.rule", "site.conditions.notice.given",
		"site.conditions.notice.hour",
	}
	survey := &wattlev1.Run{Id: "r", Traverse: &wattlev1.Traverse{Text: "due E 40 ft"}, Gates: []*wattlev1.Gate{
		{Id: "drive", Station: "10 ft", Width: "12 ft", Leaves: 2, Slides: true},
	}}
	for _, c := range []struct {
		name string
		spec *wattlev1.Spec
		want []string
	}{
		{"boards with every option wrong", &wattlev1.Spec{
			Height:    "6 ft",
			Details:   map[string]string{"mesh": "2 in"},
			Layout:    &wattlev1.Spec_Layout{Insertion: "1 in"},
			Posts:     &wattlev1.Spec_Posts{TerminalSize: "thick"},
			Holes:     &wattlev1.Spec_Holes{Rules: "odd"},
			Rails:     &wattlev1.Spec_Rails{MaxSpan: 3},
			Boards:    &wattlev1.Spec_Boards{Pattern: wattlev1.Spec_Boards_PATTERN_BOARD_ON_BOARD, Overlap: "-1 in"},
			Fasteners: &wattlev1.Spec_Fasteners{ScrewsPerRailEnd: 100},
			Gates:     &wattlev1.Spec_Gates{Frame: wattlev1.Spec_Gates_FRAME_STEEL, FrameSize: "4x4"},
			Labour:    &wattlev1.Spec_Labour{By: wattlev1.Spec_Labour_BY_TASKS, Crew: 500, HoursPerDay: "25", Equipment: []string{"auger", "Big auger"}},
			Extras:    &wattlev1.Spec_Extras{CapBoard: "9x9", Lattice: "9 ft", Stain: &wattlev1.Spec_Stain{Coats: 1, Sides: 3}},
			Moisture:  &wattlev1.Spec_Moisture{Species: "western redcedar", Installed: "soaked", Service: "12 per cent"},
		}, []string{
			"spec.details.mesh", "spec.layout.insertion", "spec.posts.terminal_size", "spec.holes.rules", "spec.rails.max_span",
			"spec.boards.overlap", "spec.gates.frame_size", "spec.labour.crew", "spec.labour.hours_per_day", "spec.labour.equipment[1]",
			"spec.extras.cap_board", "spec.extras.lattice", "spec.extras.stain.coverage", "spec.extras.stain.sides",
			"spec.moisture.installed", "spec.moisture.service",
		}},
		{"chain link with boards", &wattlev1.Spec{
			Height: "6 ft", Family: "chain-link",
			Details: map[string]string{"mesh": "2 furlongs", "gauge": "99", "weave": "basket"},
			Boards:  &wattlev1.Spec_Boards{Overlap: "1 in"}, Rails: &wattlev1.Spec_Rails{Count: 2},
			Moisture: &wattlev1.Spec_Moisture{Species: "western redcedar", Service: "12 %"},
		}, []string{
			"spec.boards", "spec.rails", "spec.details.mesh", "spec.details.gauge", "spec.details.weave", "spec.moisture.species",
		}},
		{"no family", &wattlev1.Spec{Height: "6 ft", Family: "hedge"}, []string{"spec.family"}},
	} {
		_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), &wattlev1.PlanLayoutRequest{
			Site: &wattlev1.Site{Runs: []*wattlev1.Run{survey}, Conditions: conditions}, Spec: c.spec,
		})
		got := violatedFields(err)
		for _, field := range slices.Concat(c.want, wrongConditions, []string{"site.runs[0].gates[0].leaves"}) {
			if !slices.Contains(got, field) {
				t.Errorf("%s: %s is not among %q", c.name, field, got)
			}
		}
	}
}

// What the proto refuses and what cannot be read are one answer too.
func TestOptionsThatCannotBeReadAreOneAnswer(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	job := jobOf(straight24("back", "0 ft"))
	job.Spec = &wattlev1.Spec{
		Height: "6 ft", Details: map[string]string{"": "x"},
		Boards: &wattlev1.Spec_Boards{Overlap: "1", Pattern: 99},
		Extras: &wattlev1.Spec_Extras{Stain: &wattlev1.Spec_Stain{Coats: -1, Coverage: "much"}},
	}
	job.Site.Conditions = &wattlev1.Conditions{
		Wind: &wattlev1.Conditions_Wind{Speed: -1, Flat: "strong"}, Notice: &wattlev1.Conditions_Notice{Given: "tomorrow"},
	}
	_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), job)
	got := violatedFields(err)
	for _, field := range []string{
		"spec.boards.pattern", "spec.boards.overlap", "spec.extras.stain.coats", "spec.extras.stain.coverage",
		"site.conditions.wind.speed", "site.conditions.wind.flat", "site.conditions.notice.given",
	} {
		if !slices.Contains(got, field) {
			t.Errorf("%s is not among %q", field, got)
		}
	}
}
