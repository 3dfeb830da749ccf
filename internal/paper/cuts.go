package paper

import "wattle/internal/render"

// sawCaution stands at the head of every cut list.
const sawCaution = "Check every length on site before cutting. Wear eye protection and a dust mask, keep guards on saws, " +
	"do not rip free-hand, and do not burn off-cuts of treated wood."

// cutList is what is cut from which sticks.
func (p *press) cutList(in Input) error {
	if err := p.openWith(in.Template, "Cut list"); err != nil {
		return err
	}
	p.parties(in, p.facts(in))
	p.skip(10)
	p.in("quote.takeoff")
	p.paragraph(sawCaution, 9, true, black)
	p.skip(2)
	s := in.Request.Spec.WithDefaults()
	p.paragraph("Each saw cut takes "+in.Template.Measures.Words(*s.Kerf)+". Lengths are to 1/16 in or 1 mm.", 8.5, false, grey)
	tables := render.CutTables(in.Quote.Takeoff, in.Template.Measures)
	if len(tables) == 0 {
		p.skip(8)
		p.paragraph("Nothing is cut from sticks.", bodySize, false, black)
	}
	for _, c := range tables {
		p.in("quote.takeoff")
		p.heading(upperFirst(c.Use), 60)
		t := table{size: 9, field: "quote.takeoff", columns: []column{{head: "done", tight: true}, {head: "sticks", right: true, tight: true}, {head: "stock", tight: true}, {head: "cut into"}}}
		for _, r := range c.Rows {
			t.rows = append(t.rows, row{cells: []string{"[   ]", r[0], r[1], r[2]}})
		}
		p.table(t)
		p.in("quote.takeoff")
		p.skip(2)
		p.paragraph(c.Sum, 8.5, false, black)
		if len(c.Joints) > 0 {
			p.skip(3)
			p.paragraph(render.JointsHeading, 8.5, true, black)
			for _, l := range c.Joints {
				p.indented("\u2022", l, 8.5, false, black)
			}
		}
	}
	return nil
}
