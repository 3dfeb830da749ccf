package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"buf.build/go/protoyaml"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// Limits of the files that a template is read from.
const (
	maxTemplateBytes = 1 << 20
	maxLogoBytes     = 1 << 20
	maxFontBytes     = 4 << 20
)

func newTemplate() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "template",
		Short: "Keep what the papers of an office have in common",
		Long: `Keep what the papers of an office have in common, in versions: head, logo, terms
and form. A paper takes the template of the nearest office at or above its
quote's, or else the built-in one.`,
		Example: `  wattle template save main papers.yaml --logo logo.png --company harrow
  wattle template show north --company harrow`,
	})
	r.flags(cmd)
	cmd.AddCommand(newTemplateSave(r), newTemplateShow(r), newTemplateList(r))
	return cmd
}

func templates(conn *grpc.ClientConn) wattlev1.TemplateServiceClient {
	return wattlev1.NewTemplateServiceClient(conn)
}

// templateRef takes OFFICE or OFFICE@VERSION apart.
func templateRef(cmd *cobra.Command, ref string) (office string, version int32, err error) {
	office, number, versioned := strings.Cut(ref, "@")
	if !versioned {
		return office, 0, nil
	}
	n, err := strconv.ParseInt(number, 10, 32)
	if err != nil || n < 1 {
		return "", 0, wrongUsef(cmd, "%q is no version of a template; write it as north@3", ref)
	}
	return office, int32(n), nil
}

func newTemplateSave(r *remote) *cobra.Command {
	var logo, font, requestID string
	cmd := &cobra.Command{
		Use:   "save OFFICE FILE",
		Short: "Save a template as the next version of an office's",
		Long: `Save a template as the next version of an office's. The file has, as YAML or JSON,
any of title, address_lines, terms (paragraphs), locale, paper (PAPER_LETTER or
PAPER_A4) and measures (MEASURES_IMPERIAL, MEASURES_METRIC or MEASURES_BOTH). Logo
and font are files beside it; what is not given, the version has not. "-" reads the
file from standard input.`,
		Example: `  wattle template save main papers.yaml --logo logo.png --company harrow
  wattle template save north papers.yaml --font /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf --company harrow`,
		Args: takes(cobra.ExactArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			t, err := readTemplate(cmd, args[1], logo, font)
			if err != nil {
				return err
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := templates(conn).SaveTemplate(ctx, &wattlev1.SaveTemplateRequest{Name: parent + "/templates/" + args[0], RequestId: requestID, Template: t})
				if err != nil {
					return err
				}
				done := "saved"
				if !answer.GetApplied() {
					done = "saved already, nothing was stored"
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s, version %d: %s\n", answer.GetTemplate().GetName(), answer.GetTemplate().GetVersion(), done)
				return err
			})
		},
	}
	cmd.Flags().StringVar(&logo, "logo", "", "a PNG or JPEG `file`")
	cmd.Flags().StringVar(&font, "font", "", "a TrueType `file` that is asked for each character first")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

func readTemplate(cmd *cobra.Command, path, logo, font string) (*wattlev1.Template, error) {
	data, err := readFile(cmd.InOrStdin(), path, maxTemplateBytes)
	if err != nil {
		return nil, err
	}
	t := &wattlev1.Template{}
	if err := decodeYAML(path, data, nil, t); err != nil {
		return nil, err
	}
	if logo != "" {
		if t.Logo, err = readFile(cmd.InOrStdin(), logo, maxLogoBytes); err != nil {
			return nil, err
		}
	}
	if font != "" {
		t.Font, err = readFile(cmd.InOrStdin(), font, maxFontBytes)
	}
	return t, err
}

func newTemplateShow(r *remote) *cobra.Command {
	var own bool
	cmd := &cobra.Command{
		Use:   "show [OFFICE[@VERSION]]",
		Short: "Show the template that an office's papers take, as the YAML that save reads",
		Long: `Show the template that an office's papers take, its own or one from above, as the
YAML that save reads. Logo and font are told by their size.`,
		Example: `  wattle template show north --company harrow
  wattle template show main@2 --company harrow`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			office, version := "main", int32(0)
			if len(args) == 1 {
				if office, version, err = templateRef(cmd, args[0]); err != nil {
					return err
				}
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := templates(conn).GetTemplate(ctx, &wattlev1.GetTemplateRequest{
					Name: parent + "/templates/" + office, Version: version, Inherited: version == 0 && !own,
				})
				if err != nil {
					return err
				}
				return printTemplate(cmd, answer.GetTemplate())
			})
		},
	}
	cmd.Flags().BoolVar(&own, "own", false, "only its own, and none from above")
	return cmd
}

func printTemplate(cmd *cobra.Command, t *wattlev1.Template) error {
	for name, file := range map[string][]byte{"logo": t.GetLogo(), "font": t.GetFont()} {
		if len(file) > 0 {
			fmt.Fprintf(cmd.ErrOrStderr(), "with a %s of %d bytes\n", name, len(file))
		}
	}
	t.Logo, t.Font = nil, nil
	text, err := protoyaml.MarshalOptions{UseProtoNames: true}.Marshal(t)
	if err == nil {
		_, err = cmd.OutOrStdout().Write(text)
	}
	return err
}

func newTemplateList(r *remote) *cobra.Command {
	var every bool
	cmd := newList(r, &cobra.Command{
		Short:   "List a company's templates by office",
		Example: `  wattle template list --company harrow --versions`,
	}, []string{"template", "version", "title", "paper", "measures", "locale", "saved"},
		func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListTemplatesResponse, error) {
			return templates(conn).ListTemplates(ctx, &wattlev1.ListTemplatesRequest{Parent: parent, PageSize: mostPage, PageToken: token, AllVersions: every})
		}, func(t *table, page *wattlev1.ListTemplatesResponse) {
			for _, p := range page.GetTemplates() {
				t.add(p.GetName(), strconv.Itoa(int(p.GetVersion())), p.GetTitle(), enumWord(p.GetPaper().String(), "PAPER_"), enumWord(p.GetMeasures().String(), "MEASURES_"), p.GetLocale(), stamp(p.GetCreateTime()))
			}
		})
	cmd.Flags().BoolVar(&every, "versions", false, "every version, and not only the newest of each office")
	return cmd
}

// enumWord is a name of an enum without its prefix, empty where it is unspecified.
func enumWord(name, prefix string) string {
	name = strings.ToLower(strings.TrimPrefix(name, prefix))
	if name == "unspecified" {
		return ""
	}
	return name
}
