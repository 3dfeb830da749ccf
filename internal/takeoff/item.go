package takeoff

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
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

// Candidates is every item, after spec.Items, that the take-off of this layout
// may ask a price for, sorted: the chosen posts, every rail stock (and kick
// board stock, where there are any), boards, nails, bags, gravel, caps, gate
// parts, and the labour items.
func Candidates(l *layout.Layout, s spec.Spec) []string {
	var names []string
	for _, it := range items(l, s) {
		names = append(names, it.bookName(s))
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// bookName is the name of the item in the company's price book.
func (it item) bookName(s spec.Spec) string {
	if own := s.Items[it.name]; own != "" {
		return own
	}
	return it.name
}

// items is every candidate, in the order of the lines' categories.
func items(l *layout.Layout, s spec.Spec) []item {
	var all []item
	posts := postKinds(l)
	for _, p := range posts.kinds {
		all = append(all, postItem(p.size, p.stock))
	}
	for _, stock := range s.Rails.Stock {
		all = append(all, railItem(s.Rails.Size, stock))
	}
	if slices.ContainsFunc(l.Bays, func(b layout.Bay) bool { return courses(b, s) > 0 }) {
		for _, stock := range s.Rails.Stock {
			all = append(all, kickItem(s.Slope.KickSize, stock))
		}
	}
	for _, stock := range append([]measure.Length{s.Boards.Stock}, longerStocks(l, s)...) {
		all = append(all, boardItem(s.Boards.Size, stock))
	}
	if len(holes(l, s.Concrete).kinds) > 0 {
		all = append(all, concreteItem(s.Concrete))
	}
	if slices.ContainsFunc(l.Posts, func(p layout.Post) bool { return p.Hole.Gravel > 0 && !p.Existing }) {
		all = append(all, gravelItem())
	}
	all = append(all, boardNailItem(s.Fasteners.BoardNail), railNailItem(s.Fasteners.RailNail))
	if capped(s) {
		for _, size := range postSizes(l).kinds {
			all = append(all, capItem(size))
		}
	}
	if len(l.Openings) > 0 {
		all = append(all, hingeItem(), latchItem())
		if slices.ContainsFunc(l.Openings, func(o layout.Opening) bool { return o.Leaves == 2 }) {
			all = append(all, dropRodItem())
		}
	}
	if !s.Labour.Exclude {
		all = append(all, crewItem(), fenceRateItem())
		if len(l.Openings) > 0 {
			all = append(all, gateRateItem())
		}
	}
	return all
}

func postItem(size timber.Size, stock measure.Length) item {
	return item{"post-" + string(size) + "-" + lengthName(stock), "Post " + string(size) + ", " + stock.String(), Posts, Each, "post"}
}

func railItem(size timber.Size, stock measure.Length) item {
	return item{"rail-" + string(size) + "-" + lengthName(stock), "Rail " + string(size) + ", " + stock.String(), Rails, Each, "stick"}
}

func kickItem(size timber.Size, stock measure.Length) item {
	return item{"kick-" + string(size) + "-" + lengthName(stock), "Kick board " + string(size) + ", " + stock.String(), Rails, Each, "stick"}
}

func boardItem(size timber.Size, stock measure.Length) item {
	return item{"board-" + string(size) + "-" + lengthName(stock), "Board " + string(size) + ", " + stock.String(), Boards, Each, "board"}
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

func capItem(size timber.Size) item {
	return item{"cap-" + string(size), "Post cap " + string(size), Caps, Each, "cap"}
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
	text := l.In(measure.Millimetre, 6)
	switch {
	case l%measure.Foot == 0:
		text = l.In(measure.Foot, 0)
	case l%measure.SixtyFourth == 0:
		text = l.In(measure.Inch, 6)
	}
	return strings.ReplaceAll(text, " ", "")
}

// itemName is the form of every name the take-off gives by rule; the package
// comment lists them.
var itemName = regexp.MustCompile(`^(` +
	`(post|rail|kick|board)-\d+(/\d+)?x\d+-[0-9.]+(ft|in|mm)|` +
	`concrete-\d+lb|gravel|nail-\d+d(-ring)?|cap-\d+x\d+|` +
	`gate-(hinge|latch|drop-rod)|crew-hour|rate-(fence|gate))$`)

// checkItems lists what makes the candidates and their offers unusable: two
// items under one name, an offer in another unit, a pack or a price below
// zero.
func checkItems(all []item, s spec.Spec, offers map[string]Offer) error {
	var v fault.List
	for _, name := range slices.Sorted(maps.Keys(s.Items)) {
		v.Require(itemName.MatchString(name), "spec.items["+name+"]", "expected the name of something a take-off buys, such as rail-2x4-16ft or gravel")
	}
	owner := make(map[string]item, len(all))
	for _, it := range all {
		name := it.bookName(s)
		if first, taken := owner[name]; taken && first.name != it.name {
			v.Add("spec.items["+it.name+"]", "expected a name of its own, found %q, which is also the name of %s", name, first.name)
			continue
		}
		owner[name] = it
		offer, offered := offers[name]
		if !offered {
			continue
		}
		prices := v.At("prices[" + name + "]")
		prices.Require(offer.Unit == it.unit, "unit", "expected %q, found %q", it.unit, offer.Unit)
		prices.Require(!offer.Pack.IsNeg(), "pack", "expected a pack above zero, found %s", offer.Pack)
		prices.Require(!offer.Price.IsNeg(), "price", "expected zero or more, found %s", offer.Price)
	}
	return v.Err()
}

// compareLines orders lines by category, then by item.
func compareLines(a, b Line) int {
	order := Categories()
	return cmp.Or(
		cmp.Compare(slices.Index(order, a.Category), slices.Index(order, b.Category)),
		cmp.Compare(a.Item, b.Item))
}
