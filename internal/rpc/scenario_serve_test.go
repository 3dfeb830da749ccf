package rpc

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"testing"

	wattlev1 "wattle/api/wattle/v1"
)

// importScenario sends a price list the way a client does: a header, the file
// in pieces, a trailer with its length and hash.
func importScenario(t *testing.T, client wattlev1.PriceBookServiceClient, parent string, csv []byte) *wattlev1.ImportPricesResponse {
	t.Helper()
	stream, err := client.ImportPrices(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	send := func(m *wattlev1.ImportPricesRequest) {
		if err := stream.Send(m); err != nil && !errors.Is(err, io.EOF) { // the answer says why it ended
			t.Fatal(err)
		}
	}
	sum := sha256.Sum256(csv)
	send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: &wattlev1.ImportPricesRequest_Header{
		Parent: parent, RequestId: "import-" + hex.EncodeToString(sum[:4]), Mode: wattlev1.ImportPricesRequest_MODE_PATCH,
	}}})
	rows := bytes.Count(csv, []byte("\n")) - 1
	for part := csv; len(part) > 0; part = part[min(len(part), 700):] {
		send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: part[:min(len(part), 700)]}})
	}
	send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: &wattlev1.ImportPricesRequest_Trailer{
		RowCount: int64(rows), Sha256: hex.EncodeToString(sum[:]),
	}}})
	answer, err := stream.CloseAndRecv()
	if err != nil {
		t.Fatal(err)
	}
	return answer
}
