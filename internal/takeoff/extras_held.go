package takeoff

import (
	"strings"

	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// fastening is what holds the options that run along the fence, use by use.
type fastening struct {
	uses []fastenedUse
}

// fastenedUse is one kind of piece, held at both ends.
type fastenedUse struct {
	what   string // "cap boards"
	nail   item
	penny  string
	nails  int // at an end on wood
	screws int // at an end on metal
	held
	steps []Step // how many at an end
}

func (f *fastening) add(u fastenedUse) { f.uses = append(f.uses, u) }

// upper begins a sentence.
func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// heldBays are where pieces over one bay each, on a number of sides, are held.
func (g *gathered) heldBays(sides int) held {
	var h held
	for i := range g.l.Bays {
		h.rail(g.l, piece{i, 1}, sides)
	}
	return h
}

// heldAll are those and the ones on gate leaves, whose frames are of wood or tube.
func (g *gathered) heldAll(sides int) held {
	h := g.heldBays(sides)
	frame := section.Section(g.s.Rails.Size)
	if g.s.Gates.Frame != spec.WoodFrame {
		frame = g.s.Gates.FrameSize
	}
	for _, o := range g.l.Openings {
		if n := o.Leaves * sides; g.s.Gates.Frame == spec.WoodFrame {
			h.ends += 2 * n
		} else {
			h.metal.add(frame, 0, 2*n)
		}
		h.pieces += o.Leaves * sides
	}
	return h
}

// fastenedSticks are sawn pieces: those up to 1 in thick take the ring-shank nail
// for what they hold [FAS-2], thicker ones the nail of the rails, as many as a
// rail end; into metal go as many screws as into a rail end (common practice).
func (g *gathered) fastenedSticks(what string, size timber.Size, h held) fastenedUse {
	f := g.s.Fasteners
	u := fastenedUse{what: what, nail: railNailItem(f.RailNail), penny: f.RailNail, nails: f.PerRailEnd, screws: f.ScrewsPerRailEnd, held: h}
	if thickness, _ := size.Dressed(); thickness <= measure.Inch {
		u.penny = spec.NailFor(thickness)
		u.nail = boardNailItem(u.penny)
	}
	return u
}

// Lattice is fastened every so far along the upright edge of a panel, and is
// commonly so thick (common practice).
const (
	latticeSpacing   = 6 * measure.Inch
	latticeThickness = measure.Inch / 2
)

// fastenedLattice is the lattice top, of which each end takes two at least.
func (g *gathered) fastenedLattice() fastenedUse {
	high := g.s.Extras.Lattice
	n := max(int((high+latticeSpacing-1)/latticeSpacing), 2)
	penny := spec.NailFor(latticeThickness)
	return fastenedUse{what: "lattice", nail: boardNailItem(penny), penny: penny, nails: n, screws: n, held: g.heldAll(1),
		steps: []Step{step("extra.lattice", "", length("high", high), length("every", latticeSpacing)).
			rounded(amount(quotient(high, latticeSpacing), "fastener"), "rounded up, at least 2, at each end", amountOf(n, "fastener"))}}
}

// fastened are the nails and screws of all uses: the nails of one size summed
// before they become pounds.
func (g *gathered) fastened(f fastening) []need {
	type nails struct {
		item
		penny string
		*sum
		steps []Step
		whats []string
	}
	var sizes []*nails
	screws := nails{item: screwItem(), sum: newSum("screw")}
	for _, u := range f.uses {
		if u.ends > 0 {
			n := u.ends * u.nails
			at := &nails{item: u.nail, penny: u.penny, sum: newSum("nail")}
			known := false
			for _, s := range sizes {
				if s.name == u.nail.name {
					at, known = s, true
				}
			}
			if !known {
				sizes = append(sizes, at)
			}
			at.steps = append(append(at.steps, u.steps...), step("extra.nails", upper(u.what), count("ends", u.ends, "end"), count("nails", u.nails, "nail")).
				exactly(amountOf(n, "nail")))
			at.add("for "+u.what, whole(n), 1)
			at.whats = append(at.whats, u.what)
		}
		if ends, _ := u.onMetal(); ends > 0 {
			n := ends * u.screws
			screws.steps = append(append(screws.steps, u.steps...), step("extra.screws", upper(u.what), count("ends", ends, "end"), count("screws", u.screws, "screw")).
				exactly(amountOf(n, "screw")))
			screws.add("for "+u.what, whole(n), 1)
			screws.whats = append(screws.whats, u.what)
		}
	}
	var needs []need
	for _, s := range sizes {
		needs = append(needs, usedFor(strings.Join(s.whats, " and "), g.nailPounds(s.item, s.penny, s.sum, s.steps))...)
	}
	if screws.total.Sign() > 0 {
		if len(screws.parts) > 1 {
			screws.steps = append(screws.steps, screws.step("screw.sum"))
		}
		needs = append(needs, need{item: screws.item, net: screws.total, waste: g.s.Waste.Fasteners, steps: screws.steps, use: strings.Join(screws.whats, " and ")})
	}
	return needs
}
