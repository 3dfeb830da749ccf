package render

import (
	"slices"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// Sheet is a drawing on one sheet of paper, in points. Marks stand in the order
// in which they are painted.
type Sheet struct {
	Width, Height float64
	Marks         []Mark
}

// PlanSheets is the drawing of PlanSVG: a sheet, and further ones for what had
// no room on it and is listed.
func PlanSheets(st site.Site, l *layout.Layout, o PlanOptions) ([]Sheet, error) {
	p, err := drawPlan(st, l, o)
	if err != nil {
		return nil, err
	}
	size := p.sheet.size
	sheets := make([]Sheet, max(1, int(p.size.y/size.y+0.5)))
	for i := range sheets {
		sheets[i] = Sheet{Width: size.x, Height: size.y}
	}
	for _, m := range p.draw.shapes { // of the first sheet, all of them
		if !m.between {
			sheets[0].Marks = append(sheets[0].Marks, m)
		}
	}
	for _, m := range p.draw.texts {
		i := min(int(m.Y/size.y), len(sheets)-1)
		m.Y -= float64(i) * size.y
		sheets[i].Marks = append(sheets[i].Marks, m)
	}
	return sheets, nil
}

// CrewSheets are the pages of CrewSheetSVG.
func CrewSheets(st site.Site, l *layout.Layout, o CrewOptions) ([]Sheet, error) {
	c, err := drawCrewSheet(st, l, o)
	if err != nil {
		return nil, err
	}
	sheets := make([]Sheet, c.count)
	for i := range sheets {
		sheets[i] = Sheet{Width: c.size.x, Height: c.size.y}
	}
	for _, marks := range [][]Mark{c.shapes, c.texts} {
		at := -1
		for _, m := range marks {
			switch {
			case m.turn:
				at++
			case !m.between:
				sheets[at].Marks = append(sheets[at].Marks, m)
			}
		}
	}
	return slices.Clip(sheets), nil
}
