package main

import (
	"context"
	"fmt"
	"strings"

	"buf.build/go/protoyaml"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	wattlev1 "wattle/api/wattle/v1"
)

// maxCustomerBytes is the largest file of a customer that is read.
const maxCustomerBytes = 64 << 10

func newCustomer() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "customer",
		Short: "Keep people's details, and erase them",
		Long: `Keep people's details, and erase them. They come from a file and not from flags,
which other users of this machine could see. A file has, as YAML or JSON, any of
display_name, address (lines, locality, region, postal_code, country_code), email,
telephone and note. "-" reads it from standard input.`,
		Example: `  wattle customer create person.yaml --company harrow --id cust-17
  wattle customer erase cust-17 --company harrow`,
	})
	r.flags(cmd)
	cmd.AddCommand(newCustomerCreate(r), newCustomerShow(r), newCustomerUpdate(r), newCustomerList(r), newCustomerErase(r), newCustomerChanges(r))
	return cmd
}

func customers(conn *grpc.ClientConn) wattlev1.CustomerServiceClient {
	return wattlev1.NewCustomerServiceClient(conn)
}

// customerName takes a customer's full name, or the id within the company.
func (r *remote) customerName(cmd *cobra.Command, name string) (string, error) {
	return r.named(cmd, "customers", name)
}

func readCustomer(cmd *cobra.Command, path string) (*wattlev1.Customer, error) {
	data, err := readFile(cmd.InOrStdin(), path, maxCustomerBytes)
	if err != nil {
		return nil, err
	}
	c := &wattlev1.Customer{}
	return c, decodeYAML(path, data, nil, c)
}

// printCustomer writes a customer as the YAML that update reads.
func printCustomer(cmd *cobra.Command, c *wattlev1.Customer) error {
	text, err := protoyaml.MarshalOptions{UseProtoNames: true}.Marshal(c)
	if err == nil {
		_, err = cmd.OutOrStdout().Write(text)
	}
	return err
}

func newCustomerCreate(r *remote) *cobra.Command {
	var id, requestID string
	cmd := &cobra.Command{
		Use:     "create FILE",
		Short:   "Store a customer",
		Example: `  wattle customer create person.yaml --company harrow --id cust-17`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			c, err := readCustomer(cmd, args[0])
			if err != nil {
				return err
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := customers(conn).CreateCustomer(ctx, &wattlev1.CreateCustomerRequest{Parent: parent, RequestId: requestID, CustomerId: id, Customer: c})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintln(cmd.OutOrStdout(), answer.GetCustomer().GetName())
				return err
			})
		},
	}
	cmd.Flags().StringVar(&id, "id", "", "the id, such as the customer of quotes that are there already (default a new one)")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

func newCustomerShow(r *remote) *cobra.Command {
	return &cobra.Command{
		Use:     "show ID",
		Short:   "Show a customer, as the YAML that update reads",
		Example: `  wattle customer show cust-17 --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.customerName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := customers(conn).GetCustomer(ctx, &wattlev1.GetCustomerRequest{Name: name})
				if err != nil {
					return err
				}
				return printCustomer(cmd, answer.GetCustomer())
			})
		},
	}
}

func newCustomerUpdate(r *remote) *cobra.Command {
	var requestID string
	var fields []string
	cmd := &cobra.Command{
		Use:   "update ID FILE",
		Short: "Change some of a customer's details",
		Long: `Change those of a customer's details that the file has, or those that --field
names, which may be emptied by it. A file that show wrote has the etag in it, so it
is refused where the customer has changed meanwhile.`,
		Example: `  wattle customer update cust-17 person.yaml --company harrow --field note --field email`,
		Args:    takes(cobra.ExactArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.customerName(cmd, args[0])
			if err != nil {
				return err
			}
			c, err := readCustomer(cmd, args[1])
			if err != nil {
				return err
			}
			request := &wattlev1.UpdateCustomerRequest{Customer: c, RequestId: requestID, Etag: c.GetEtag()}
			c.Name = name
			if requestID == "" {
				request.RequestId = newRequestID()
			}
			if fields != nil {
				request.UpdateMask = &fieldmaskpb.FieldMask{Paths: fields}
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := customers(conn).UpdateCustomer(ctx, request)
				if err != nil {
					return err
				}
				return printCustomer(cmd, answer.GetCustomer())
			})
		},
	}
	cmd.Flags().StringArrayVar(&fields, "field", nil, "replace this field, or * for all (default those that the file has)")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

func newCustomerList(r *remote) *cobra.Command {
	var erased bool
	cmd := newList(r, &cobra.Command{
		Short:   "List a company's customers by id",
		Example: `  wattle customer list --company harrow --format csv`,
	}, []string{"customer", "office", "name", "email", "telephone", "updated", "erased"},
		func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListCustomersResponse, error) {
			return customers(conn).ListCustomers(ctx, &wattlev1.ListCustomersRequest{Parent: parent, PageSize: mostPage, PageToken: token, ShowErased: erased})
		}, func(t *table, page *wattlev1.ListCustomersResponse) {
			for _, c := range page.GetCustomers() {
				t.add(c.GetName(), c.GetOffice(), c.GetDisplayName(), c.GetEmail(), c.GetTelephone(), stamp(c.GetUpdateTime()), stamp(c.GetEraseTime()))
			}
		})
	cmd.Flags().BoolVar(&erased, "erased", false, "those that were erased too")
	return cmd
}

func newCustomerChanges(r *remote) *cobra.Command {
	var of string
	cmd := newList(r, &cobra.Command{
		Use:   "changes",
		Short: "List who did what to which customer, newest first",
		Example: `  wattle customer changes --company harrow
  wattle customer changes --company harrow --customer cust-17 --format csv`,
	}, []string{"customer", "office", "change", "by", "time"},
		func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListCustomerChangesResponse, error) {
			request := &wattlev1.ListCustomerChangesRequest{Parent: parent, PageSize: mostPage, PageToken: token}
			if of != "" {
				request.Customer = parent + "/customers/" + of
			}
			return customers(conn).ListCustomerChanges(ctx, request)
		}, func(t *table, page *wattlev1.ListCustomerChangesResponse) {
			for _, c := range page.GetChanges() {
				t.add(c.GetCustomer(), c.GetOffice(), strings.TrimPrefix(c.GetKind(), "customer-"), c.GetPrincipal(), stamp(c.GetTime()))
			}
		})
	cmd.Flags().StringVar(&of, "customer", "", "only those of the customer with this id")
	return cmd
}

func newCustomerErase(r *remote) *cobra.Command {
	var requestID string
	cmd := &cobra.Command{
		Use:     "erase ID",
		Short:   "Remove a customer's details for good; quotes keep the id",
		Example: `  wattle customer erase cust-17 --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.customerName(cmd, args[0])
			if err != nil {
				return err
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := customers(conn).EraseCustomer(ctx, &wattlev1.EraseCustomerRequest{Name: name, RequestId: requestID})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is erased since %s\n", name, stamp(answer.GetCustomer().GetEraseTime()))
				return err
			})
		},
	}
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}
