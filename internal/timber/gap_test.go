package timber

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
)

// Common practice: dry stock is gapped by its swell, wet stock is butted tight.
func TestGapFor(t *testing.T) {
	dry, err := Movement("western redcedar", measure.Must("5-1/2 in"), 8*Percent, 14*Percent) // swells 0.07722 in
	if err != nil {
		t.Fatal(err)
	}
	wet, err := Movement("western redcedar", measure.Must("5-1/2 in"), 30*Percent, 12*Percent) // shrinks 0.165 in
	if err != nil {
		t.Fatal(err)
	}
	same := dry
	same.Delta = 0
	for _, c := range []struct {
		change                       Change
		gap                          string
		boards                       int
		advised, inService, push, is string
	}{
		{dry, "1/8 in", 18, "1/8 in", "0.04778 in", "0 in", "installed 0.125 in apart, 0.048 in apart in service"},
		{dry, "0.07722 in", 18, "1/8 in", "0 in", "0 in", "installed 0.077 in apart, closed in service"},
		{dry, "1/16 in", 18, "1/8 in", "0 in", "0.26496 in", "installed 0.0625 in apart, the boards"},
		{dry, "0 in", 18, "1/8 in", "0 in", "1.38996 in",
			"installed tight, the boards of the stretch become 1.39 in too wide together and push off the rails: leave at least 1/8 in between them"},
		{wet, "0 in", 18, "0 in", "0.165 in", "0 in", "installed tight, 0.165 in apart in service"},
		{wet, "1/2 in", 1, "0 in", "0.665 in", "0 in", "installed 0.5 in apart, 0.665 in apart in service"},
		{same, "0 in", 1, "0 in", "0 in", "0 in", "installed tight, the same in service"},
		{same, "1/4 in", 1, "0 in", "1/4 in", "0 in", "installed 0.25 in apart, the same in service"},
	} {
		got, err := GapFor(c.change, measure.Must(c.gap), c.boards)
		want := Gap{measure.Must(c.advised), measure.Must(c.gap), measure.Must(c.inService), measure.Must(c.push)}
		if err != nil || got != want {
			t.Errorf("%d boards %s apart that change by %v: %+v, %v; want %+v", c.boards, c.gap, c.change.Delta, got, err, want)
		}
		if s := got.Sentence(); !strings.HasPrefix(s, strings.Replace(c.is, "0.0625", "0.063", 1)) {
			t.Errorf("got  %s\nwant %s", s, c.is)
		}
	}
}

func TestAdvisedGapRoundsUp(t *testing.T) {
	for delta, want := range map[string]string{
		"-1 in": "0 in", "0 in": "0 in", "1 nm": "1/16 in", "1/16 in": "1/16 in", "1587501 nm": "1/8 in", "0.2 in": "1/4 in",
	} {
		if got := (Change{Delta: measure.Must(delta)}).AdvisedGap(); got != measure.Must(want) {
			t.Errorf("a change of %s: %v apart, want %s", delta, got, want)
		}
	}
}

func TestGapErrors(t *testing.T) {
	got, err := GapFor(Change{Delta: widest + 1}, -1, 0)
	for _, want := range []string{"change: expected a change of at most 4 ft", "gap: expected a gap of 0 to 4 ft", "boards: expected 1 to 1000000 boards, found 0"} {
		if err == nil || !strings.Contains(err.Error(), want) || got != (Gap{}) {
			t.Errorf("%+v, %v; want an error with %q", got, err, want)
		}
	}
}

// The advised gap is always enough, and never a sixteenth more than enough;
// what boards and gaps take up together is the same in both states, but for the
// push.
func TestAdvisedGapSuffices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, n := change(t), rapid.IntRange(1, mostBoards).Draw(t, "boards")
		advised, err := GapFor(c, c.AdvisedGap(), n)
		if err != nil || advised.Push != 0 || advised.Installed != advised.Advised {
			t.Fatalf("%+v: %+v, %v", c, advised, err)
		}
		if c.Delta > 0 && advised.InService >= measure.Sixteenth {
			t.Fatalf("%+v: %+v is a sixteenth too much", c, advised)
		}
		g, err := GapFor(c, measure.Length(rapid.Int64Range(0, int64(measure.Inch)).Draw(t, "gap")), n)
		if err != nil {
			t.Fatal(err)
		}
		boards := measure.Length(n)
		if installed, inService := boards*(c.Width+g.Installed), boards*(c.Width+c.Delta+g.InService); inService-installed != g.Push {
			t.Fatalf("%+v: %+v takes up %v installed and %v in service", c, g, installed, inService)
		}
	})
}
