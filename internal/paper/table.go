package paper

// column of a table. One that is tight is as wide as its widest cell; the others
// share what is left.
type column struct {
	head  string
	right bool
	tight bool
}

// row of a table: cells by column, or one text over all of them.
type row struct {
	cells []string
	bold  bool
	// over is a heading within the table; cells are not read.
	over string
	// ruled draws a line above.
	ruled bool
}

// table repeats its heads at the top of every page that it goes over.
type table struct {
	columns []column
	rows    []row
	size    float64
	field   string // whose text the cells are
}

const (
	cellApart = 8
	cellAir   = 2.4 // above and below the text of a row
)

func (p *press) table(t table) {
	wide := p.columnWidths(t)
	p.need(3 * t.size * lineHeight)
	p.tableHead(t, wide)
	for i, r := range t.rows {
		p.in(t.field)
		follows := 0.0
		if r.over != "" && i+1 < len(t.rows) {
			follows = t.size*lineHeight + 2*cellAir // a heading is never the last on its page
		}
		p.tableRow(t, wide, r, follows)
	}
	p.skip(2)
}

// columnWidths are those of the columns, gaps between them left out.
func (p *press) columnWidths(t table) []float64 {
	wide := make([]float64, len(t.columns))
	room := p.room() - cellApart*float64(len(t.columns)-1)
	loose, used := 0, 0.0
	for i, c := range t.columns {
		if !c.tight {
			loose++
			continue
		}
		wide[i] = p.measure(c.head, t.size-1, true)
		for _, r := range t.rows {
			if r.over == "" && i < len(r.cells) {
				wide[i] = max(wide[i], p.measure(clean(r.cells[i]), t.size, r.bold))
			}
		}
		wide[i] += 0.5
		used += wide[i]
	}
	least := 0.0
	if loose > 0 {
		least = 0.3 * room
	}
	if used > room-least { // odd names or huge figures: tight columns give way, and wrap
		for i, c := range t.columns {
			if c.tight {
				wide[i] *= (room - least) / used
			}
		}
		used = room - least
	}
	for i, c := range t.columns {
		if !c.tight {
			wide[i] = (room - used) / float64(loose)
		}
	}
	return wide
}

func (p *press) tableHead(t table, wide []float64) {
	p.in("head")
	size := t.size - 1
	lines, most := make([][]string, len(t.columns)), 1
	for i, c := range t.columns {
		lines[i] = p.wrapped(c.head, size, true, wide[i])
		most = max(most, len(lines[i]))
	}
	height := float64(most)*size*lineHeight + 2*cellAir
	p.band(side, p.y, p.room(), height, wash)
	p.cells(t, wide, lines, 0, most, p.y+cellAir, size, true, grey)
	p.y += height
	p.rule(side, p.width-side, p.y, 0.5, pale)
}

// tableRow prints a row, on the next page where this one has no room for it; one
// that is longer than a page goes on over pages.
func (p *press) tableRow(t table, wide []float64, r row, follows float64) {
	again := func() {
		p.turn()
		p.tableHead(t, wide)
		p.in(t.field)
	}
	pitch := t.size * lineHeight
	if r.over != "" {
		lines := p.wrapped(r.over, t.size, true, p.room())
		if p.y+float64(len(lines))*pitch+2*cellAir+4+follows > p.bottom() {
			again()
		}
		p.skip(4)
		for _, l := range lines {
			p.y += pitch
			p.print(side, p.y-0.25*t.size, l, t.size, true, black)
		}
		p.skip(cellAir)
		return
	}
	lines, most := make([][]string, len(t.columns)), 1
	for i := range t.columns {
		if i < len(r.cells) {
			lines[i] = p.wrapped(r.cells[i], t.size, r.bold, wide[i]+0.01)
			most = max(most, len(lines[i]))
		}
	}
	whole := float64(most)*pitch + 2*cellAir
	if p.y+whole > p.bottom() && whole < p.bottom()-firstBody-40 {
		again()
	}
	if r.ruled {
		p.rule(side, p.width-side, p.y, 0.7, grey)
	}
	for from := 0; from < most; {
		fits := int((p.bottom() - p.y - 2*cellAir) / pitch)
		if fits < 1 {
			again()
			continue
		}
		to := min(most, from+fits)
		p.cells(t, wide, lines, from, to, p.y+cellAir, t.size, r.bold, black)
		p.y += float64(to-from)*pitch + 2*cellAir
		from = to
	}
	p.rule(side, p.width-side, p.y, 0.25, pale)
}

// cells prints lines from one to another of every cell, the first at top.
func (p *press) cells(t table, wide []float64, lines [][]string, from, to int, top, size float64, bold bool, colour string) {
	x := float64(side)
	for i, c := range t.columns {
		for k := from; k < min(to, len(lines[i])); k++ {
			at := x
			if c.right {
				at += wide[i] - p.measure(lines[i][k], size, bold)
			}
			p.print(at, top+float64(k-from+1)*size*lineHeight-0.25*size, lines[i][k], size, bold, colour)
		}
		x += wide[i] + cellApart
	}
}
