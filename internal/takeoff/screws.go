package takeoff

import (
	"strings"

	"wattle/internal/section"
	"wattle/internal/spec"
)

// coatings are what fasteners are called that are not hot-dip galvanized, which
// is what an item is that says nothing of it.
var coatings = map[spec.Coating]string{spec.Stainless: "stainless", spec.Bright: "bright"}

// coated is the item of a nail or a screw with the coating of the spec's
// fasteners; every other item stays.
func coated(it item, c spec.Coating) item {
	words := coatings[c]
	if words == "" || strings.HasSuffix(it.name, words) || !strings.HasPrefix(it.name, "nail-") && !strings.HasPrefix(it.name, "screw-") {
		return it
	}
	it.name += "-" + words
	it.description += ", " + words
	return it
}

func bracketItem(post section.Section) item {
	return item{"rail-bracket-" + string(post), "Rail bracket for a post of " + post.Describe(), Hardware, Each, "bracket"}
}

func screwItem() item {
	return item{"screw-self-drilling", "Self-drilling screw", Fasteners, Each, "screw"}
}

// screwed is what holds rails and kick boards at metal posts: a bracket at every
// end of a rail and wherever one goes past, and screws into the post at each.
func (g *gathered) screwed(rails, kicks held) []need {
	var needs []need
	for _, post := range rails.sections() {
		ends, passes := rails.metal.of(post), rails.past.of(post)
		inputs := []Input{count("ends", ends, "end"), {Name: "post", Value: post.Describe()}}
		if passes > 0 {
			inputs = append(inputs, count("passes", passes, ""))
		}
		needs = append(needs, need{item: bracketItem(post), net: whole(ends + passes),
			steps: []Step{step("bracket.count", "", inputs...).exactly(amountOf(ends+passes, "bracket"))}})
	}
	all, per := newSum("screw"), g.s.Fasteners.ScrewsPerRailEnd
	var steps []Step
	for _, use := range []struct {
		what string
		held
	}{{"rails", rails}, {"kick boards", kicks}} {
		ends, passes := use.onMetal()
		if ends+passes == 0 {
			continue
		}
		inputs := []Input{count("ends", ends, "end"), {Name: "what", Value: use.what}}
		if passes > 0 {
			inputs = append(inputs, count("passes", passes, ""))
		}
		n := (ends + passes) * per
		steps = append(steps, step("bracket.screws", "", append(inputs, count("screws", per, "screw"))...).exactly(amountOf(n, "screw")))
		all.add("for "+use.what, whole(n), 1)
	}
	if len(steps) == 0 {
		return nil
	}
	if len(steps) > 1 {
		steps = append(steps, all.step("screw.sum"))
	}
	return append(needs, need{item: coated(screwItem(), g.s.Fasteners.Coating), net: all.total, waste: g.s.Waste.Fasteners, steps: steps})
}
