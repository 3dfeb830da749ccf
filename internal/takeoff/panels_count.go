package takeoff

import (
	"fmt"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

var panelRules = []rule{
	{"panels.height", practice, "{height} of height - {ground clearance} of ground clearance"},
	{"panels.between", practice, "from post centre to post centre {panel} of panel + {post} of post[ - 2 x {insertion} into the posts][ + 2 x {gap} beside the posts]"},
	{"panels.face", "LAY-2", "from post centre to post centre {panel} of panel"},
	{"panels.stretch", "LAY-2", "{bays}: {result}[ and {cut} ({,})]"},
	{"panels.sum", practice, "{+}"},
	{"panels.one-each", practice, "{pieces} to cut, one panel for each, as off-cuts are not used again"},
	{"panels.plan", practice, "{pieces} to cut from panels of {panel}, {loss} lost at each cut and an off-cut used again from {least} on ({proof}): {result}"},
	{"panels.total", practice, "{whole} + {cut} to cut"},
	{"panels.brackets", practice, "{panels} x 2 ends x {brackets}"},
	{"panels.bracket-screws", practice, "{brackets} x {screws}"},
	{"panels.screws", practice, "{panels} x 2 ends x {screws}"},
}

// panelStretch is what stretches have in common that take the same panels.
type panelStretch struct {
	bays, whole int
	cuts        string // the narrower ones, in words
}

// countPanels: a panel for every bay; one narrower than a panel takes a cut one.
func countPanels(g *gathered) {
	l, s := g.l, g.s
	width := s.Details.Length("panel_width")
	if width <= 0 || s.BoardLength() <= 0 {
		g.wrong.Add("spec.details.panel_width", "expected panels with a width and a height, found %s and %s", width, s.BoardLength())
		return
	}
	var kinds tally[panelStretch]
	var pieces tally[measure.Length]
	sloped := false
	for i, st := range l.Stretches {
		var cuts tally[measure.Length]
		k := panelStretch{bays: st.Bays}
		for j, b := range l.Bays[st.FirstBay : st.FirstBay+st.Bays] {
			sloped = sloped || b.Rise != 0 && !st.Stepped
			if needed := panelFor(b, width); needed < width {
				cuts.add(needed, j, 1)
				pieces.add(needed, st.FirstBay+j, 1)
			} else {
				k.whole++
			}
		}
		k.cuts = cutWords(cuts)
		kinds.add(k, i, 1)
		if len(cuts.kinds) > 0 && !s.Details.On("cut") {
			g.noWholePanel(i, cuts.kinds[0])
		}
	}
	steps := []Step{
		step("panels.height", "", length("height", s.Height), length("ground clearance", value(s.GroundClearance))).exactly(lengthText(s.BoardLength())),
		panelBayStep(s, width),
	}
	all := newSum("whole panel")
	for i, k := range kinds.kinds {
		times, short := kinds.times[i], ""
		if all.open() {
			posts, stations := stretchName(l, kinds.first[i])
			name := posts + " " + stations
			short = "on " + posts
			if times > 1 {
				short = "on " + amountOf(times, "equal stretch")
				name = amountOf(times, "equal stretch") + ", the first " + name
			}
			steps = append(steps, k.step(name))
		}
		all.add(short, whole(k.whole*times), times)
	}
	if len(kinds.kinds) > 1 || len(kinds.times) > 0 && kinds.times[0] > 1 {
		steps = append(steps, all.step("panels.sum"))
	}
	cut, cutSteps := g.cutPanels(pieces, width)
	net := all.total.Add(whole(cut))
	steps = append(steps, cutSteps...)
	if cut > 0 {
		steps = append(steps, step("panels.total", "", count("whole", len(l.Bays)-sumOf(pieces.times), "whole panel"), count("cut", cut, "panel")).
			exactly(amount(net, "panel")))
	}
	g.need(need{item: panelItem(s), net: net, steps: steps})
	g.weighsEach(panelItem(s), panelPounds[s.Details["material"]].Mul(ft2(width, s.BoardLength())))
	g.panelHardware()
	if sloped && s.Slope.MaxRack == 0 {
		g.cautions = append(g.cautions, layout.Caution{Code: "rack-not-limited", Field: "spec.details.rack",
			Text: "Panels follow the ground here, and nothing says how far they rack; ask their maker, or step them."})
	}
}

// panelFor is the width of the panel that a bay takes: the whole where less than
// half of 1/16 in would come off, else marked to 1/16 in.
func panelFor(b layout.Bay, width measure.Length) measure.Length {
	if b.Rail+measure.Sixteenth/2 >= width {
		return width
	}
	return markedLength(b.Rail, []measure.Length{width})
}

func panelBayStep(s *spec.Spec, width measure.Length) Step {
	onCentre := lengthText(panelOnCentre(s, s.Posts.Size.Width()))
	if s.Details["mount"] == onFaces {
		return step("panels.face", "A whole panel on the faces of posts", length("panel", width)).exactly(onCentre)
	}
	inputs := optional([]Input{length("panel", width), length("post", s.Posts.Size.Width())}, "insertion", s.Layout.Insertion)
	return step("panels.between", "A whole panel between line posts", optional(inputs, "gap", s.Layout.BracketGap)...).exactly(onCentre)
}

// step is what panels a stretch takes.
func (k panelStretch) step(subject string) Step {
	inputs := []Input{count("bays", k.bays, "bay")}
	if k.whole < k.bays {
		inputs = append(inputs, count("cut", k.bays-k.whole, "cut panel"), Input{Name: "cuts", Value: k.cuts})
	}
	return step("panels.stretch", subject, inputs...).exactly(amountOf(k.whole, "whole panel"))
}

// cutWords are the narrower panels of a stretch: "1 of 4 ft". On a slope each
// bay may have its own; past a few they are left to the cut plan.
func cutWords(cuts tally[measure.Length]) string {
	const most = 6
	var words []string
	other := 0
	for i, c := range cuts.kinds {
		if i < most {
			words = append(words, fmt.Sprintf("%d of %s", cuts.times[i], shown(lengthText(c))))
		} else {
			other += cuts.times[i]
		}
	}
	if other > 0 {
		words = append(words, fmt.Sprintf("%d of other widths", other))
	}
	return strings.Join(words, ", ")
}

// noWholePanel says of a stretch whose panels may not be cut how long it would
// have to be.
func (g *gathered) noWholePanel(i int, narrow measure.Length) {
	st := g.l.Stretches[i]
	fits := func(n int) string {
		long := measure.Length(n) * panelOnCentre(g.s, 0)
		if g.s.Details["mount"] == betweenPosts {
			long += measure.Length(n-1)*g.s.Posts.Size.Width() + (g.l.Posts[st.StartEnd.Post].Width+g.l.Posts[st.FinishEnd.Post].Width)/2
		}
		return long.Imperial() + " for " + amountOf(n, "panel")
	}
	expected := fits(st.Bays)
	if st.Bays > 1 {
		expected = fits(st.Bays-1) + ", or " + expected
	}
	posts, stations := stretchName(g.l, i)
	g.wrong.Add(fmt.Sprintf("site.runs[%d]", st.Run), "panels may not be cut, and %s %s leaves one of %s; on level ground expected %s",
		posts, stations, narrow.Imperial(), expected)
}

// panelHardware holds the panels, cut ones too, at both ends.
func (g *gathered) panelHardware() {
	n := len(g.l.Bays)
	panels := count("panels", n, "panel")
	var screws []Step
	all := newSum("screw")
	add := func(name string, st Step, each int) {
		if each > 0 {
			screws = append(screws, st.exactly(amountOf(each, "screw")))
			all.add(name, whole(each), 1)
		}
	}
	if each := g.s.Details.Count("brackets_per_panel_end"); each > 0 && n > 0 {
		brackets, per := n*2*each, g.s.Details.Count("screws_per_bracket")
		g.need(need{item: panelBracketItem(), net: whole(brackets), steps: []Step{
			step("panels.brackets", "", panels, count("brackets", each, "bracket")).exactly(amountOf(brackets, "bracket"))}})
		add("in brackets", step("panels.bracket-screws", "", count("brackets", brackets, "bracket"), count("screws", per, "screw")), brackets*per)
	}
	per := g.s.Details.Count("screws_per_panel_end")
	add("in panels", step("panels.screws", "", panels, count("screws", per, "screw")), n*2*per)
	if len(screws) > 1 {
		screws = append(screws, all.step("panels.sum"))
	}
	if len(screws) > 0 {
		g.need(need{item: panelScrewItem(), net: all.total, waste: g.s.Waste.Fasteners, steps: screws})
	}
}

func sumOf(all []int) int {
	n := 0
	for _, x := range all {
		n += x
	}
	return n
}
