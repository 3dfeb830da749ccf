package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/layout"
	"wattle/internal/takeoff"
)

// takeoffToProto joins the layout's cautions with the count's.
func takeoffToProto(ls *lengths, t *takeoff.Takeoff, l *layout.Layout) *wattlev1.Takeoff {
	p := &wattlev1.Takeoff{
		CutPlans:   make([]*wattlev1.CutPlan, len(t.Cuts)),
		NetLength:  ls.of(t.NetLength),
		GateLength: ls.of(t.GateLength),
		Cautions:   append(cautionsToProto(l.Cautions...), cautionsToProto(t.Cautions...)...),
		Faces:      make([]*wattlev1.Face, len(t.Faces)),
		GateLeaves: make([]*wattlev1.GateLeaf, len(t.Leaves)),
		Movement:   movementToProto(ls, t.Movement),
		Work:       workToProto(t.Work),
		Delivery:   &wattlev1.Delivery{Pounds: plain(t.Delivery.Pounds), Unweighed: t.Delivery.Unweighed},
	}
	told := derivationsFor(ls, t.Lines, t.Leaves)
	p.Lines = told.lines(t.Lines)
	plans := make([]wattlev1.CutPlan, len(t.Cuts))
	for i := range t.Cuts {
		p.CutPlans[i] = cutPlanToProto(ls, &plans[i], &t.Cuts[i], l)
	}
	boardings := make(slab[wattlev1.Boarding], len(t.Faces)+len(t.Leaves))
	faces := make([]wattlev1.Face, len(t.Faces))
	for i, f := range t.Faces {
		p.Faces[i] = &faces[i]
		faces[i] = wattlev1.Face{
			Stretch: int32(f.Stretch), StartReach: ls.of(f.StartReach), FinishReach: ls.of(f.FinishReach),
			FromFinish: f.FromFinish, Boarding: boardingToProto(ls, boardings.next(), f.Boarding), Stepped: f.Stepped, Bay: int32(f.Bay),
		}
		for _, l := range f.Longer {
			p.Faces[i].Longer = append(p.Faces[i].Longer, &wattlev1.Face_Longer{Bay: int32(l.Bay), Boards: int32(l.Boards), Stock: ls.of(l.Stock)})
		}
	}
	leaves := make([]wattlev1.GateLeaf, len(t.Leaves))
	for i, leaf := range t.Leaves {
		p.GateLeaves[i] = &leaves[i]
		leaves[i] = wattlev1.GateLeaf{
			Gate: l.Openings[leaf.Opening].Gate, Leaves: int32(leaf.Leaves),
			Stile: ls.of(leaf.Stile), Rail: ls.of(leaf.Rail), Brace: ls.of(leaf.Brace),
			RailCount: int32(leaf.Rails), HingeCount: int32(leaf.Hinges), Boarding: boardingToProto(ls, boardings.next(), leaf.Boarding),
			Frame: frames.wire[leaf.Frame], Upright: ls.of(leaf.Upright), UprightCount: int32(leaf.Uprights),
			Weight: plain(leaf.Weight), Weighing: told.derivation(&leaf.Weighing),
		}
	}
	return p
}

func boardingToProto(ls *lengths, p *wattlev1.Boarding, b takeoff.Boarding) *wattlev1.Boarding {
	*p = wattlev1.Boarding{
		Width: ls.of(b.Width), Boards: int64(b.Boards), Gap: ls.of(b.Gap),
		Ripped: int32(b.Ripped), Rip: ls.of(b.Rip), EndGap: ls.of(b.EndGap), Opened: b.Opened,
		Back: int64(b.Back), Front: int64(b.Front),
	}
	if b.Overlap != 0 {
		p.Overlap = ls.of(b.Overlap)
	}
	return p
}

func movementToProto(ls *lengths, m *takeoff.Movement) *wattlev1.Movement {
	if m == nil {
		return nil
	}
	return &wattlev1.Movement{
		Species: m.Species, Installed: m.Installed.String(), Service: m.Service.String(), Form: m.Form, Capped: m.Capped,
		Width: ls.of(m.Width), Change: ls.of(m.Change), AdvisedGap: ls.of(m.AdvisedGap), Gap: ls.of(m.Gap),
		ServiceGap: ls.of(m.ServiceGap), Push: ls.of(m.Push),
	}
}

func workToProto(w *takeoff.Work) *wattlev1.Work {
	if w == nil {
		return nil
	}
	p := &wattlev1.Work{
		Tasks: make([]*wattlev1.Work_Task, len(w.Tasks)), Hours: plain(w.Hours), Days: plain(w.Days),
		Crew: int32(w.Crew), HoursPerDay: plain(w.HoursPerDay),
	}
	for i, t := range w.Tasks {
		p.Tasks[i] = &wattlev1.Work_Task{
			Name: t.Name, Item: t.Item, Quantity: plain(t.Quantity), Unit: t.Unit, Rate: plain(t.Rate), Hours: plain(t.Hours),
		}
		for _, f := range t.Factors {
			p.Tasks[i].Factors = append(p.Tasks[i].Factors, &wattlev1.Work_Factor{Item: f.Item, Value: plain(f.Value)})
		}
	}
	return p
}

func cutPlanToProto(ls *lengths, p *wattlev1.CutPlan, c *takeoff.CutPlan, l *layout.Layout) *wattlev1.CutPlan {
	*p = wattlev1.CutPlan{
		Use:      c.Use,
		Stocks:   make([]*wattlev1.CutPlan_Stock, len(c.Stocks)),
		Patterns: make([]*wattlev1.CutPlan_Pattern, len(c.Plan.Patterns)),
		Cost:     plain(c.Plan.Cost), LowerBound: plain(c.Plan.LowerBound), Proven: c.Plan.Proven,
		Bought: ls.of(c.Plan.Bought), Used: ls.of(c.Plan.Used), Waste: ls.of(c.Plan.Waste),
	}
	for _, j := range c.Joints {
		joint := &wattlev1.CutPlan_Joint{Stretch: int32(j.Stretch), Course: int32(j.Course)}
		for _, post := range j.Posts {
			joint.Posts = append(joint.Posts, l.Posts[post].ID)
		}
		p.Joints = append(p.Joints, joint)
	}
	stocks := make([]wattlev1.CutPlan_Stock, len(c.Stocks))
	for i, s := range c.Stocks {
		p.Stocks[i] = &stocks[i]
		stocks[i] = wattlev1.CutPlan_Stock{
			Item: s.Item, Length: ls.of(s.Length), Price: plain(s.Price), Sticks: int64(c.Plan.Sticks[i]),
		}
	}
	patterns := make([]wattlev1.CutPlan_Pattern, len(c.Plan.Patterns))
	for i, pattern := range c.Plan.Patterns {
		p.Patterns[i] = &patterns[i]
		patterns[i] = wattlev1.CutPlan_Pattern{Stock: int32(pattern.Stock), Cuts: ls.list(pattern.Cuts), Times: int64(pattern.Times)}
	}
	return p
}
