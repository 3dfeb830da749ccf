package render

// What must be told and has no room where it belongs is listed: in a block on
// the drawing where that leaves enough of the sheet blank, or on sheets below.
const (
	listHeading = "Without room beside the fence"
	listPitch   = 9.5
	listApart   = 14 // between columns
)

// listWide is the width of a column of the list.
func (p *plan) listWide() float64 {
	wide := textWidth(listHeading, labelSize)*1.1 + listApart
	for _, words := range p.listed {
		wide = max(wide, textWidth(words, labelSize)+listApart)
	}
	return min(wide, p.sheet.size.x-2*margin)
}

// listBeside writes the list on the drawing, and reports whether it has room.
func (p *plan) listBeside() bool {
	wide := p.listWide()
	for columns := 1; columns <= min(3, len(p.listed)); columns++ {
		rows := (len(p.listed) + columns - 1) / columns
		size := vec{wide * float64(columns), listPitch * float64(rows+1)}
		corner, found := p.blank(size)
		if !found {
			continue
		}
		at := func(column, row int) vec {
			return corner.add(vec{float64(column) * wide, (float64(row) + 0.5) * listPitch})
		}
		p.write(at(0, 0), listHeading, labelSize, wide-listApart+4, true)
		for i, words := range p.listed {
			p.write(at(i/rows, i%rows+1), words, labelSize, wide-listApart+4, false)
		}
		return true
	}
	return false
}

// blank is the upper left corner of a part of the frame of a size where nothing
// is drawn, as low as there is one.
func (p *plan) blank(size vec) (corner vec, found bool) {
	const step, around = 6, 8
	for y := p.high.y - size.y; y >= p.low.y; y -= step {
		for x := p.low.x; x+size.x <= p.high.x; x += step {
			middle := vec{x, y}.add(size.times(0.5))
			if p.mask.clear(box{centre: middle, width: size.x + around, height: size.y + around}, ink|text|built|shade) {
				return vec{x, y}, true
			}
		}
	}
	return vec{}, false
}

// drawList writes the list where it has room.
func (p *plan) drawList() {
	if len(p.listed) == 0 || p.listBeside() {
		return
	}
	sheet, wide := p.sheet.size, p.listWide()
	columns := max(1, int((sheet.x-2*margin)/wide))
	rows := int((sheet.y - 2*margin - headRoom) / listPitch)
	for i, words := range p.listed {
		onSheet := i % (columns * rows)
		if onSheet == 0 {
			top := p.size.y
			p.size.y += sheet.y
			p.draw.line(vec{0, top}, vec{sheet.x, top}, stroke{light, 0.6})
			p.draw.shapes[len(p.draw.shapes)-1].between = true
			p.write(vec{margin, top + margin + 8}, listHeading, 12, sheet.x-2*margin, true)
		}
		at := vec{margin + float64(onSheet/rows)*wide, p.size.y - sheet.y + margin + headRoom + float64(onSheet%rows)*listPitch}
		p.write(at, words, labelSize, wide-listApart+4, false)
	}
}
