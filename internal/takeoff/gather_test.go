package takeoff_test

import (
	"reflect"
	"testing"

	"wattle/internal/takeoff"
)

// A job that is gathered once counts as one that is gathered for each count, in
// any order and with other offers between, and leaves earlier counts alone.
func TestCountsOfOneGathering(t *testing.T) {
	cheap := prices("rail-2x4-8ft 1 each\nrail-2x4-16ft 2 each 4\nboard-1x6-6ft 3 each 25\ncrew-hour 60 hour\nrate-fence 0.1 hour/ft\nrate-gate 1 hour/leaf")
	for _, f := range fences {
		t.Run(f.name, func(t *testing.T) {
			st := yard()
			job := takeoff.Job{Layout: plan(t, st, f.spec), Spec: f.spec}
			once := job.Gather()
			var got, want []*takeoff.Takeoff
			for _, offers := range []map[string]takeoff.Offer{nil, cheap, rates, nil} {
				a, err := once.Count(offers)
				if err != nil {
					t.Fatal(err)
				}
				b, err := job.Count(offers)
				if err != nil {
					t.Fatal(err)
				}
				got, want = append(got, a), append(want, b)
			}
			for i := range got {
				if !reflect.DeepEqual(got[i], want[i]) {
					t.Errorf("count %d differs from one gathered for it alone", i+1)
				}
			}
		})
	}
}
