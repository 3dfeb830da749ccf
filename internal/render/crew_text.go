package render

import (
	"io"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// CrewSheetText is the crew sheet as plain text in columns: the same content as
// CrewSheetSVG, for a terminal.
func CrewSheetText(w io.Writer, st site.Site, l *layout.Layout, o CrewOptions) error {
	p := newPage(w)
	p.heading(crewTitle(o))
	p.paragraph("", crewSpec(o.Spec, o.Measures))
	p.paragraph("", crewTotals(st, l))
	p.paragraph("! ", crewCaution)
	p.paragraph("", crewReading(o.Measures)+o.cutsIn(l).reading())
	for _, r := range crewRuns(st, l, o) {
		p.line("")
		p.heading("Run " + r.id + ": " + r.words)
		crewTable(p, r)
	}
	p.line("")
	for _, tallied := range crewTallies(l, o.Measures) {
		name, words, _ := strings.Cut(tallied, ": ")
		p.paragraph(name+": ", words)
	}
	p.line("")
	p.line("Marked by ______________________________  Date ____________________")
	return p.Flush()
}

// crewTable writes the rows of a run. Lines that are no post's stand between
// the rows, outside the columns.
func crewTable(p page, r crewRun) {
	used := usedColumns([]crewRun{r})
	t := newTable("l" + strings.Repeat("l", len(used)))
	line := func(tick string, cell func(column int) string) {
		cells := []string{tick}
		for _, c := range used {
			cells = append(cells, cell(c))
		}
		t.row(cells...)
	}
	line("", func(c int) string { return r.head(c)[0] })
	line("", func(c int) string { return r.head(c)[1] })
	for _, row := range r.rows {
		if row.kind == postRow {
			line("[ ]", func(c int) string { return row.cells[c] })
		} else {
			t.row()
		}
	}
	var b strings.Builder
	inner := newPage(&b)
	t.write(inner)
	_ = inner.Flush() // a Builder takes everything
	lines := strings.Split(b.String(), "\n")
	for i, text := range lines[:len(lines)-1] {
		if i >= 2 && r.rows[i-2].kind != postRow {
			text = "    " + r.rows[i-2].words.String()
			if r.rows[i-2].kind == barredRow {
				text = "XXX " + r.rows[i-2].words.String() + " XXX"
			}
		}
		p.line("%s", text)
	}
}

// usedColumns are the columns in which some row has something to say; the
// post's own and its station always do.
func usedColumns(runs []crewRun) []int {
	var used []int
	for c := range crewColumns {
		if c == crewPost || c == crewStation || fills(runs, c) {
			used = append(used, c)
		}
	}
	return used
}

func fills(runs []crewRun, column int) bool {
	for _, r := range runs {
		for _, row := range r.rows {
			if row.cells[column] != "" {
				return true
			}
		}
	}
	return false
}

// CrewSheetCSV is a row for each line of the crew sheet. Kind is post, keep-out,
// gate, roller or closing; a line that is no post's has its words under note.
// Lengths are in feet and inches to 1/16 in. The options say what is cut for a
// bay; without any, rails are.
func CrewSheetCSV(w io.Writer, st site.Site, l *layout.Layout, options ...CrewOptions) error {
	var o CrewOptions
	if len(options) > 0 {
		o = options[0]
	}
	rows := [][]string{append([]string{"run", "kind"}, "post", "station", "bay from post before", "back to fixed post", "on to fixed post",
		"role", "size", "stock", "hole", "gravel", "ground elevation", "top elevation", joinedBy(cutsOf(o.Spec.WithDefaults(), l, o.Cuts).name, " ", "cut to"), "note")}
	kinds := map[kindOfRow]string{postRow: "post", barredRow: "keep-out", gateRow: "gate", rollerRow: "roller", closingRow: "closing"}
	for _, r := range crewRuns(st, l, o) {
		for _, row := range r.rows {
			if row.kind != postRow {
				row.cells[crewStation] = o.Measures.tape(row.station)
				row.cells[crewNote] = row.words.String()
			}
			rows = append(rows, append([]string{r.id, kinds[row.kind]}, row.cells[:]...))
		}
	}
	return writeCSV(w, rows)
}
