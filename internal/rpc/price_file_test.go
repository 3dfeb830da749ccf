package rpc

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
)

func header() *wattlev1.ImportPricesRequest {
	return &wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: &wattlev1.ImportPricesRequest_Header{
		Parent: "companies/harrow", RequestId: "list-1", Mode: wattlev1.ImportPricesRequest_MODE_PATCH,
	}}}
}

func chunk(text string) *wattlev1.ImportPricesRequest {
	return &wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: []byte(text)}}
}

func trailer(rows int64, file string) *wattlev1.ImportPricesRequest {
	sum := sha256.Sum256([]byte(file))
	return &wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: &wattlev1.ImportPricesRequest_Trailer{
		RowCount: rows, Sha256: hex.EncodeToString(sum[:]),
	}}}
}

// send sends the messages of one import, as far as the server takes them.
func send(t *testing.T, conn *grpc.ClientConn, messages ...*wattlev1.ImportPricesRequest) (*wattlev1.ImportPricesResponse, error) {
	t.Helper()
	stream, err := wattlev1.NewPriceBookServiceClient(conn).ImportPrices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range messages {
		if stream.Send(m) != nil {
			break // the answer says why
		}
	}
	return stream.CloseAndRecv()
}

const priceList = "item,effective,unit,price,currency\npost-4x4-8ft,2026-03-01,each,14.97,USD\nboard-1x6-6ft,2026-03-01,each,3.28,USD\n"

func TestImportsThatAreNotWhole(t *testing.T) {
	conn := openOffice(t, Config{CSV: book.CSVOptions{MaxBytes: 10_000, MaxRows: 50}}).conn // rows that can be read are staged
	badMode := header()
	badMode.GetHeader().Mode = wattlev1.ImportPricesRequest_MODE_UNSPECIFIED
	badMode.GetHeader().RequestId = ""
	type messages = []*wattlev1.ImportPricesRequest
	for name, c := range map[string]struct {
		messages messages
		code     codes.Code
		want     string // the start of the first violation, or of the message
	}{
		"nothing":              {nil, codes.InvalidArgument, "header: expected a header as the first message"},
		"an empty message":     {messages{{}}, codes.InvalidArgument, "part: exactly one field is required in oneof"},
		"no header":            {messages{chunk(priceList), trailer(2, priceList)}, codes.InvalidArgument, "header: expected a header as the first message"},
		"two headers":          {messages{header(), header()}, codes.InvalidArgument, "header: expected one header"},
		"a bad header":         {messages{badMode}, codes.InvalidArgument, "header.request_id: does not match"},
		"no trailer":           {messages{header(), chunk(priceList)}, codes.InvalidArgument, "trailer: the stream ended without a trailer"},
		"cut in a row":         {messages{header(), chunk(priceList[:90]), trailer(2, priceList)}, codes.InvalidArgument, "trailer.sha256: the file that arrived has SHA-256 "},
		"a row too few":        {messages{header(), chunk(priceList), trailer(3, priceList)}, codes.InvalidArgument, "trailer.row_count: the file that arrived has 2 rows"},
		"more after the end":   {messages{header(), chunk(priceList), trailer(2, priceList), chunk("x")}, codes.InvalidArgument, "trailer: expected nothing after the trailer"},
		"an empty chunk":       {messages{header(), chunk("")}, codes.InvalidArgument, "csv_chunk: must be at least 1 byte"},
		"a bad number":         {messages{header(), chunk(strings.Replace(priceList, "3.28", "3,28", 1)), trailer(2, strings.Replace(priceList, "3.28", "3,28", 1))}, codes.InvalidArgument, "line 3: expected 5 fields, found 6"},
		"UTF-16":               {messages{header(), chunk("\xff\xfei\x00"), trailer(2, "\xff\xfei\x00")}, codes.InvalidArgument, "line 1, column 1: the file is UTF-16"},
		"over the size limit":  {messages{header(), chunk(strings.Repeat("x", 9_000)), chunk(strings.Repeat("x", 9_000))}, codes.ResourceExhausted, "the price list is too large: at most 10000 bytes"},
		"over the row limit":   {messages{header(), chunk(priceList), chunk(strings.Repeat("a,2026-03-01,each,1,USD\n", 100))}, codes.ResourceExhausted, "the price list is too large: at most 50 rows"},
		"a chunk over 1 MiB":   {messages{header(), chunk(strings.Repeat("x", 1<<20+1))}, codes.InvalidArgument, "csv_chunk: must be at most 1048576 bytes"},
		"a message over 4 MiB": {messages{header(), chunk(strings.Repeat("x", 5<<20))}, codes.ResourceExhausted, "grpc: received message larger than max"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := send(t, conn, c.messages...)
			st := status.Convert(err)
			got := st.Message()
			if lines := describe(st); len(lines) > 0 {
				got = lines[0]
			}
			if st.Code() != c.code || !strings.HasPrefix(got, c.want) {
				t.Errorf("%v %q, want %v %q", st.Code(), got, c.code, c.want)
			}
		})
	}
}
