package render

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

func TestCrewSheet(t *testing.T) {
	for name, job := range elevations {
		t.Run(name, func(t *testing.T) {
			st, l := job(t)
			for _, paper := range []string{"letter", "a4"} {
				o := CrewOptions{Title: "The " + name + " job", Paper: paper, Spec: sixFeet}
				checkCrewSheet(t, st, l, o)
				var b, again, words, cells bytes.Buffer
				if err := errors.Join(CrewSheetSVG(&b, st, l, o), CrewSheetSVG(&again, st, l, o), CrewSheetText(&words, st, l, o), CrewSheetCSV(&cells, st, l)); err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(b.Bytes(), again.Bytes()) {
					t.Error("drawn differently a second time")
				}
				if paper == "letter" && (name == "ten-feet" || name == "stepped") {
					golden(t, "crew-"+name+".svg", b.Bytes())
				}
				if name == "stepped" {
					golden(t, "crew-stepped.txt", words.Bytes())
					golden(t, "crew-stepped.csv", cells.Bytes())
				}
			}
		})
	}
}

// checkCrewSheet draws a crew sheet and holds it against its laws.
func checkCrewSheet(t failer, st site.Site, l *layout.Layout, o CrewOptions) {
	t.Helper()
	c, err := drawCrewSheet(st, l, o)
	if err != nil {
		t.Fatal(err)
	}
	checkPages(t, &c.pages, crewMargin-1)
	visits, barred := 0, 0
	for _, p := range l.Posts {
		for _, v := range p.Visits {
			if v.Run >= 0 && v.Run < len(st.Runs) {
				visits++
			}
		}
	}
	for _, b := range l.Barred {
		if b.Run >= 0 && b.Run < len(st.Runs) {
			barred++
		}
	}
	for _, r := range c.runs {
		for i, row := range r.rows {
			switch row.kind {
			case postRow:
				visits--
			case barredRow:
				barred--
			default: // gates and closing bays are told besides
			}
			if i > 0 && row.station < r.rows[i-1].station {
				t.Errorf("run %s is not walked in order at %s", r.id, row.station)
			}
		}
	}
	if visits != 0 || barred != 0 {
		t.Errorf("%d visits and %d keep-outs too few", visits, barred)
	}
	numbers := 0
	for _, label := range c.labels {
		if strings.HasSuffix(label.text, fmt.Sprintf("of %d", c.count)) && strings.HasPrefix(label.text, "page ") {
			numbers++
		}
	}
	if numbers != c.count {
		t.Errorf("%d of %d pages are numbered", numbers, c.count)
	}
	least := crewHeight
	for i := range c.runs {
		for _, row := range c.runs[i].rows {
			least = min(least, int(c.row(i, row).height))
		}
	}
	if least < 14 {
		t.Errorf("a row of %d points is too low for a tick", least)
	}
}

// Figures of a crew sheet are whole: none is cut to fit, at any size of job.
func TestCrewFiguresAreWhole(t *testing.T) {
	for name, job := range elevations {
		st, l := job(t)
		for _, paper := range []string{"letter", "a4"} {
			c, err := drawCrewSheet(st, l, CrewOptions{Title: name, Paper: paper, Spec: sixFeet})
			if err != nil {
				t.Fatal(err)
			}
			for _, label := range c.labels {
				if strings.HasSuffix(label.text, "...") {
					t.Errorf("%s on %s: %q is cut", name, paper, label.text)
				}
			}
		}
	}
}

// The offsets of every post add up to the printed distance between the fixed
// posts around it, and the bays to the offset back.
func TestCrewOffsetsAddUp(t *testing.T) {
	for _, name := range []string{"yard", "loop", "gates"} {
		st, l := mustPlan(t, plans[name])
		w := walk(st, l)[0]
		fixed := fixedBeside(w, l, closes(st, 0), ImperialMeasures)
		bays := baysBefore(0, w, l)
		var whole, back measure.Length
		for i, v := range w {
			p := l.Posts[v.post]
			if i > 0 {
				if bays[i] >= 0 {
					back += l.Bays[bays[i]].Printed
				} else {
					back += measure.RoundTo(v.station-w[i-1].station, measure.Sixteenth) // a gate
				}
				if got := measure.Must(fixed[i].back); got != back {
					t.Errorf("%s %s: back %s, bays add up to %s", name, p.ID, got.Imperial(), back.Imperial())
				}
			}
			if p.Role != layout.Line {
				back = 0
				if fixed[i].on != "" {
					whole = measure.Must(fixed[i].on)
				}
			} else if got := back + measure.Must(fixed[i].on); got != whole {
				t.Errorf("%s %s: back and on are %s, want %s", name, p.ID, got.Imperial(), whole.Imperial())
			}
		}
	}
}

func TestCrewWords(t *testing.T) {
	st, l := elevations["stepped"](t)
	l.Posts[5].Because, l.Posts[6].Because, l.Posts[7].Because, l.Posts[8].Because = layout.ByAnchor, layout.ByConcrete, layout.ByPull, "odd"
	shared, both := mustPlan(t, "a: 0,0 40,0\nb: 40,0 40,30")
	loop, round := mustPlan(t, plans["loop"])
	var b bytes.Buffer
	if err := errors.Join(CrewSheetText(&b, st, l, CrewOptions{Spec: sixFeet}), CrewSheetText(&b, shared, both, CrewOptions{}), CrewSheetText(&b, loop, round, CrewOptions{})); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"XXX KEEP OUT gas 28' 6\" to 31' 6\": no digging XXX", "[ ]  P4 ", "line, keep", "existing post stays: no hole",
		"GATE walk: 4' clear between faces, posts 4' 5-1/2\" on centre, leaf 3' 11\" hung at the lower station",
		"2 leaves of 4' 11\"", "grade turns", "line turns: anchor", "line turns: set in concrete", "long straight: pull", "odd",
		"Have utilities located before digging", "Run yard: 150 ft, 22 posts", "1 existing, kept", "Marked by ___",
		"set with run a", "back to P1: bay 7' 8-3/8\", rails cut to 7' 11-9/16\"",
	} {
		if !strings.Contains(strings.ReplaceAll(b.String(), "\n  ", " "), want) {
			t.Errorf("%q is not told in\n%s", want, b.String())
		}
	}
	for l := range strings.Lines(b.String()) {
		if strings.HasSuffix(l, " \n") {
			t.Errorf("spaces end %q", l)
		}
	}
}

func TestCrewSheetCSV(t *testing.T) {
	st, l := elevations["stepped"](t)
	l.Posts[0].ID = "=cmd"
	var b bytes.Buffer
	if err := CrewSheetCSV(&b, st, l); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 1+22+2+2 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if rows[1][2] != "'=cmd" || rows[1][3] != `1-3/4"` || rows[5][1] != "keep-out" || rows[5][3] != `28' 6"` {
		t.Errorf("%q\n%q", rows[1], rows[5])
	}
}

func TestCrewSheetRefuses(t *testing.T) {
	st, l := mustPlan(t, plans["yard"])
	if err := CrewSheetSVG(io.Discard, st, l, CrewOptions{Paper: "a3"}); err == nil || !strings.Contains(err.Error(), "letter or a4") {
		t.Errorf("paper a3: %v", err)
	}
	for _, err := range []error{CrewSheetSVG(&full{}, st, l, CrewOptions{}), CrewSheetText(&full{}, st, l, CrewOptions{}), CrewSheetCSV(&full{}, st, l)} {
		if err == nil {
			t.Error("a writer that fails is not noticed")
		}
	}
	for _, err := range []error{
		CrewSheetSVG(io.Discard, site.Site{}, &layout.Layout{}, CrewOptions{}),
		CrewSheetText(io.Discard, site.Site{}, &layout.Layout{}, CrewOptions{}),
		CrewSheetCSV(io.Discard, site.Site{}, &layout.Layout{}),
	} {
		if err != nil {
			t.Error(err)
		}
	}
}
