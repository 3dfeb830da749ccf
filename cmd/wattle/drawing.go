package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	wattlev1 "wattle/api/wattle/v1"
)

// The words of --drawing. Without it a command prints its own document.
const (
	drawPlan      = "plan"
	drawElevation = "elevation"
	drawCrewSheet = "crew-sheet"
)

// drawingFormats are the formats of each drawing, its default first.
var drawingFormats = map[string][]string{
	drawPlan:      {asSVG},
	drawElevation: {asSVG},
	drawCrewSheet: {asText, asCSV, asSVG},
}

var drawings = map[string]wattlev1.DrawLayoutRequest_Drawing{
	"":            wattlev1.DrawLayoutRequest_DRAWING_PLAN, // as --format svg
	drawPlan:      wattlev1.DrawLayoutRequest_DRAWING_PLAN,
	drawElevation: wattlev1.DrawLayoutRequest_DRAWING_ELEVATION,
	drawCrewSheet: wattlev1.DrawLayoutRequest_DRAWING_CREW_SHEET,
}

var papers = map[string]wattlev1.Paper{"letter": wattlev1.Paper_PAPER_LETTER, "a4": wattlev1.Paper_PAPER_A4}

// drawing is what to print, and on which sheet.
type drawing struct{ format, kind, paper string }

// flags adds --format, --drawing and --paper; formats are those of the
// command's own document, its default first.
func (d *drawing) flags(cmd *cobra.Command, what string, formats ...string) {
	choose(cmd, &d.format, "format", formats[0], what+" (a drawing: svg; a crew sheet: text, csv or svg)", formats...)
	choose(cmd, &d.kind, "drawing", "", "draw the plan, the elevation of a run, or the sheet that the crew marks and sets posts by",
		drawPlan, drawElevation, drawCrewSheet)
	choose(cmd, &d.paper, "paper", "letter", "the sheet to draw on", "letter", "a4")
}

// settle gives a drawing its format, and refuses one that it is not made in.
// run is the value of --run, which names the run of an elevation.
func (d *drawing) settle(cmd *cobra.Command, run string) error {
	if formats := drawingFormats[d.kind]; formats != nil {
		if !cmd.Flags().Changed("format") {
			d.format = formats[0]
		}
		if !slices.Contains(formats, d.format) {
			return wrongUsef(cmd, "--drawing %s is made as %s, not as %s", d.kind, strings.Join(formats, ", "), d.format)
		}
	}
	switch {
	case run != "" && d.kind != drawElevation:
		return wrongUsef(cmd, "--run names the run of --drawing elevation")
	case cmd.Flags().Changed("paper") && d.format != asSVG && !slices.Contains(pdfs, d.format):
		return wrongUsef(cmd, "--paper is the sheet of a drawing; add --format svg")
	}
	return nil
}
