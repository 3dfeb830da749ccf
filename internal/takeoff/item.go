package takeoff

import (
	"maps"
	"regexp"
	"slices"
	"strconv"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// item is something the take-off may ask a price for, under its default name.
type item struct {
	name, description string
	category          Category
	unit              Unit
	// noun is one of them in a sentence: "board". Units that are no count
	// leave it empty.
	noun string
}

// bookName is the name of the item in the company's price book.
func (it item) bookName(s *spec.Spec) string {
	if own := s.Items[it.name]; own != "" {
		return own
	}
	return it.name
}

// postItem is a post; as tells those of one size apart, "" where they are alike.
func postItem(size section.Section, as string, stock measure.Length) item {
	name, words := "post-"+string(size), "Post "+size.Describe()
	if as != "" {
		name, words = name+"-"+as, words+", "+as
	}
	return ofLength(name, words, stock, Posts, "post")
}

func railItem(size timber.Size, stock measure.Length) item {
	return ofLength("rail-"+string(size), "Rail "+string(size), stock, Rails, "stick")
}

func kickItem(size timber.Size, stock measure.Length) item {
	return ofLength("kick-"+string(size), "Kick board "+string(size), stock, Rails, "stick")
}

func boardItem(size timber.Size, stock measure.Length) item {
	return ofLength("board-"+string(size), "Board "+string(size), stock, Boards, "board")
}

func concreteItem(c spec.Concrete) item {
	pounds := strconv.Itoa(c.BagPounds)
	return item{"concrete-" + pounds + "lb", "Concrete mix, bag of " + pounds + " lb", Concrete, Bag, "bag"}
}

func gravelItem() item { return item{"gravel", "Gravel", Gravel, CubicFoot, ""} }

func boardNailItem(penny string) item {
	return item{"nail-" + penny + "-ring", "Nail " + penny + ", ring shank", Fasteners, Pound, ""}
}

func railNailItem(penny string) item {
	return item{"nail-" + penny, "Nail " + penny, Fasteners, Pound, ""}
}

func capItem(size section.Section) item {
	return item{"cap-" + string(size), "Post cap " + size.Describe(), Caps, Each, "cap"}
}

func hingeItem() item { return item{"gate-hinge", "Gate hinge", GateParts, Each, "hinge"} }

func latchItem() item {
	return item{"gate-latch", "Gate latch, works from both sides", GateParts, Each, "latch"}
}

func dropRodItem() item {
	return item{"gate-drop-rod", "Drop rod with ground sleeve", GateParts, Each, "drop rod"}
}

func crewItem() item { return item{"crew-hour", "Crew hour", Labour, Hour, "hour"} }

func fenceRateItem() item {
	return item{"rate-fence", "Crew-hours per foot of fence", Labour, HourPerFoot, ""}
}

func gateRateItem() item {
	return item{"rate-gate", "Crew-hours per gate leaf", Labour, HourPerLeaf, ""}
}

// lengthName is a length inside an item's name: 8ft, 92.625in, 2400mm.
func lengthName(l measure.Length) string {
	var room [shortText]byte
	return string(appendLengthName(room[:0], l))
}

func appendLengthName(b []byte, l measure.Length) []byte {
	switch {
	case l%measure.Foot == 0:
		return l.AppendJoined(b, measure.Foot, 0)
	case l%measure.SixtyFourth == 0:
		return l.AppendJoined(b, measure.Inch, 6)
	default:
		return l.AppendJoined(b, measure.Millimetre, 6)
	}
}

// ofLength is what is bought by its length: "rail-2x4-8ft", "Rail 2x4, 8 ft".
func ofLength(name, words string, long measure.Length, c Category, noun string) item {
	var room [64]byte
	named := string(appendLengthName(append(append(room[:0], name...), '-'), long))
	return item{named, string(long.AppendTo(append(append(room[:0], words...), ", "...))), c, Each, noun}
}

// itemName is the form of every name the take-off gives by rule; the package
// comment lists them.
var itemName = regexp.MustCompile(`^(` +
	`(post|rail|kick|board)-\d+(/\d+)?x\d+-[0-9.]+(ft|in|mm)|` +
	`concrete-\d+lb|gravel|nail-\d+d(-ring)?(-stainless|-bright)?|rail-bracket-[0-9a-z.]+|screw-[a-z]+(-drilling)?(-stainless|-bright)?|cap-\d+x\d+|` +
	`(capboard|trim)-\d+(/\d+)?x\d+-[0-9.]+(ft|in|mm)|lattice-[0-9.]+(ft|in|mm)-[0-9.]+(ft|in|mm)|` +
	`stain|haul-(volume|weight)|equipment-[a-z0-9-]+|(rate|factor)-[a-z0-9-]+|` +
	`post-([0-9.]+(od|rd|sq|vinyl)|tee)-[0-9.]+(ft|in|mm)|` +
	`(fabric|tension-(bar|wire|band)|barbed-wire|slats|chain-rail|rail-(end|sleeve|clamp)|tie|hog-ring|brace-band|carriage-bolt|(loop|dome)-cap|barb-arm)(-[a-z0-9./]+)*|` + // chain link
	`((woven|high-tensile|brace)-wire|wire-(stay|strainer)|tee-clip|fence-staple|brace-(post|rail|pin))(-[a-z0-9./]+)*|` + // wire
	`post-[0-9a-z./]+-(line|end|corner|tee|cross)-[0-9.]+(ft|in|mm)|cap-[0-9.]+(od|rd|sq|vinyl)|split-rail-[a-z]+-[0-9.]+(ft|in|mm)|` + // mortised and routed posts
	`panel-(ornamental-metal|vinyl|wood)-[0-9.]+(ft|in|mm)-[0-9.]+(ft|in|mm)|bracket-panel|screw-(panel|board)|` +
	`gate-(hinge-(box|bolt-hook)|roller|catch|end-stop|(corner|tee)-[0-9.]+(od|sq)|leaf-tube-[0-9.]+(ft|in|mm))|tube-[0-9.]+(od|sq)-[0-9.]+(ft|in|mm)|` + // gates
	`gate-(hinge|latch|drop-rod)|(crew|labour)-hour)$`)

// checkItems lists what makes the candidates and their offers unusable: two
// items under one name, an offer in another unit, a pack or a price below
// zero.
func (g *gathered) checkItems(all []*item, offers map[string]Offer) error {
	var v fault.List
	s := g.s
	for _, name := range slices.Sorted(maps.Keys(s.Items)) {
		v.Require(itemName.MatchString(name), "spec.items["+name+"]", "expected the name of something a take-off buys, such as rail-2x4-16ft or gravel")
	}
	names := make([]string, len(all)) // a few dozen, and sooner looked through than hashed
	for i, it := range all {
		name := it.bookName(s)
		names[i] = name
		if first := slices.Index(names, name); all[first].name != it.name {
			v.Add("spec.items["+it.name+"]", "expected a name of its own, found %q, which is also the name of %s", name, all[first].name)
			continue
		} else if first < i {
			continue // told of already
		}
		offer, offered := offers[name]
		if !offered {
			continue
		}
		prices := func() *fault.List { return v.At("prices[" + name + "]") } // its name is made where something is wrong
		if g.rules > 0 && g.rules <= oneUnit {
			if offer.Unit != it.unit {
				prices().Add("unit", "expected %q, found %q", it.unit, offer.Unit)
			}
		} else if refusal := offer.Refusal(it.unit); refusal != "" {
			prices().Add("unit", "%s", refusal)
		}
		if offer.Pack.IsNeg() {
			prices().Add("pack", "expected a pack above zero, found %s", offer.Pack)
		}
		if offer.Price.IsNeg() {
			prices().Add("price", "expected zero or more, found %s", offer.Price)
		}
	}
	return v.Err()
}

// byItem orders lines by category, then by item. They are too large to be handed to
// a comparison.
type byItem []Line

func (l byItem) Len() int      { return len(l) }
func (l byItem) Swap(i, j int) { l[i], l[j] = l[j], l[i] }

func (l byItem) Less(i, j int) bool {
	a, b := &l[i], &l[j]
	if a.Category != b.Category {
		return a.Category.rank() < b.Category.rank()
	}
	return a.Item < b.Item
}
