package rpc

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

func TestDrawLayout(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	draw := func(kind wattlev1.DrawLayoutRequest_Drawing, run string) (string, string, error) {
		job := jobOf(straight24("back", "0 ft"), straight24("side", "50 ft"))
		answer, err := wattlev1.NewLayoutServiceClient(conn).DrawLayout(t.Context(), &wattlev1.DrawLayoutRequest{
			Site: job.GetSite(), Spec: job.GetSpec(), Drawing: kind, Run: run,
		})
		return answer.GetDocument().GetFileName(), string(answer.GetDocument().GetContent()), err
	}
	for _, c := range []struct {
		kind            wattlev1.DrawLayoutRequest_Drawing
		run, file, want string
	}{
		{wattlev1.DrawLayoutRequest_DRAWING_UNSPECIFIED, "", "plan.svg", "</svg>"},
		{wattlev1.DrawLayoutRequest_DRAWING_PLAN, "", "plan.svg", "</svg>"},
		{wattlev1.DrawLayoutRequest_DRAWING_ELEVATION, "", "elevation.svg", "Run back: 24 ft"},
		{wattlev1.DrawLayoutRequest_DRAWING_ELEVATION, "side", "elevation.svg", "Run side: 24 ft"},
		{wattlev1.DrawLayoutRequest_DRAWING_CREW_SHEET, "", "crew-sheet.svg", "Run side: 24 ft"},
	} {
		file, content, err := draw(c.kind, c.run)
		if err != nil || file != c.file || !strings.Contains(content, "<svg ") || !strings.Contains(content, c.want) {
			t.Errorf("%v of %q: %v, %s with %d bytes, want %s with %q", c.kind, c.run, err, file, len(content), c.file, c.want)
		}
	}
	_, _, err := draw(wattlev1.DrawLayoutRequest_DRAWING_ELEVATION, "front")
	if got := describe(status.Convert(err)); !slices.Equal(got, []string{`run: there is no run "front" in this job`}) {
		t.Errorf("an unknown run: %v", err)
	}
}

// straight24 is a straight run of 24 ft at that north.
func straight24(id, north string) *wattlev1.Run {
	r := run(at("0 ft,"+north), at("24 ft,"+north))
	r.Id = id
	return r
}
