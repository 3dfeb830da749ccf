package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"io"
	"slices"
	"strings"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// chunkBytes is well below the service's limit for one chunk, 1 MiB.
const chunkBytes = 64 << 10

// importList streams a price list: header, chunks, trailer.
func importList(ctx context.Context, conn *grpc.ClientConn, header *wattlev1.ImportPricesRequest_Header, list []byte, p *progress) (*wattlev1.ImportPricesResponse, error) {
	defer p.end()
	stream, err := prices(conn).ImportPrices(ctx)
	if err != nil {
		return nil, err
	}
	err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: header}})
	for chunk := range slices.Chunk(list, chunkBytes) {
		if err != nil {
			break
		}
		err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: chunk}})
		p.add(len(chunk))
	}
	if err == nil {
		sum := sha256.Sum256(list)
		err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{
			Trailer: &wattlev1.ImportPricesRequest_Trailer{RowCount: countRows(list), Sha256: hex.EncodeToString(sum[:])}}})
	}
	if err != nil && !errors.Is(err, io.EOF) { // EOF: the answer says why
		return nil, err
	}
	return stream.CloseAndRecv()
}

// countRows counts the rows of a list as the service does: its header line is
// none. A file that is no CSV is left to the service to complain of.
func countRows(list []byte) int64 {
	in := csv.NewReader(bytes.NewReader(list))
	in.FieldsPerRecord = -1
	in.ReuseRecord = true
	rows := int64(-1)
	for {
		_, err := in.Read()
		if errors.Is(err, io.EOF) {
			return max(rows, 0)
		}
		if _, bad := errors.AsType[*csv.ParseError](err); err != nil && !bad {
			return max(rows, 0)
		}
		if err == nil {
			rows++
		}
	}
}

func changeTable(changes []*wattlev1.PriceChange) *table {
	t := newTable("change", "item", "supplier", "effective", ">was", ">now", ">percent")
	for _, c := range changes {
		percent := difference(c.GetPercent())
		if percent != "" {
			percent += " %"
		}
		t.add(strings.ToLower(strings.TrimPrefix(c.GetKind().String(), "KIND_")), c.GetNew().GetItem(), c.GetNew().GetSupplier(),
			c.GetNew().GetEffectiveDate(), firstPrice(c.GetOld()), firstPrice(c.GetNew()), percent)
	}
	return t
}

func firstPrice(e *wattlev1.PriceEntry) string {
	if len(e.GetBreaks()) == 0 {
		return ""
	}
	return e.GetBreaks()[0].GetPrice()
}
