package rpc

import (
	"fmt"
	"sync"
	"testing"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// Answers whose messages are used again are those of messages made anew, also
// where larger and smaller ones take turns and refused ones are between them.
func TestWorkspacesLeaveNothingBehind(t *testing.T) {
	use := &estimating.Service{}
	conn, _ := serve(t, use, Config{})
	layouts, takeoffs := wattlev1.NewLayoutServiceClient(conn), wattlev1.NewTakeoffServiceClient(conn)
	type job struct {
		plan          *wattlev1.PlanLayoutRequest
		count         *wattlev1.ComputeTakeoffRequest
		layout, taken proto.Message
	}
	var jobs []job
	for _, long := range []string{"20 ft", "164 ft", "1000 ft"} {
		j := job{plan: bays20()}
		j.plan.Site.Runs[0].Vertices[1].East = long
		if long == "20 ft" { // no gate
			j.plan.Site.Runs[0].Gates = nil
		}
		j.count = &wattlev1.ComputeTakeoffRequest{Site: j.plan.GetSite(), Spec: j.plan.GetSpec()}
		var err error
		if j.layout, err = (layoutService{use}).PlanLayout(t.Context(), j.plan); err != nil {
			t.Fatal(err)
		}
		if j.taken, err = (takeoffService{use}).ComputeTakeoff(t.Context(), j.count); err != nil {
			t.Fatal(err)
		}
		jobs = append(jobs, j)
	}
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for i := range 60 {
				j := jobs[i*7%len(jobs)]
				layout, err := layouts.PlanLayout(t.Context(), j.plan)
				if err != nil || !proto.Equal(layout, j.layout) {
					t.Error("another layout: ", err, fmt.Sprint(layout))
					return
				}
				if _, err := takeoffs.ComputeTakeoff(t.Context(), &wattlev1.ComputeTakeoffRequest{Site: j.plan.GetSite()}); i%5 == 0 && err == nil {
					t.Error("a job without a fence is counted")
					return
				}
				taken, err := takeoffs.ComputeTakeoff(t.Context(), j.count)
				if err != nil || !proto.Equal(taken, j.taken) {
					t.Error("another take-off: ", err, fmt.Sprint(taken))
					return
				}
			}
		})
	}
	all.Wait()
}

func TestKeptValuesAreZeroAgain(t *testing.T) {
	var k kept[int]
	first := k.slab(5)
	for range first {
		*first.next() = 7
	}
	if more := k.slab(3); len(more) != 3 || &more[0] == &k.used[0] {
		t.Error("two parts of an answer stand in one place")
	}
	k.release()
	if again := k.slab(4); len(again) != 4 || again[0] != 0 || cap(k.used) != 5 {
		t.Errorf("used again: %v of %d", again, cap(k.used))
	}
	k.release()
	k.slab(2 * mostKept)
	if k.release(); cap(k.used) != 0 {
		t.Error("a large answer's memory is kept")
	}
}
