package rpc

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

func openLayout(ctx context.Context, t *testing.T, conn *grpc.ClientConn, job *wattlev1.PlanLayoutRequest) grpc.ServerStreamingClient[wattlev1.StreamLayoutResponse] {
	t.Helper()
	stream, err := wattlev1.NewLayoutServiceClient(conn).StreamLayout(ctx, &wattlev1.StreamLayoutRequest{Site: job.GetSite(), Spec: job.GetSpec()})
	if err != nil {
		t.Fatal(err)
	}
	return stream
}

// streamed is all pieces of a layout, and how large the largest message was.
func streamed(t *testing.T, conn *grpc.ClientConn, job *wattlev1.PlanLayoutRequest) (whole *wattlev1.PlanLayoutResponse, largest int) {
	t.Helper()
	whole = &wattlev1.PlanLayoutResponse{}
	stream := openLayout(t.Context(), t, conn, job)
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return whole, largest
		}
		if err != nil {
			t.Fatal(err)
		}
		largest = max(largest, proto.Size(m))
		proto.Merge(whole, m.GetPart())
	}
}

func TestStreamedPiecesAreTheLayout(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	hilly := jobOf(closed(survey(&wattlev1.Traverse{Text: "due E 400 ft slope 3 %; due N 300 ft; due W 400 ft slope -3 %; due S 300 ft"})))
	hilly.Site.Runs[0].KeepOuts = []*wattlev1.KeepOut{{Id: "gas", From: "21 ft", To: "22 ft"}}
	many := jobOf() // of more stretches than one message takes
	for i := range streamPiece + 1 {
		r := run(at(fmt.Sprintf("0 ft,%d ft", 10*i)), at(fmt.Sprintf("24 ft,%d ft", 10*i)))
		r.Id = fmt.Sprint("run ", i)
		many.Site.Runs = append(many.Site.Runs, r)
	}
	for name, job := range map[string]*wattlev1.PlanLayoutRequest{"a yard": yard(), "a hill": hilly, "many runs": many} {
		want, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), job)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got, _ := streamed(t, conn, job); !proto.Equal(got, want) {
			t.Errorf("%s: streamed\n%.2000v\nwant\n%.2000v", name, got, want)
		}
	}
}

// A straight run of 150 miles is 792,000 ft: 99,000 bays of 8 ft but for what
// the two end posts take, which is one more.
func TestStreamOfAHundredThousandBays(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	long := jobOf(run(at("0 ft,0 ft"), at("792000 ft,0 ft")))
	got, largest := streamed(t, conn, long)
	bays := got.GetLayout().GetBays()
	if len(bays) != 99_001 || len(got.GetLayout().GetPosts()) != 99_002 {
		t.Errorf("%d bays and %d posts, want 99,001 and 99,002", len(bays), len(got.GetLayout().GetPosts()))
	}
	sum := int64(0)
	for _, b := range bays {
		sum += b.GetWidth().GetNanometres()
	}
	if want := got.GetLayout().GetStretches()[0].GetLength().GetNanometres(); sum != want {
		t.Errorf("the bays add up to %d nm, want %d", sum, want)
	}
	if largest > 1<<20 {
		t.Errorf("the largest message has %d bytes, want at most a quarter of what a client takes", largest)
	}
	_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), long)
	if st := status.Convert(err); st.Code() != codes.ResourceExhausted || !strings.Contains(st.Message(), "StreamLayout") {
		t.Errorf("in one answer: %v", err)
	}
}

func TestStreamsAreValidated(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{MaxRequest: 10_000})
	shape, meaning, large := yard(), yard(), yard()
	shape.Site.Runs[0].Gates[0].Leaves = 9
	shape.Spec.Height = "six"
	meaning.Site.Runs[0].Gates[0].Width = "60 ft"
	large.Spec.Name = strings.Repeat("x", 20_000)
	for _, c := range []struct {
		name string
		job  *wattlev1.PlanLayoutRequest
		code codes.Code
		want string
	}{
		{"shape", shape, codes.InvalidArgument, "site.runs[0].gates[0].leaves"},
		{"meaning", meaning, codes.InvalidArgument, "site.runs[0].gates[0]"},
		{"size", large, codes.ResourceExhausted, "larger than max"},
	} {
		_, err := openLayout(t.Context(), t, conn, c.job).Recv()
		if st := status.Convert(err); st.Code() != c.code || !strings.Contains(st.Message(), c.want) {
			t.Errorf("%s: %v, want %v with %q", c.name, err, c.code, c.want)
		}
	}
}

// A caller that goes away ends the stream; the service stops with none open.
func TestACancelledStreamEnds(t *testing.T) {
	conn, _, stop := serveUntil(t, &estimating.Service{}, Config{})
	ctx, cancel := context.WithCancel(t.Context())
	stream := openLayout(ctx, t, conn, jobOf(run(at("0 ft,0 ft"), at("792000 ft,0 ft"))))
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	cancel()
	for {
		_, err := stream.Recv()
		if err == nil {
			continue // what was under way
		}
		if status.Code(err) != codes.Canceled {
			t.Errorf("%v, want that it was cancelled", err)
		}
		break
	}
	began := time.Now()
	stop() // waits for open calls, up to the drain time of 20 s
	if took := time.Since(began); took > 10*time.Second {
		t.Errorf("the call stayed open for %v", took)
	}
}
