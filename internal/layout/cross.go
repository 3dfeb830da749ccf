package layout

func (p *planner) cautionCrossings() {}
