package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/takeoff"
)

// derivations are made of these: they are most of what a take-off has.
type derivations struct {
	texts    *texts
	sentence []byte // is written over by the next one

	whole  slab[wattlev1.Derivation]
	steps  slab[wattlev1.Derivation_Step]
	inputs slab[wattlev1.Derivation_Input]
	// What lists them.
	ofSteps  slab[*wattlev1.Derivation_Step]
	ofInputs slab[*wattlev1.Derivation_Input]
}

// derivationsFor has room for the derivations of these lines and leaves.
func derivationsFor(ls *lengths, lines []takeoff.Line, leaves []takeoff.Leaf) *derivations {
	steps, inputs := 0, 0
	count := func(d *takeoff.Derivation) {
		steps += len(d.Steps)
		for i := range d.Steps {
			inputs += len(d.Steps[i].Inputs)
		}
	}
	for i := range lines {
		count(&lines[i].Derivation)
	}
	for i := range leaves {
		count(&leaves[i].Weighing)
	}
	m := ls.workspace()
	return &derivations{
		&ls.texts, make([]byte, 0, 512), m.derivations.slab(len(lines) + len(leaves)),
		m.steps.slab(steps), m.inputs.slab(inputs), m.ofSteps.slab(steps), m.ofInputs.slab(inputs),
	}
}

func (m *derivations) lines(lines []takeoff.Line) []*wattlev1.TakeoffLine {
	made, out := make([]wattlev1.TakeoffLine, len(lines)), make([]*wattlev1.TakeoffLine, len(lines))
	for i := range lines {
		l, p := &lines[i], &made[i]
		p.Item, p.DefaultItem, p.Description = l.Item, l.Default, l.Description
		p.Category, p.Unit, p.OrderUnit = string(l.Category), string(l.Unit), string(l.OrderUnit)
		p.NetQuantity, p.WastePercent = plain(l.Net), plain(l.WastePercent)
		p.Pack, p.OrderQuantity = plain(l.Pack), plain(l.Order)
		p.Derivation = m.derivation(&l.Derivation)
		out[i] = p
	}
	return out
}

func (m *derivations) derivation(d *takeoff.Derivation) *wattlev1.Derivation {
	p := m.whole.next()
	p.Steps = m.ofSteps.cut(len(d.Steps))
	for i := range d.Steps {
		p.Steps[i] = m.step(&d.Steps[i])
	}
	return p
}

func (m *derivations) step(s *takeoff.Step) *wattlev1.Derivation_Step {
	p := m.steps.next()
	p.Rule, p.Source, p.Subject = s.Rule, s.Source, s.Subject
	p.Unrounded, p.Rounding, p.Result = s.Unrounded, s.Rounding, s.Result
	m.sentence = s.AppendSentence(m.sentence[:0])
	p.Sentence = m.texts.of(m.sentence)
	p.Inputs = m.ofInputs.cut(len(s.Inputs))
	for i := range s.Inputs {
		in := m.inputs.next()
		in.Name, in.Value, in.Unit = s.Inputs[i].Name, s.Inputs[i].Value, s.Inputs[i].Unit
		p.Inputs[i] = in
	}
	return p
}
