package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/measure"
)

// printClosures says how each traverse closes, a line each.
func printClosures(w io.Writer, closures []*wattlev1.Closure) error {
	for i, c := range closures {
		if i == 0 {
			fmt.Fprintln(w)
		}
		if _, err := fmt.Fprintln(w, closureText(c)); err != nil {
			return err
		}
	}
	return nil
}

// closureText is such as: Traverse "lot": 399 ft, misclosure 0.4 in, 1 in
// 12,100, balanced by the compass rule; elevations miss by 6 in, not balanced.
func closureText(c *wattlev1.Closure) string {
	missed := "closes exactly"
	if off := lengthOf(c.GetMisclosure()); off > 0 {
		inches := off.Inches(2)
		if measure.RoundTo(off, measure.Inch/100) == 0 {
			inches = "under 0.01 in"
		}
		missed = fmt.Sprintf("misclosure %s, 1 in %s", inches, grouped(c.GetPrecision()))
		if c.GetBalanced() {
			missed += ", balanced by the compass rule"
		} else {
			missed += ", not balanced"
		}
	}
	text := fmt.Sprintf("Traverse %q: %s, %s", c.GetRun(), lengthOf(c.GetLength()).In(measure.Foot, 2), missed)
	if c.GetUp() == nil {
		return text
	}
	switch up := lengthOf(c.GetUp()); {
	case up == 0:
		return text + "; elevations close"
	case up < 0:
		return text + fmt.Sprintf("; elevations miss by %s (low), not balanced", (-up).Imperial())
	default:
		return text + fmt.Sprintf("; elevations miss by %s (high), not balanced", up.Imperial())
	}
}

func lengthOf(l *wattlev1.Length) measure.Length { return measure.Length(l.GetNanometres()) }

// grouped is n > 0 with a comma between thousands.
func grouped(n int64) string {
	var groups []string
	for ; n >= 1000; n /= 1000 {
		groups = append(groups, fmt.Sprintf("%03d", n%1000))
	}
	groups = append(groups, strconv.FormatInt(n, 10))
	slices.Reverse(groups)
	return strings.Join(groups, ",")
}
