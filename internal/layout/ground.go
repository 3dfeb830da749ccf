package layout

import (
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// worst is the worst of several bays of a run, and how many are bad.
type worst struct {
	n    int
	by   measure.Length
	from measure.Length // station
}

func (w *worst) note(by, from measure.Length) {
	if w.n++; w.n == 1 || by > w.by {
		w.by, w.from = by, from
	}
}

// checkGround notes bays that rack too far or leave a gap that is refused, and
// cautions about gaps, humps and gates on a slope: for each run the worst.
func (p *planner) checkGround(v *fault.List) {
	racks, gaps, humps := make([]worst, len(p.site.Runs)), make([]worst, len(p.site.Runs)), make([]worst, len(p.site.Runs))
	for _, st := range p.out.Stretches {
		at := st.Start
		for _, b := range p.out.Bays[st.FirstBay : st.FirstBay+st.Bays] {
			if most := p.spec.Slope.MaxRack; most > 0 && !st.Stepped && b.Rise.Abs() > most+rounded {
				racks[st.Run].note(b.Rise.Abs(), at)
			}
			if p.gapes(&b) {
				gaps[st.Run].note(b.MostGap, at)
			}
			if b.LeastGap < -rounded {
				humps[st.Run].note(-b.LeastGap, at)
			}
			at += b.Width
		}
	}
	for i, r := range p.given.Runs {
		field := fmt.Sprintf("site.runs[%d].ground", i)
		if w := racks[i]; w.n > 0 {
			v.Index(i).Add("ground", "%s, the worst at %s with %s over its width, past the %s that a bay may rack; step this part",
				bays(w.n)+" would rack too far", p.at(i, w.from), w.by.Imperial(), p.spec.Slope.MaxRack.Imperial())
		}
		if w := gaps[i]; w.n > 0 && p.spec.Slope.Fill == spec.Refuse {
			v.Index(i).Add("ground", "%s a gap to the ground over %s, the widest %s in the bay from %s; let it be filled, or make the bays narrower",
				bays(w.n)+" would leave", p.spec.Slope.MaxGroundGap.Imperial(), w.by.Imperial(), p.at(i, w.from))
		} else if w.n > 0 {
			how := "boards there are longer"
			switch p.spec.Slope.Fill {
			case spec.KickBoard:
				how = "a kick board fills them"
			case spec.LeaveOpen:
				how = "the gaps are left"
			default: // longer boards, as said
			}
			p.tell("ground-gap", field, "Run %q: %s over %s above the ground, the widest %s in the bay from %s; %s.",
				r.ID, bays(w.n)+" would stand", p.spec.Slope.MaxGroundGap.Imperial(), w.by.Imperial(), p.at(i, w.from), how)
		}
		if w := humps[i]; w.n > 0 && !p.spec.HasBoards() {
			p.tell("ground-touches-boards", field, "Run %q: the ground stands higher than the foot of the fence in %s, by up to %s in the bay from %s; dig it away there.",
				r.ID, bays(w.n), w.by.Imperial(), p.at(i, w.from))
		} else if w.n > 0 {
			p.tell("ground-touches-boards", field, "Run %q: the ground stands higher than the lower ends of boards in %s, by up to %s in the bay from %s; dig it away or cut the boards.",
				r.ID, bays(w.n), w.by.Imperial(), p.at(i, w.from))
		}
		if n := len(r.Ground); n > 0 && (r.Ground[0].Station > together || r.Ground[n-1].Station < r.Length()-together) {
			p.tell("ground-extended", field, "Run %q: the ground is known from %s to %s; the rest is taken as level.",
				r.ID, r.Ground[0].Station.Imperial(), r.Ground[n-1].Station.Imperial())
		}
	}
	for _, o := range p.out.Openings {
		lowest, highest := p.underOpening(&o)
		if rise := highest - lowest; rise > *p.spec.GroundClearance+rounded {
			where := "under its opening; its leaves hang level above the highest of it and must clear the ground where they swing"
			if o.Slides {
				where = "along which its leaf slides; the leaf hangs level above the highest of it"
			}
			field := fmt.Sprintf("site.runs[%d].gates", o.Run)
			if p.rules >= 3 {
				of := func(g site.Gate) bool { return g.ID == o.Gate }
				field += fmt.Sprintf("[%d]", slices.IndexFunc(p.site.Runs[o.Run].Gates, of))
			}
			p.tell("gate-on-slope", field, "Gate %q: the ground changes by %s %s.",
				o.Gate, rise.Imperial(), where)
		}
	}
}

// tallBy is how much more than the fence's own height a post may stand above
// grade before its hole, which is as deep as the fence's height asks for, needs
// a second look (common practice).
const tallBy = measure.Foot

// cautionTall says where steps or gates on a slope leave posts much taller than
// the height that decided their holes.
func (p *planner) cautionTall() {
	var tall worst
	for _, post := range p.out.Posts {
		if over := post.AboveGrade - p.spec.PostTop(); over >= tallBy && !post.Existing {
			tall.note(post.AboveGrade, 0)
		}
	}
	if tall.n == 0 {
		return
	}
	holes := "as deep as that height asks for" // which can be read as the post's height
	if p.rules >= 3 {
		holes = "still those of the fence's height, " + p.spec.Height.Imperial()
	}
	p.tell("tall-posts", "site.runs", "Steps, or gates on a slope, leave %s up to %s above grade, where the fence is %s high; their holes are %s. A taller post takes more wind: have its depth and section checked.",
		many(tall.n, "post"), tall.by.Imperial(), p.spec.Height.Imperial(), holes)
}

func bays(n int) string { return many(n, "bay") }

// many is a number of things in words: "1 bay", "2 bays".
func many(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// tell adds a caution.
func (p *planner) tell(code, field, format string, args ...any) {
	p.out.Cautions = append(p.out.Cautions, Caution{Code: code, Field: field, Text: fmt.Sprintf(format, args...)})
}
