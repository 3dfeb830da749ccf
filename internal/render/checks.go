package render

import (
	"io"
	"strings"

	"wattle/internal/check"
)

// ChecksText lists what advisory checks found: failures first, then what lacks
// data, then what passes and what only advises; each with its source and who
// decides.
func ChecksText(w io.Writer, results []check.Result) error {
	p := newPage(w)
	writeChecks(p, results)
	return p.Flush()
}

func writeChecks(p page, results []check.Result) {
	if len(results) == 0 {
		return
	}
	p.line("")
	p.heading("Checks, all of them advisory")
	for _, outcome := range []check.Outcome{check.Fail, check.NotEnoughData, check.Advisory, check.Pass} {
		for _, r := range results {
			if r.Outcome != outcome {
				continue
			}
			source := r.Source
			if r.Edition != "" {
				source += ", " + r.Edition
			}
			p.paragraph(strings.ToUpper(strings.ReplaceAll(string(outcome), "-", " "))+"  ", r.Title+". "+r.Text+" ["+source+"]")
		}
	}
}
