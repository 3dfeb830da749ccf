package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

var update = flag.Bool("update", false, "rewrite the files in testdata")

var plans = map[string]string{
	"ten-feet": "a: 0,0 10,0",
	"yard":     "yard: wall 0,0 0,40 60,40 60,0 wall gate=walk@12x3.5 gate=drive@70x10x2",
	"long":     "a: 0,0 2000,0",
	"loop":     "paddock: 0,0 90,10 110,70 40,95 -20,50 closed right gate=field@30x12x2>",
	"angled":   "back: wall 0,0 30,45 85,60 gate=side@20x4\nspur: 30,45 -25,80\nlow: 85,60 120,20 150,25 wall right gate=cart@12x8x2>",
	"gates":    "front: 0,0 60,0 gate=a@3x3 gate=b@10x3> gate=c@17x3^ gate=d@24x3 gate=e@31x3 gate=f@38x3 gate=g@45x3",
	"crowded":  crowded(),
	"upright":  "side: wall 0,0 0,130 gate=shed@60x4",
}

// crowded is more than a sheet has room for: forty short runs in four hundred
// yards.
func crowded() string {
	var b strings.Builder
	for i := range 40 {
		fmt.Fprintf(&b, "r%d: %d,%d %d,%d %d,%d gate=g%d@6x4\n", i, i*30, i%5*8, i*30+12, i%5*8, i*30+18, i%5*8+20, i)
	}
	return b.String()
}

func mustPlan(t testing.TB, text string) (site.Site, *layout.Layout) {
	t.Helper()
	st := mustSite(text)
	return st, planned(t, st)
}

func planned(t testing.TB, st site.Site) *layout.Layout {
	t.Helper()
	l, err := layout.Plan(st, spec.Spec{Height: 6 * measure.Foot})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestPlan(t *testing.T) {
	for name, text := range plans {
		t.Run(name, func(t *testing.T) {
			st, l := mustPlan(t, text)
			for _, paper := range []string{"letter", "a4"} {
				o := PlanOptions{Title: "The " + name + " job", Paper: paper}
				checkPlan(t, st, l, o)
				var b bytes.Buffer
				if err := PlanSVG(&b, st, l, o); err != nil {
					t.Fatal(err)
				}
				if paper == "letter" {
					golden(t, "plan-"+name+".svg", b.Bytes())
				}
			}
		})
	}
}

// checkPlan: the drawing is XML, its labels neither meet nor leave the sheet,
// and every stretch and gate is told.
func checkPlan(t interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
}, st site.Site, l *layout.Layout, o PlanOptions) {
	t.Helper()
	p, err := drawPlan(st, l, o)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := p.draw.writeTo(&b, p.size, p.title); err != nil {
		t.Fatal(err)
	}
	decoder := xml.NewDecoder(&b)
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	told := map[string]int{}
	for i, a := range p.labels {
		for _, c := range a.box.corners() {
			if c.x < 0 || c.y < 0 || c.x > p.size.x || c.y > p.size.y {
				t.Errorf("%q leaves the sheet at %v", a.text, c)
			}
		}
		for _, b := range p.labels[:i] {
			if meet(a.box, b.box) {
				t.Errorf("%q and %q overlap", a.text, b.text)
			}
		}
		if a.size == dimensionSize || strings.HasPrefix(a.text, "Stretch ") {
			told["stretch"]++
		}
		if strings.HasPrefix(a.text, "gate ") && a.colour == blue || strings.HasPrefix(a.text, "Gate ") {
			told["gate"]++
		}
	}
	if told["stretch"] != len(p.pieces) || told["gate"] != len(l.Openings) {
		t.Errorf("%d stretches and %d gates are told, want %d and %d", told["stretch"], told["gate"], len(p.pieces), len(l.Openings))
	}
}

// meet reports whether two boxes overlap: no side of either parts them.
func meet(a, b box) bool {
	if a.centre.sub(b.centre).length() > math.Hypot(a.width, a.height)/2+math.Hypot(b.width, b.height)/2 {
		return false
	}
	for _, angle := range []float64{a.angle, a.angle + math.Pi/2, b.angle, b.angle + math.Pi/2} {
		sin, cos := math.Sincos(angle)
		along := func(b box) (low, high float64) {
			low, high = math.Inf(1), math.Inf(-1)
			for _, c := range b.corners() {
				low, high = min(low, c.x*cos+c.y*sin), max(high, c.x*cos+c.y*sin)
			}
			return low, high
		}
		lowA, highA := along(a)
		lowB, highB := along(b)
		if highA <= lowB || highB <= lowA {
			return false
		}
	}
	return true
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; look at it and run go test with -update if it is right. Got:\n%s", path, got)
	}
}

func TestBoxesMeet(t *testing.T) {
	a := box{vec{0, 0}, 10, 2, 0}
	for _, c := range []struct {
		b    box
		want bool
	}{
		{box{vec{9, 0}, 10, 2, 0}, true},
		{box{vec{11, 0}, 10, 2, 0}, false},
		{box{vec{0, 5}, 10, 2, math.Pi / 2}, true},
		{box{vec{0, 7}, 10, 2, math.Pi / 2}, false},
		{box{vec{6, 6}, 10, 2, math.Pi / 4}, false},
	} {
		if got := meet(a, c.b); got != c.want {
			t.Errorf("%v and %v meet: %v", a, c.b, got)
		}
	}
}

// Any site that can be laid out can be drawn.
func TestAnyPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var st site.Site
		for i := range rapid.IntRange(1, 4).Draw(t, "runs") {
			r := site.Run{ID: fmt.Sprint("r", i), Closed: rapid.Bool().Draw(t, "closed")}
			size := rapid.SampledFrom([]int64{10, 100, 1500}).Draw(t, "size")
			at := rapid.Custom(func(t *rapid.T) measure.Point {
				inches := rapid.Int64Range(0, size*12)
				return measure.Point{East: measure.Length(inches.Draw(t, "east")) * measure.Inch, North: measure.Length(inches.Draw(t, "north")) * measure.Inch}
			})
			r.Vertices = rapid.SliceOfN(at, 2, 6).Draw(t, "vertices")
			r.Start.TieIn = rapid.Bool().Draw(t, "wall")
			if rapid.Bool().Draw(t, "gated") {
				r.Gates = []site.Gate{{ID: fmt.Sprint("g", i), Station: measure.Foot, Width: 3 * measure.Foot, Leaves: rapid.IntRange(1, 2).Draw(t, "leaves"), Swing: site.Side(rapid.IntRange(0, 1).Draw(t, "swing"))}}
			}
			st.Runs = append(st.Runs, r)
		}
		l, err := layout.Plan(st, spec.Spec{Height: 6 * measure.Foot})
		if err != nil {
			t.Skip(err)
		}
		checkPlan(t, st, l, PlanOptions{})
	})
}

func TestPlanText(t *testing.T) {
	st, l := mustPlan(t, "a<&\"\x01b: 0,0 40,0 gate=<i>@9x4\nc: 0,9 40,9")
	var b bytes.Buffer
	if err := PlanSVG(&b, st, l, PlanOptions{Title: "</title> & \x00\uFFFE" + strings.Repeat("long ", 200)}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "<i>") || strings.Contains(b.String(), "\x01") {
		t.Error("text was not escaped")
	}
	checkPlan(t, st, l, PlanOptions{Title: strings.Repeat("W", 500)})
	if err := PlanSVG(io.Discard, st, l, PlanOptions{Paper: "a3"}); err == nil || !strings.Contains(err.Error(), "letter or a4") {
		t.Errorf("paper a3: %v", err)
	}
}
