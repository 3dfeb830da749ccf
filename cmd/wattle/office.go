package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	wattlev1 "wattle/api/wattle/v1"
)

func newOffice() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "office",
		Short: "Keep the tree of offices",
		Long: `Keep the tree of offices. An office reads the prices of those above it, its own
come first, and it takes from above what it does not set: time zone, margin
floor, preferred suppliers, the age at which a price calls for a caution.`,
		Example: `  wattle office create north --company harrow --parent main --margin-floor 22.5
  wattle office list --company harrow`,
	})
	r.flags(cmd)
	cmd.AddCommand(newOfficeList(r), newOfficeCreate(r), newOfficeUpdate(r), newOfficeRemove(r))
	return cmd
}

func newOfficeList(r *remote) *cobra.Command {
	return newList(r, &cobra.Command{
		Short:   "List the offices above and under yours, and what holds there",
		Example: `  wattle office list --company harrow`,
	}, officeColumns, func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListOfficesResponse, error) {
		return offices(conn).ListOffices(ctx, &wattlev1.ListOfficesRequest{Parent: parent, PageSize: mostPage, PageToken: token})
	}, func(t *table, page *wattlev1.ListOfficesResponse) {
		for _, o := range page.GetOffices() {
			addOffice(t, o)
		}
	})
}

var officeColumns = []string{"office", "under", "title", "time zone", ">margin floor %", ">stale after days", "preferred suppliers", "removed"}

func addOffice(t *table, o *wattlev1.Office) {
	s := o.GetEffectiveSettings()
	days := ""
	if s != nil && s.StaleAfterDays != nil {
		days = strconv.Itoa(int(s.GetStaleAfterDays()))
	}
	_, id, _ := strings.Cut(o.GetName(), "/offices/")
	t.add(id, o.GetParentOffice(), o.GetTitle(), s.GetTimeZone(), s.GetMarginFloorPercent(), days,
		strings.Join(s.GetPreferredSuppliers(), ", "), yesNo(o.GetRemoved()))
}

func printOffice(cmd *cobra.Command, o *wattlev1.Office) error {
	t := newTable(officeColumns...)
	addOffice(t, o)
	return t.print(cmd.OutOrStdout(), asText)
}

// officeFlags are what an office may be given; mask lists the flags that were.
type officeFlags struct {
	parent, title, zone, floor string
	stale                      int32
	suppliers                  []string
}

func (o *officeFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.parent, "parent", "", "the office above it")
	f.StringVar(&o.title, "title", "", "for people")
	f.StringVar(&o.zone, "time-zone", "", "its time zone, such as America/Chicago")
	f.StringVar(&o.floor, "margin-floor", "", "least profit in percent of the price, below which a quote needs an approval")
	f.Int32Var(&o.stale, "stale-after-days", 0, "age at which a price calls for a caution; 0 is never")
	f.StringSliceVar(&o.suppliers, "preferred-suppliers", nil, "suppliers asked first, in this order")
}

func (o *officeFlags) message(cmd *cobra.Command) (*wattlev1.Office, *fieldmaskpb.FieldMask) {
	p := &wattlev1.Office{
		ParentOffice: o.parent, Title: o.title,
		Settings: &wattlev1.OfficeSettings{TimeZone: o.zone, PreferredSuppliers: o.suppliers},
	}
	mask := &fieldmaskpb.FieldMask{}
	for flag, path := range map[string]string{
		"parent": "parent_office", "title": "title", "time-zone": "settings.time_zone", "margin-floor": "settings.margin_floor_percent",
		"stale-after-days": "settings.stale_after_days", "preferred-suppliers": "settings.preferred_suppliers",
	} {
		if cmd.Flags().Changed(flag) {
			mask.Paths = append(mask.Paths, path)
		}
	}
	if o.floor != "" {
		p.Settings.MarginFloorPercent = &o.floor
	}
	if cmd.Flags().Changed("stale-after-days") {
		p.Settings.StaleAfterDays = &o.stale
	}
	return p, mask
}

func newOfficeCreate(r *remote) *cobra.Command {
	var given officeFlags
	cmd := &cobra.Command{
		Use:     "create ID",
		Short:   "Add an office under another one",
		Example: `  wattle office create north --company harrow --parent main --time-zone America/Denver`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			o, _ := given.message(cmd)
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := offices(conn).CreateOffice(ctx, &wattlev1.CreateOfficeRequest{
					Parent: parent, OfficeId: args[0], Office: o, RequestId: newRequestID(),
				})
				if err != nil {
					return err
				}
				return printOffice(cmd, answer.GetOffice())
			})
		},
	}
	given.add(cmd)
	return cmd
}

func newOfficeUpdate(r *remote) *cobra.Command {
	var given officeFlags
	cmd := &cobra.Command{
		Use:   "update ID",
		Short: "Change an office, or move it with all under it",
		Long: `Change what the flags name, and leave the rest. An empty text takes a setting
away, so that it comes from above again.`,
		Example: `  wattle office update north --company harrow --margin-floor 25
  wattle office update north --company harrow --parent west`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			o, mask := given.message(cmd)
			if len(mask.GetPaths()) == 0 {
				return wrongUsef(cmd, "say what shall change")
			}
			o.Name = parent + "/offices/" + args[0]
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := offices(conn).UpdateOffice(ctx, &wattlev1.UpdateOfficeRequest{Office: o, UpdateMask: mask, RequestId: newRequestID()})
				if err != nil {
					return err
				}
				return printOffice(cmd, answer.GetOffice())
			})
		},
	}
	given.add(cmd)
	return cmd
}

func newOfficeRemove(r *remote) *cobra.Command {
	cmd := &cobra.Command{
		Use:     "remove ID",
		Short:   "End an office: its keys are dead, its prices and quotes stay",
		Example: `  wattle office remove north --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				_, err := offices(conn).RemoveOffice(ctx, &wattlev1.RemoveOfficeRequest{Name: parent + "/offices/" + args[0], RequestId: newRequestID()})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is removed; its keys are dead\n", args[0])
				return err
			})
		},
	}
	return cmd
}
