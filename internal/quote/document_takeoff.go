package quote

import (
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// writeTakeoff leaves out what is not told of what came with rules version 3. A
// delivery and what leaves weigh are counted whatever the spec, but before that
// version they are no part of a quote.
func writeTakeoff(c *canon, t *takeoff.Takeoff, rules int) {
	options := rules > landVersion
	c.in("takeoff", '{')
	writeCautions(c, t.Cautions)
	c.in("cuts", '[')
	for _, p := range t.Cuts {
		writeCuts(c, p)
	}
	c.end(']')
	if options {
		writeDelivery(c, t.Delivery)
	}
	c.in("faces", '[')
	for _, f := range t.Faces {
		writeFace(c, f)
	}
	c.end(']')
	c.length("gate_length", t.GateLength)
	c.in("leaves", '[')
	for _, l := range t.Leaves {
		c.begin('{')
		writeBoarding(c, l.Boarding)
		c.length("brace", l.Brace)
		if options {
			c.text("frame", string(l.Frame))
		}
		c.int("hinges", int64(l.Hinges))
		c.int("leaves", int64(l.Leaves))
		c.int("opening", int64(l.Opening))
		c.length("rail", l.Rail)
		c.int("rails", int64(l.Rails))
		c.length("stile", l.Stile)
		c.lengthUnlessZero("upright", l.Upright)
		c.intUnlessZero("uprights", l.Uprights)
		if options {
			writeDerivation(c, "weighing", l.Weighing)
			c.decimal("weight", l.Weight)
		}
		c.end('}')
	}
	c.end(']')
	c.in("lines", '[')
	for _, l := range t.Lines {
		writeTakeoffLine(c, l)
	}
	c.end(']')
	writeMovement(c, t.Movement)
	c.length("net_length", t.NetLength)
	writeWork(c, t.Work)
	c.end('}')
}

func readTakeoff(t tree, rules int) *takeoff.Takeoff {
	out := &takeoff.Takeoff{Cautions: readCautions(t), NetLength: t.length("net_length"), GateLength: t.length("gate_length")}
	out.Delivery, out.Movement, out.Work = readDelivery(t), readMovement(t), readWork(t)
	for _, p := range t.all("cuts") {
		out.Cuts = append(out.Cuts, readCuts(p))
	}
	for _, f := range t.all("faces") {
		out.Faces = append(out.Faces, readFace(f))
	}
	for _, l := range t.all("leaves") {
		leaf := takeoff.Leaf{
			Opening: l.int("opening"), Leaves: l.int("leaves"), Frame: spec.WoodFrame, Stile: l.length("stile"), Rail: l.length("rail"),
			Brace: l.length("brace"), Upright: l.lengthOrZero("upright"), Rails: l.int("rails"), Uprights: l.intOrZero("uprights"),
			Hinges: l.int("hinges"), Boarding: readBoarding(l.at("boarding")),
		}
		if rules > landVersion {
			leaf.Frame, leaf.Weight, leaf.Weighing = spec.Frame(l.text("frame")), l.decimal("weight"), readDerivation(l, "weighing")
		}
		out.Leaves = append(out.Leaves, leaf)
	}
	for _, l := range t.all("lines") {
		out.Lines = append(out.Lines, readTakeoffLine(l))
	}
	return out
}

// writeFace leaves out what is zero of the fields that came with rules version
// 2.
func writeFace(c *canon, f takeoff.Face) {
	c.begin('{')
	c.intUnlessZero("bay", f.Bay)
	writeBoarding(c, f.Boarding)
	c.length("finish_reach", f.FinishReach)
	c.bool("from_finish", f.FromFinish)
	c.list("longer", len(f.Longer), func(i int) {
		c.int("bay", int64(f.Longer[i].Bay))
		c.int("boards", int64(f.Longer[i].Boards))
		c.length("stock", f.Longer[i].Stock)
	})
	c.length("start_reach", f.StartReach)
	c.boolUnlessFalse("stepped", f.Stepped)
	c.int("stretch", int64(f.Stretch))
	c.end('}')
}

func readFace(t tree) takeoff.Face {
	f := takeoff.Face{
		Stretch: t.int("stretch"), Stepped: t.boolOrFalse("stepped"), Bay: t.intOrZero("bay"),
		StartReach: t.length("start_reach"), FinishReach: t.length("finish_reach"),
		FromFinish: t.bool("from_finish"), Boarding: readBoarding(t.at("boarding")),
	}
	for _, l := range t.allOrNone("longer") {
		f.Longer = append(f.Longer, takeoff.Longer{Bay: l.int("bay"), Boards: l.int("boards"), Stock: l.length("stock")})
	}
	return f
}

// writeBoarding leaves out what is zero of the two rows of boards, which came
// with rules version 3.
func writeBoarding(c *canon, b takeoff.Boarding) {
	c.in("boarding", '{')
	c.intUnlessZero("back", b.Back)
	c.int("boards", int64(b.Boards))
	c.length("end_gap", b.EndGap)
	c.intUnlessZero("front", b.Front)
	c.length("gap", b.Gap)
	c.bool("opened", b.Opened)
	c.lengthUnlessZero("overlap", b.Overlap)
	c.length("rip", b.Rip)
	c.int("ripped", int64(b.Ripped))
	c.length("width", b.Width)
	c.end('}')
}

func readBoarding(t tree) takeoff.Boarding {
	return takeoff.Boarding{
		Width: t.length("width"), Boards: t.int("boards"), Gap: t.length("gap"), Ripped: t.int("ripped"),
		Rip: t.length("rip"), EndGap: t.length("end_gap"), Opened: t.bool("opened"),
		Back: t.intOrZero("back"), Front: t.intOrZero("front"), Overlap: t.lengthOrZero("overlap"),
	}
}

func writeTakeoffLine(c *canon, l takeoff.Line) {
	c.begin('{')
	c.text("category", string(l.Category))
	c.text("default", l.Default)
	writeDerivation(c, "derivation", l.Derivation)
	c.text("description", l.Description)
	c.text("item", l.Item)
	c.decimal("net", l.Net)
	c.decimal("order", l.Order)
	c.textUnlessEmpty("order_unit", string(l.OrderUnit))
	c.decimal("pack", l.Pack)
	c.text("unit", string(l.Unit))
	c.decimal("waste_percent", l.WastePercent)
	c.end('}')
}

func readTakeoffLine(t tree) takeoff.Line {
	l := takeoff.Line{
		Item: t.text("item"), Default: t.text("default"), Description: t.text("description"),
		Category: takeoff.Category(t.text("category")), Unit: takeoff.Unit(t.text("unit")),
		Net: t.decimal("net"), WastePercent: t.decimal("waste_percent"), Pack: t.decimal("pack"), Order: t.decimal("order"),
	}
	l.OrderUnit = takeoff.Unit(t.textOrEmpty("order_unit"))
	l.Derivation = readDerivation(t, "derivation")
	return l
}

func writeDerivation(c *canon, key string, d takeoff.Derivation) {
	c.in(key, '[')
	for _, s := range d.Steps {
		c.begin('{')
		c.in("inputs", '[')
		for _, i := range s.Inputs {
			c.begin('{')
			c.text("name", i.Name)
			c.text("unit", i.Unit)
			c.text("value", i.Value)
			c.end('}')
		}
		c.end(']')
		c.text("result", s.Result)
		c.text("rounding", s.Rounding)
		c.text("rule", s.Rule)
		c.text("source", s.Source)
		c.text("subject", s.Subject)
		c.text("unrounded", s.Unrounded)
		c.end('}')
	}
	c.end(']')
}

func readDerivation(t tree, key string) takeoff.Derivation {
	var d takeoff.Derivation
	for _, s := range t.all(key) {
		step := takeoff.Step{
			Rule: s.text("rule"), Source: s.text("source"), Subject: s.text("subject"),
			Unrounded: s.text("unrounded"), Rounding: s.text("rounding"), Result: s.text("result"),
		}
		for _, i := range s.all("inputs") {
			step.Inputs = append(step.Inputs, takeoff.Input{Name: i.text("name"), Value: i.text("value"), Unit: i.text("unit")})
		}
		d.Steps = append(d.Steps, step)
	}
	return d
}
