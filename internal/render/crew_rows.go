package render

import (
	"strings"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// opening is the head of the first page.
func (c *crewSheet) opening(st site.Site, l *layout.Layout, o CrewOptions) []block {
	blocks := c.paragraph(crewSpec(o.Spec, o.Measures), 8, false)
	blocks = append(blocks, c.paragraph(crewTotals(st, l), 8, false)...)
	blocks = append(blocks, c.paragraph(crewCaution, 8, true)...)
	return append(blocks, c.paragraph(crewReading(o.Measures)+o.cutsIn(l).reading(), 6.5, false)...)
}

// paragraph is running text over the width of the page.
func (c *crewSheet) paragraph(words string, size float64, bold bool) []block {
	limit := c.size.x - 2*crewMargin
	fit := limit - 3
	if bold {
		fit /= 1.1
	}
	var blocks []block
	for _, line := range fitted(words, size, fit) {
		blocks = append(blocks, block{run: -1, height: size * 1.45, draw: func(top float64) {
			c.write(vec{crewMargin, top + size*0.7}, line, size, limit, bold)
		}})
	}
	return blocks
}

// heading names a run, over the heads of the columns.
func (c *crewSheet) heading(run int, again bool) block {
	r := c.runs[run]
	name := "Run " + shortened(r.id, 10, 200)
	if again {
		name += " (continued)"
	}
	return block{run: run, height: 40, heads: true, draw: func(top float64) {
		c.write(vec{crewMargin, top + 12}, name+": "+r.words, 10, c.size.x-2*crewMargin, true)
		for _, column := range c.columns {
			for i, head := range r.columnHead(column) {
				c.write(vec{column.at, top + 25 + float64(i)*7.5}, head, crewHeadSize, column.wide, false)
			}
		}
		c.line(vec{crewMargin, top + 39}, vec{c.size.x - crewMargin, top + 39}, stroke{dark, 0.8})
	}}
}

// columnHead is the two lines at the head of a column: of stacked cells the
// first line of each.
func (r crewRun) columnHead(column crewColumn) []string {
	if len(column.cells) == 1 {
		head := r.head(column.cells[0])
		return head[:]
	}
	var lines []string
	for _, cell := range column.cells {
		lines = append(lines, crewStacked[cell])
	}
	return lines
}

// row is a line of a run.
func (c *crewSheet) row(run int, row crewRow) block {
	if row.kind != postRow {
		if c.units == BothMeasures && row.kind != barredRow {
			return c.wrappedRow(run, row)
		}
		return block{run: run, height: crewHeight, draw: func(top float64) { c.wordsRow(row, top) }}
	}
	notes := c.columns[len(c.columns)-1]
	note := fitted(row.cells[crewNote], c.text, notes.wide-3)
	lines := len(note)
	for _, column := range c.columns {
		lines = max(lines, len(row.lines(column)))
	}
	pitch := c.text * 1.22
	height := max(crewHeight, crewHeight/2.0+float64(lines-1)*pitch+0.65*c.text)
	return block{run: run, height: height, draw: func(top float64) {
		middle := top + crewHeight/2.0
		c.polygon(white, stroke{dark, 0.7}, vec{crewMargin + 1, middle - 4.5}, vec{crewMargin + 10, middle - 4.5},
			vec{crewMargin + 10, middle + 4.5}, vec{crewMargin + 1, middle + 4.5})
		for _, column := range c.columns[:len(c.columns)-1] {
			for i, line := range row.lines(column) {
				c.write(vec{column.at, middle + float64(i)*pitch}, line.words, c.text, column.wide-1, line.cell == crewPost || line.cell == crewRole && row.fixed)
			}
		}
		for i, line := range note {
			c.write(vec{notes.at, middle + float64(i)*pitch}, line, c.text, notes.wide, false)
		}
		c.rule(top + height)
	}}
}

// cellLine is a line within a row, of a cell.
type cellLine struct {
	cell  int
	words string
}

// lines are what a row has in a column, one above the other.
func (r crewRow) lines(column crewColumn) []cellLine {
	var lines []cellLine
	for _, cell := range column.cells {
		for words := range strings.SplitSeq(r.cells[cell], "\n") {
			lines = append(lines, cellLine{cell, words})
		}
	}
	return lines
}

// wordsRow is a line of words: a keep-out in a band of hatching, so that nobody
// reads past it, a gate or the closing bay between its posts.
func (c *crewSheet) wordsRow(row crewRow, top float64) {
	at := vec{crewMargin + crewTick, top + crewHeight/2.0}
	right := c.size.x - crewMargin
	bold := row.kind == barredRow
	limit := right - at.x - 4
	if bold {
		limit = (limit - 36) / 1.1
	}
	size := c.text
	for size > baySize && textWidth(rowWords{row.words.lead, "...", row.words.rest}.String(), size) > limit {
		size -= 0.5
	}
	words := row.words.fitting(size, limit)
	if bold {
		end := at.x + textWidth(words, size)*1.1 + 6
		var hatch strings.Builder
		for x := float64(crewMargin); x+9 <= right; x += 6 {
			if x+9 < at.x || x > end {
				hatch.WriteString("M" + pair(vec{x, top + crewHeight - 3}) + "L" + pair(vec{x + 9, top + 3}))
			}
		}
		c.path(hatch.String(), "none", stroke{mid, 0.7})
	}
	c.write(at, words, size, right-at.x, bold)
	c.rule(top + crewHeight)
}

// wrappedRow is a line of words that goes over several lines: in both measures it
// may be long.
func (c *crewSheet) wrappedRow(run int, row crewRow) block {
	at := crewMargin + crewTick + 0.0
	limit := c.size.x - crewMargin - at
	lines := fitted(row.words.String(), c.text, limit-4)
	pitch := c.text * 1.22
	height := crewHeight + float64(len(lines)-1)*pitch
	return block{run: run, height: height, draw: func(top float64) {
		for i, line := range lines {
			c.write(vec{at, top + crewHeight/2.0 + float64(i)*pitch}, line, c.text, limit, false)
		}
		c.rule(top + height)
	}}
}

func (c *crewSheet) rule(y float64) {
	c.line(vec{crewMargin, y}, vec{c.size.x - crewMargin, y}, stroke{light, 0.4})
}

// closing is the foot of the last page: what to bring and dig, and who marked
// it.
func (c *crewSheet) closing(l *layout.Layout) []block {
	blocks := []block{{run: -1, height: 12, draw: func(float64) {}}}
	for _, tallied := range crewTallies(l, c.units) {
		blocks = append(blocks, c.paragraph(tallied, 8, true)...)
	}
	blocks = append(blocks, block{run: -1, height: 40, draw: func(top float64) {
		y := top + 30
		c.write(vec{crewMargin, y - 3}, "marked by", 8, 50, false)
		c.line(vec{crewMargin + 46, y}, vec{crewMargin + 290, y}, stroke{dark, 0.6})
		c.write(vec{crewMargin + 306, y - 3}, "date", 8, 30, false)
		c.line(vec{crewMargin + 330, y}, vec{crewMargin + 450, y}, stroke{dark, 0.6})
	}})
	for i := range blocks[:len(blocks)-1] {
		blocks[i].heads = true // together on one page
	}
	return blocks
}

// fitted breaks text between words into lines of at most a width; what is
// longer than a line is cut.
func fitted(words string, size, limit float64) []string {
	var lines []string
	current := ""
	for word := range strings.FieldsSeq(plain(words)) {
		longer := joinedBy(current, " ", word)
		if current != "" && textWidth(longer, size) > limit {
			lines, current = append(lines, current), word
			continue
		}
		current = longer
	}
	if current != "" {
		lines = append(lines, current)
	}
	return lines
}
