package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
)

var roleNames = map[string]wattlev1.ApiKey_Role{
	"reader":    wattlev1.ApiKey_ROLE_READER,
	"estimator": wattlev1.ApiKey_ROLE_ESTIMATOR,
	"pricer":    wattlev1.ApiKey_ROLE_PRICER,
	"admin":     wattlev1.ApiKey_ROLE_ADMIN,
}

func newKey() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "key",
		Short: "Make, list and revoke API keys",
		Long: `Make, list and revoke API keys. A key is bound to an office and has a role: a
reader sees quotes without costs, an estimator makes quotes, a pricer keeps
prices and specs, an admin keeps offices and keys.`,
		Example: `  wattle key create --company harrow --office north --role estimator --save-key north.key
  wattle key list --company harrow`,
	})
	r.flags(cmd)
	cmd.AddCommand(newKeyCreate(r), newKeyList(r), newKeyRevoke(r))
	return cmd
}

func newKeyCreate(r *remote) *cobra.Command {
	var role, office, title, save, requestID string
	var below bool
	var lasts time.Duration
	cmd := &cobra.Command{
		Use:   "create",
		Short: "Make a key; its secret is shown once, and kept in a file",
		Example: `  wattle key create --company harrow --office north --role estimator --save-key north.key
  wattle key create --company harrow --role reader --lasts 8760h --save-key crm.key`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			switch {
			case role == "":
				return wrongUsef(cmd, "say with --role what the key may do: reader, estimator, pricer or admin")
			case save == "":
				return wrongUsef(cmd, "say with --save-key in which file its secret shall be kept")
			}
			if err := free(save); err != nil {
				return wrongUse(cmd, err)
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			key := &wattlev1.ApiKey{Role: roleNames[role], Office: office, Title: title, WritesBelow: below}
			if lasts > 0 {
				key.ExpireTime = timestamppb.New(time.Now().Add(lasts))
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := offices(conn).CreateKey(ctx, &wattlev1.CreateKeyRequest{Parent: parent, Key: key, RequestId: requestID})
				if err != nil {
					return err
				}
				return keepSecret(cmd, save, answer.GetKey(), answer.GetSecret())
			})
		},
	}
	choose(cmd, &role, "role", "", "what it may do", "reader", "estimator", "pricer", "admin")
	f := cmd.Flags()
	f.StringVar(&office, "office", "", "its office (default that of your own key)")
	f.BoolVar(&below, "writes-below", false, "it writes in the offices under its own too")
	f.StringVar(&title, "title", "", "for people")
	f.DurationVar(&lasts, "lasts", 0, "for how long it is good, such as 8760h (default until it is revoked)")
	f.StringVar(&save, "save-key", "", "file to keep its secret in")
	f.StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

// free is nil where no file is in the way of a secret that is shown once.
func free(path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already, and a key is never written over; name another file with --save-key", path)
	}
	return nil
}

func keepSecret(cmd *cobra.Command, path string, key *wattlev1.ApiKey, secret string) error {
	if secret == "" {
		return fmt.Errorf("%s was made by an earlier call with this request id, and its secret was shown then; revoke it and make another", key.GetName())
	}
	if err := writeSecret(path, secret); err != nil {
		return fmt.Errorf("%s is made, and its secret cannot be kept (%w); revoke it and make another", key.GetName(), err)
	}
	_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s: %s at %s, its secret is in %s\n", key.GetName(), roleName(key.GetRole()), key.GetOffice(), path)
	return err
}

func roleName(r wattlev1.ApiKey_Role) string {
	return strings.ToLower(strings.TrimPrefix(r.String(), "ROLE_"))
}

func newKeyList(r *remote) *cobra.Command {
	return newList(r, &cobra.Command{
		Short:   "List the keys of your office and those under it",
		Example: `  wattle key list --company harrow`,
	}, []string{"key", "office", "role", "below", "title", "made", "expires", "revoked"},
		func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListKeysResponse, error) {
			return offices(conn).ListKeys(ctx, &wattlev1.ListKeysRequest{Parent: parent, PageSize: mostPage, PageToken: token})
		}, func(t *table, page *wattlev1.ListKeysResponse) {
			for _, k := range page.GetKeys() {
				t.add(k.GetName(), k.GetOffice(), roleName(k.GetRole()), yesNo(k.GetWritesBelow()), k.GetTitle(),
					stamp(k.GetCreateTime()), stamp(k.GetExpireTime()), stamp(k.GetRevokeTime()))
			}
		})
}

func newKeyRevoke(r *remote) *cobra.Command {
	cmd := &cobra.Command{
		Use:     "revoke KEY",
		Short:   "End a key at once",
		Example: `  wattle key revoke 0198f0c2-5a7e-7c1d-9b1f-0c6e0f2a4d11 --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.named(cmd, "keys", args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := offices(conn).RevokeKey(ctx, &wattlev1.RevokeKeyRequest{Name: name, RequestId: newRequestID()})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is revoked since %s\n", answer.GetKey().GetName(), stamp(answer.GetKey().GetRevokeTime()))
				return err
			})
		},
	}
	return cmd
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// stamp is a time in UTC, empty where there is none.
func stamp(t *timestamppb.Timestamp) string {
	if t == nil {
		return ""
	}
	return t.AsTime().UTC().Format(time.RFC3339)
}
