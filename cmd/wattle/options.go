package main

import (
	"context"
	"fmt"
	"io"

	"buf.build/go/protoyaml"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/render"
	"wattle/internal/rpc"
)

// asked is what flags say of the prices and the form of an answer that is not
// stored.
type asked struct {
	format, asOf string
	revision     int64
}

func (a *asked) flags(cmd *cobra.Command) {
	choose(cmd, &a.format, "format", asText, "how to print the answer", asText, asJSON)
	cmd.Flags().StringVar(&a.asOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default: the file's, else today)")
	cmd.Flags().Int64Var(&a.revision, "revision", 0, "the book revision to price from (default: the file's, else the newest)")
}

// over puts what the flags say over what a file says.
func (a *asked) over(cmd *cobra.Command, r *remote, parent, asOf *string, revision **int64) (err error) {
	if r.company != "" || *parent == "" {
		if *parent, err = r.parent(cmd); err != nil {
			return err
		}
	}
	r.reads(*parent)
	if a.asOf != "" {
		*asOf = a.asOf
	}
	if cmd.Flags().Changed("revision") {
		*revision = &a.revision
	}
	return nil
}

func newOptions() *cobra.Command {
	r, a := &remote{}, &asked{}
	cmd := &cobra.Command{
		Use:   "options FILE",
		Short: "Price several specs for one site side by side; stores nothing",
		Long: `Price several specs for one site side by side, all from one state of the price
book. Nothing is stored. An option that cannot be built or priced says why; the
others are answered.

The file is a CompareOptionsRequest as YAML or JSON: a job file with a list of
options, each a name and a spec, or the name of a saved one, in place of its
spec:

  currency: USD
  site: {runs: [{id: back, vertices: [{east: 0 ft, north: 0 ft}, {east: 80 ft, north: 0 ft}]}]}
  options:
    - {name: six foot, spec: {height: 6 ft}}
    - {name: four foot, spec: {height: 4 ft}}
    - {name: chain link, saved_spec: standard/chain-link-6ft}

"-" reads it from standard input.`,
		Example: `  wattle options options.yaml --company harrow
  wattle options options.yaml --company harrow --as-of 2026-09-15 --format json`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			request, err := readOptions(cmd.InOrStdin(), args[0])
			if err != nil {
				return err
			}
			if err := a.over(cmd, r, &request.Parent, &request.AsOf, &request.Revision); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := wattlev1.NewAdviceServiceClient(conn).CompareOptions(ctx, request)
				if err != nil {
					return err
				}
				return printOptions(cmd.OutOrStdout(), answer, a.format)
			})
		},
	}
	r.flags(cmd)
	a.flags(cmd)
	return cmd
}

func readOptions(stdin io.Reader, path string) (*wattlev1.CompareOptionsRequest, error) {
	data, err := readFile(stdin, path, maxJobBytes)
	if err != nil {
		return nil, err
	}
	request := &wattlev1.CompareOptionsRequest{}
	read := protoyaml.UnmarshalOptions{Path: path, Validator: measured{"site", "options"}}
	if err := read.Unmarshal(data, request); err != nil {
		return nil, err
	}
	if request.GetSite() == nil { // of an empty file protoyaml says nothing
		return nil, fmt.Errorf("%s: expected a site and a list of options, found neither", path)
	}
	return request, nil
}

func printOptions(w io.Writer, answer *wattlev1.CompareOptionsResponse, format string) error {
	if format == asJSON {
		return printMessage(w, answer)
	}
	options, err := rpc.OptionsFromProto(answer)
	if err != nil {
		return err
	}
	if err := render.OptionsText(w, options); err != nil {
		return err
	}
	return printClosures(w, answer.GetClosures())
}
