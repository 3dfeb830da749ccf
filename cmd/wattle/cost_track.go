package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newCostTrack(r *remote) *cobra.Command {
	var format, every, chart string
	var offices []string
	var f follow
	var stack bool
	cmd := &cobra.Command{
		Use:   "track [FILE]",
		Short: "Tell the cost per foot over time, by component and office",
		Long: `Tell the cost per foot over time, by component and office: a line for each day on
which it changes, or the mean of each day, week or month. Where an item has no
price, there is no figure and the line names the item.

` + costHelp + `

` + jobHelp,
		Example: `  wattle cost track --spec standard/vertical-boards-6ft --company harrow
  wattle cost track job.yaml --company harrow --every month --chart cost.svg
  wattle cost track --quotes --total --office north,south --from 2024-01-01 --format csv`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			basket, window, err := f.read(cmd, r, args)
			if err != nil {
				return err
			}
			request := &wattlev1.TrackCostPerFootRequest{Basket: basket, Window: window, Offices: offices, Every: spanNamed(every)}
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				all, err := trackCost(ctx, conn, request)
				if err != nil {
					return err
				}
				if chart != "" {
					if err := drawCost(chart, all, stack); err != nil {
						return err
					}
				}
				return printCost(cmd.OutOrStdout(), all, format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print it", asText, asJSON, asCSV)
	spanFlag(cmd, &every, "step", "step", "day", "week", "month")
	cmd.Flags().StringSliceVar(&offices, "office", nil, "the offices whose prices are followed, by id (default that of your key)")
	cmd.Flags().StringVar(&chart, "chart", "", "also draw it into this file, a .svg or .png")
	cmd.Flags().BoolVar(&stack, "stack", false, "with --chart: draw the components on one another")
	f.flags(cmd)
	return cmd
}

// tracked is what a stream told of one office.
type tracked struct {
	header  *wattlev1.CostHeader
	steps   []*wattlev1.CostStep
	samples []*wattlev1.CostSample
}

func trackCost(ctx context.Context, conn *grpc.ClientConn, request *wattlev1.TrackCostPerFootRequest) ([]*tracked, error) {
	stream, err := wattlev1.NewCostServiceClient(conn).TrackCostPerFoot(ctx, request)
	if err != nil {
		return nil, err
	}
	var all []*tracked
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		if m.GetHeader() != nil {
			all = append(all, &tracked{header: m.GetHeader()})
		}
		last := all[len(all)-1]
		last.steps = append(last.steps, m.GetSteps().GetSteps()...)
		last.samples = append(last.samples, m.GetSamples().GetSamples()...)
	}
}

// costRow is a step or a sample, for a table.
type costRow struct {
	from, to, total string
	parts, missing  []string
	days            string
}

func (t *tracked) rows() []costRow {
	var rows []costRow
	for _, s := range t.steps {
		row := costRow{from: s.GetFrom(), total: s.GetCostPerFoot(), parts: s.GetComponents()}
		for _, m := range s.GetMissing() {
			row.missing = append(row.missing, m.GetItem()+" ("+m.GetNote()+")")
		}
		rows = append(rows, row)
	}
	for _, s := range t.samples {
		row := costRow{from: s.GetFrom(), to: s.GetTo(), total: s.GetMeanPerFoot(), parts: s.GetMeanComponents(), missing: s.GetMissingItems()}
		if s.GetDaysKnown() < s.GetDays() {
			row.days = fmt.Sprintf("%d of %d days", s.GetDaysKnown(), s.GetDays())
		}
		rows = append(rows, row)
	}
	return rows
}

func printCost(w io.Writer, all []*tracked, format string) error {
	switch format {
	case asJSON:
		for _, t := range all {
			for _, part := range []*wattlev1.TrackCostPerFootResponse{
				{Content: &wattlev1.TrackCostPerFootResponse_Header{Header: t.header}},
				{Content: &wattlev1.TrackCostPerFootResponse_Steps{Steps: &wattlev1.CostSteps{Steps: t.steps}}},
				{Content: &wattlev1.TrackCostPerFootResponse_Samples{Samples: &wattlev1.CostSamples{Samples: t.samples}}},
			} {
				if len(t.steps) == 0 && part.GetSteps() != nil || len(t.samples) == 0 && part.GetSamples() != nil {
					continue
				}
				if err := printMessage(w, part); err != nil {
					return err
				}
			}
		}
		return nil
	case asCSV:
		return costList(all).print(w, asCSV)
	}
	for i, t := range all {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, followed(t.header))
		fmt.Fprintln(w)
		if err := t.table(onTerminal(w)).text(w); err != nil {
			return err
		}
	}
	return nil
}

// costList has a row for each component of each step, and one for the whole.
func costList(all []*tracked) *table {
	list := newTable("office", "from", "to", "component", "per_foot", "currency", "missing")
	for _, t := range all {
		for _, row := range t.rows() {
			missing := strings.Join(row.missing, "; ")
			list.add(t.header.GetOffice(), row.from, row.to, "all", row.total, t.header.GetCurrency(), missing)
			for i, part := range row.parts {
				list.add(t.header.GetOffice(), row.from, row.to, t.header.GetComponents()[i], part, t.header.GetCurrency(), "")
			}
		}
	}
	return list
}

// table has a column for each component; with bars it draws the whole too.
func (t *tracked) table(bars bool) *table {
	head := []string{"from", ">a foot"}
	for _, component := range t.header.GetComponents() {
		head = append(head, ">"+component)
	}
	table := newTable(append(head, "")...)
	rows := t.rows()
	most := slices.Max(append(heights(rows), 0))
	for i, row := range rows {
		note := row.days
		if len(row.missing) > 0 {
			note = strings.TrimPrefix(note+"; no price: "+shortList(row.missing), "; ")
		}
		if bars && note == "" && most > 0 {
			note = bar(heights(rows)[i] / most)
		}
		cells := []string{row.from, row.total}
		for c := range t.header.GetComponents() {
			cell := ""
			if c < len(row.parts) {
				cell = row.parts[c]
			}
			cells = append(cells, cell)
		}
		table.add(append(cells, note)...)
	}
	return table
}

func heights(rows []costRow) []float64 {
	all := make([]float64, len(rows))
	for i, row := range rows {
		all[i], _ = strconv.ParseFloat(row.total, 64) // zero in a gap
	}
	return all
}

// bar is a part of one, up to 20 cells wide, in eighths of a cell.
func bar(part float64) string {
	eighths := int(part*160 + 0.5)
	text := strings.Repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 {
		text += string([]rune("▏▎▍▌▋▊▉")[rest-1])
	}
	return text
}

// shortList names the first three.
func shortList(names []string) string {
	if len(names) > 3 {
		return strings.Join(names[:3], ", ") + fmt.Sprintf(" and %d more", len(names)-3)
	}
	return strings.Join(names, ", ")
}

func onTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
