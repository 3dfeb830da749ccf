package main

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"text/tabwriter"

	"golang.org/x/perf/benchfmt"
)

// figures are what benchmarks measured, by name and unit; of several runs all.
type figures map[string]map[string][]float64

// of is the median of what a benchmark measured in a unit.
func (f figures) of(bench, unit string) (float64, bool) {
	all := slices.Sorted(slices.Values(f[bench][unit]))
	if len(all) == 0 {
		return 0, false
	}
	return all[len(all)/2], true
}

// least is the least of them. Where a time stands against the clock alone, and not
// beside what was measured in turns with it, whatever else the host does only adds.
func (f figures) least(bench, unit string) (float64, bool) {
	all := f[bench][unit]
	if len(all) == 0 {
		return 0, false
	}
	return slices.Min(all), true
}

func parse(r io.Reader) (figures, error) {
	f := figures{}
	in := benchfmt.NewReader(r, "the raw figures")
	for in.Scan() {
		result, ok := in.Result().(*benchfmt.Result)
		if !ok {
			continue
		}
		name := cores.ReplaceAllString(string(result.Name), "")
		if f[name] == nil {
			f[name] = map[string][]float64{}
		}
		for _, v := range result.Values {
			value, unit := v.Value, v.Unit
			if v.OrigUnit != "" {
				value, unit = v.OrigValue, v.OrigUnit
			}
			f[name][unit] = append(f[name][unit], value)
		}
	}
	return f, in.Err()
}

// cores end a benchmark's name where there are several.
var cores = regexp.MustCompile(`-\d+$`)

// table prints the rows, after what the figures say of the machine.
func table(w io.Writer, raw []byte, f figures, wanted *regexp.Regexp) error {
	for line := range strings.Lines(string(raw)) {
		key, _, ok := strings.Cut(line, ": ")
		if ok && slices.Contains([]string{"date", "commit", "cores", "go", "postgres", "load-before", "short"}, key) {
			if _, err := fmt.Fprint(w, line); err != nil {
				return err
			}
		}
	}
	cpu := regexp.MustCompile(`(?m)^cpu: .*\n`).Find(raw)
	if _, err := fmt.Fprintf(w, "%s\n", cpu); err != nil {
		return err
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "\twork\tagainst\twanted\tmeasured")
	for _, r := range rows {
		if !wanted.MatchString(r.work) {
			continue
		}
		text, holds := r.got(f)
		mark := "holds"
		switch {
		case text == "":
			mark, text = "-", "not measured"
		case !holds:
			mark = "SHORT"
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\n", mark, r.work, r.against, r.wanted, text)
	}
	return tw.Flush()
}
