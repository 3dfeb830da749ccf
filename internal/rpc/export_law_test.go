package rpc

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/rest"
)

// exported are the rows of an answer of any export, as text, and its token.
func exported(answer proto.Message) (rows []string, token string) {
	m := answer.ProtoReflect()
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case f.IsList():
			for i := range v.List().Len() {
				row, _ := proto.MarshalOptions{Deterministic: true}.Marshal(v.List().Get(i).Message().Interface()) // it was just read
				rows = append(rows, string(row))
			}
		case f.Name() == "next_page_token":
			token = v.String()
		}
		return true
	})
	return rows, token
}

// everyExport asks for a page of each export.
func everyExport(conn *grpc.ClientConn) map[string]func(t *testing.T, size int32, token string) proto.Message {
	c := wattlev1.NewExportServiceClient(conn)
	must := func(t *testing.T, answer proto.Message, err error) proto.Message {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return answer
	}
	return map[string]func(t *testing.T, size int32, token string) proto.Message{
		"prices:export": func(t *testing.T, size int32, token string) proto.Message {
			a, err := c.ExportPrices(t.Context(), &wattlev1.ExportPricesRequest{Parent: harrowParent, PageSize: size, PageToken: token})
			return must(t, a, err)
		},
		"prices:exportList": func(t *testing.T, size int32, token string) proto.Message {
			a, err := c.ExportPriceList(t.Context(), &wattlev1.ExportPriceListRequest{Parent: harrowParent, PageSize: size, PageToken: token})
			return must(t, a, err)
		},
		"quoteLines:export": func(t *testing.T, size int32, token string) proto.Message {
			a, err := c.ExportQuoteLines(t.Context(), &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent, PageSize: size, PageToken: token})
			return must(t, a, err)
		},
	}
}

// Pages of any sizes, each of another, have the same rows as one large page, and
// none has more than it may; and the pages over HTTP are those of gRPC.
func TestPagesOfAnySize(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	h := header()
	h.GetHeader().Office, h.GetHeader().RequestId = "north", "odd"
	if _, err := send(t, b.at(t, "north", auth.Admin), h, chunk(oddList), trailer(3, oddList)); err != nil {
		t.Fatal(err)
	}
	conn := b.at(t, "north", auth.Estimator)
	for name, ask := range everyExport(conn) {
		want, token := exported(ask(t, 0, ""))
		if token != "" || len(want) < 20 {
			t.Fatalf("%s: %d rows, %q", name, len(want), token)
		}
		rapid.Check(t, func(r *rapid.T) {
			var got []string
			for token := ""; ; {
				size := rapid.Int32Range(1, int32(len(want))+1).Draw(r, "size")
				var rows []string
				if rows, token = exported(ask(t, size, token)); len(rows) > int(size) {
					r.Fatalf("%s: %d rows on a page of %d", name, len(rows), size)
				}
				if got = append(got, rows...); token == "" {
					break
				}
			}
			if fmt.Sprintf("%q", got) != fmt.Sprintf("%q", want) {
				r.Fatalf("%s: %q, want %q", name, got, want)
			}
		})
	}

	handler, err := rest.New(conn, rest.Config{Log: discard})
	if err != nil {
		t.Fatal(err)
	}
	gateway := httptest.NewServer(handler)
	defer gateway.Close()
	get := func(path string, query url.Values) (int, []byte) {
		t.Helper()
		request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, gateway.URL+"/v1/"+harrowParent+"/"+path+"?"+query.Encode(), http.NoBody)
		if err != nil {
			t.Fatal(err)
		}
		response, err := http.DefaultClient.Do(request)
		if err != nil {
			t.Fatal(err)
		}
		defer response.Body.Close()
		body, err := io.ReadAll(response.Body)
		if err != nil {
			t.Fatal(err)
		}
		return response.StatusCode, body
	}
	for name, ask := range everyExport(conn) {
		for token, pages := "", 0; ; pages++ {
			want := ask(t, 3, token)
			code, body := get(name, url.Values{"pageSize": {"3"}, "pageToken": {token}})
			got := want.ProtoReflect().New().Interface()
			if err := protojson.Unmarshal(body, got); err != nil || code != http.StatusOK || !proto.Equal(got, want) {
				t.Fatalf("%s, page %d: %d %s, %v; want %v", name, pages, code, body, err, want)
			}
			if _, token = exported(want); token == "" {
				break
			}
		}
	}
	var problem struct{ Message string }
	code, body := get("prices:export", url.Values{"sinceRevision": {"9"}})
	if err := json.Unmarshal(body, &problem); err != nil || code != http.StatusBadRequest || !strings.Contains(string(body), `"sinceRevision"`) {
		t.Errorf("%d %s, %v", code, body, err)
	}
}
