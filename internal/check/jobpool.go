package check

import (
	"cmp"
	"fmt"

	"wattle/internal/spec"
)

// pool holds the fence against the limits of a pool barrier.
func (c *collector) pool() {
	p, s, l := c.job.Conditions.Pool, c.job.Spec, c.job.Layout
	if p == nil {
		return
	}
	limits := PoolDefaults()
	limits.Height, limits.Mesh = cmp.Or(p.MinHeight, limits.Height), cmp.Or(p.MaxMesh, limits.Mesh)
	chainLink, gates := s.Family == spec.ChainLink, len(l.Openings) > 0
	mesh, slatted := p.Mesh, p.Slatted
	if own := s.Details.Length("mesh"); chainLink {
		slatted = slatted || s.Details.On("slats")
		if mesh == nil && own > 0 {
			mesh = &own
		}
	}
	b := Barrier{
		Height: &s.Height, HasDeck: &p.OverDeck, VerticalGap: p.LargestGap, RailSpacing: p.RailsApart,
		ChainLink: &chainLink, Slatted: &slatted, Mesh: mesh,
		HasGate: &gates, OpensOutward: p.OpensOutward, SelfClosing: p.SelfClosing, SelfLatching: p.SelfLatching,
		LatchHeight: p.LatchHeight, LatchBelowTop: p.LatchBelowTop, LatchOpening: p.LatchOpening,
		RailsOn: sideOf(p.RailsInside), LatchOn: sideOf(p.LatchInside),
	}
	if gap := p.BottomGap; p.OverDeck {
		b.GapOverDeck = gap
	} else {
		b.GapOverGrade = gap
		if gap == nil {
			under := *s.GroundClearance
			for _, bay := range l.Bays {
				under = max(under, bay.MostGap-bay.Fill)
			}
			b.GapOverGrade = &under
		}
	}
	if b.VerticalGap == nil && s.HasBoards() && s.Family == spec.VerticalBoards {
		gap := s.Boards.Gap
		if s.Boards.Pattern == spec.BoardOnBoard || s.Boards.Pattern == spec.ShadowBox {
			gap = 0
		}
		b.VerticalGap = &gap
	}
	if centres := s.RailCentres(); b.RailSpacing == nil && s.HasRails() && len(centres) > 1 {
		least := centres[1] - centres[0]
		b.RailSpacing = &least
	}
	results, err := b.Check(limits)
	for i, r := range results {
		switch own := s.Details.Length("mesh"); {
		case r.Code == PoolHeight && p.MinHeight > 0:
			results[i] = r.from(poolSource+"; the height as stated by the job", "as stated")
		case r.Code == PoolMesh && p.MaxMesh > 0:
			r = r.from(poolSource+"; the mesh as stated by the job", "as stated")
			fallthrough
		case r.Code == PoolMesh:
			if chainLink && p.Mesh != nil && *p.Mesh != own {
				r.Text = fmt.Sprintf("The mesh as measured, %s, is held against the limit, not the spec's %s. %s", p.Mesh.Inches(3), own.Inches(3), r.Text)
			}
			results[i] = r
		}
	}
	c.add(PoolHeight, err, results...)
}

func sideOf(inside *bool) Side {
	switch {
	case inside == nil:
		return ""
	case *inside:
		return PoolSide
	default:
		return OuterSide
	}
}
