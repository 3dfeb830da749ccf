package render

import (
	"fmt"
	"io"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// CrewSheetSVG draws the sheet that a crew marks and sets posts by: upright
// pages of the paper's size, one below the other, with a row for every visit of
// a run to a post in the order they are walked, keep-outs and gates in between,
// and at the foot of the last what to bring and to dig.
func CrewSheetSVG(w io.Writer, st site.Site, l *layout.Layout, o CrewOptions) error {
	c, err := drawCrewSheet(st, l, o)
	if err != nil {
		return err
	}
	return c.finish(w, c.title)
}

// crewSheet is a crew sheet in the making.
type crewSheet struct {
	pages
	title   string
	units   Measures
	runs    []crewRun
	columns []crewColumn
	text    float64 // size of the text in rows
}

// crewColumn is a column on paper. It holds a cell of each row, or two of them,
// one above the other.
type crewColumn struct {
	cells    []int
	at, wide float64
}

// block is a part of the sheet that stays on one page.
type block struct {
	run    int // -1: of no run
	height float64
	// heads: it is not the last on its page.
	heads bool
	draw  func(top float64)
}

// Sizes on a crew sheet, in points.
const (
	crewMargin   = 30
	crewHeight   = 15 // least of a row: a pencil tick fits
	crewPadding  = 4  // between columns
	crewTick     = 16 // column of the tick boxes
	crewHeadSize = 6
	crewFirst    = crewMargin + 20
)

func drawCrewSheet(st site.Site, l *layout.Layout, o CrewOptions) (*crewSheet, error) {
	size, err := paperOf(o.Paper)
	if err != nil {
		return nil, err
	}
	c := &crewSheet{pages: pages{size: size}, title: crewTitle(o), units: o.Measures, runs: crewRuns(st, l, o)}
	c.fitColumns()
	blocks := c.opening(st, l, o)
	for i := range c.runs {
		blocks = append(blocks, c.heading(i, false))
		for _, row := range c.runs[i].rows {
			blocks = append(blocks, c.row(i, row))
		}
	}
	blocks = append(blocks, c.closing(l)...)

	sheets := c.share(blocks)
	for i, sheet := range sheets {
		c.turn()
		c.write(vec{crewMargin, crewMargin + 8}, c.title, 12, size.x-2*crewMargin-90, true)
		number := fmt.Sprintf("page %d of %d", i+1, len(sheets))
		c.write(vec{size.x - crewMargin - textWidth(number, 8) - 3, crewMargin + 8}, number, 8, 90, false)
		c.line(vec{crewMargin, crewFirst - 4}, vec{size.x - crewMargin, crewFirst - 4}, stroke{dark, 0.8})
		y := float64(crewFirst)
		for _, b := range sheet {
			b.draw(y)
			y += b.height
		}
	}
	return c, nil
}

// share puts the blocks on pages. A page that begins inside a run repeats the
// run's heading; a heading is never the last on its page.
func (c *crewSheet) share(blocks []block) [][]block {
	var sheets [][]block
	var sheet []block
	y := float64(crewFirst)
	bottom := c.size.y - crewMargin
	for i, b := range blocks {
		need := b.height
		for j := i; blocks[j].heads && j+1 < len(blocks); j++ {
			need += blocks[j+1].height
		}
		if y+need > bottom && len(sheet) > 0 {
			sheets, sheet, y = append(sheets, sheet), nil, crewFirst
			if b.run >= 0 && !b.heads {
				again := c.heading(b.run, true)
				sheet, y = append(sheet, again), y+again.height
			}
		}
		sheet, y = append(sheet, b), y+b.height
	}
	return append(sheets, sheet)
}

// fitColumns gives every column the width of its widest cell, at the largest
// size of text with which they leave the notes enough room. Where they would
// get small, pairs of cells are stacked. Where there is no room even so, which
// takes odd names, columns give way in proportion, and their cells are cut.
func (c *crewSheet) fitColumns() {
	leastNote := 76.0
	if !fills(c.runs, crewNote) {
		leastNote = 40
	}
	room := c.size.x - 2*crewMargin - crewTick - leastNote
	var total float64
	flat, stacked := []float64{8.5, 8, 7.5, 7}, []float64{8, 7.5, 7, 6.5, 6}
	if c.units == BothMeasures { // two more lines in a row would be too many
		flat = append(flat, 6.5, 6)
	}
	for i, size := range append(flat, stacked...) {
		if c.text, total = size, c.setColumns(size, i >= len(flat)); total <= room {
			break
		}
	}
	at := float64(crewMargin + crewTick)
	for i := range c.columns {
		c.columns[i].wide *= min(1, room/total)
		c.columns[i].at = at
		at += c.columns[i].wide
	}
	c.columns = append(c.columns, crewColumn{[]int{crewNote}, at, c.size.x - crewMargin - at})
}

// setColumns makes the columns for a size of text, without the notes, and
// reports their widths together.
func (c *crewSheet) setColumns(size float64, stacked bool) (total float64) {
	const widest = 90
	c.columns = nil
	for _, cell := range usedColumns(c.runs) {
		if cell == crewNote {
			continue
		}
		wide := 0.0
		for _, r := range c.runs {
			head := r.head(cell)
			wide = max(wide, textWidth(head[0], crewHeadSize), textWidth(head[1], crewHeadSize))
			for _, row := range r.rows {
				for line := range strings.SplitSeq(row.cells[cell], "\n") {
					wide = max(wide, textWidth(line, size)*1.1)
				}
			}
		}
		if stacked {
			wide = max(wide, textWidth(crewStacked[cell], crewHeadSize))
		}
		wide = min(wide, widest) + 2 + crewPadding
		if n := len(c.columns); stacked && (cell == crewOn || cell == crewTop) && c.columns[n-1].cells[0] == cell-1 {
			last := &c.columns[n-1]
			total += max(wide-last.wide, 0)
			last.cells, last.wide = append(last.cells, cell), max(wide, last.wide)
			continue
		}
		c.columns = append(c.columns, crewColumn{[]int{cell}, 0, wide})
		total += wide
	}
	return total
}
