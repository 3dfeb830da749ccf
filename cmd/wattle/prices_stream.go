package main

import (
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// chunkBytes is well below the service's limit for one chunk, 1 MiB.
const chunkBytes = 256 << 10

// importList streams a price list as it is read: header, chunks, trailer.
func importList(ctx context.Context, conn *grpc.ClientConn, header *wattlev1.ImportPricesRequest_Header, list io.Reader, p *progress) (*wattlev1.ImportPricesResponse, error) {
	defer p.end()
	stream, err := prices(conn).ImportPrices(ctx)
	if err != nil {
		return nil, err
	}
	rows := startCounting()
	defer rows.stop()
	sum := sha256.New()
	err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: header}})
	for err == nil {
		chunk := make([]byte, chunkBytes) // a message that was sent is not the sender's any more
		n, end := io.ReadFull(list, chunk)
		if n > 0 {
			_, _ = sum.Write(chunk[:n]) // never fails
			rows.add(chunk[:n])
			err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: chunk[:n]}})
			p.add(n)
		}
		if errors.Is(end, io.EOF) || errors.Is(end, io.ErrUnexpectedEOF) {
			break
		}
		if end != nil { // leaving the call cancels it
			return nil, fmt.Errorf("read the price list: %w", end)
		}
	}
	if err == nil {
		err = stream.Send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{
			Trailer: &wattlev1.ImportPricesRequest_Trailer{RowCount: rows.stop(), Sha256: hex.EncodeToString(sum.Sum(nil))}}})
	}
	if err != nil && !errors.Is(err, io.EOF) { // EOF: the answer says why
		return nil, err
	}
	return stream.CloseAndRecv()
}

// counting counts the rows of a list beside its sending.
type counting struct {
	in    *io.PipeWriter
	count func() int64
}

func startCounting() counting {
	out, in := io.Pipe()
	counted := make(chan int64, 1)
	go func() { counted <- countRows(out) }()
	return counting{in, sync.OnceValue(func() int64 { return <-counted })}
}

func (c counting) add(b []byte) { _, _ = c.in.Write(b) } // countRows reads to the end

// stop is how many rows came.
func (c counting) stop() int64 {
	_ = c.in.Close() // never fails
	return c.count()
}

// countRows counts the rows of a list as the service does: its header line is
// none. A file that is no CSV is left to the service to complain of.
func countRows(list io.Reader) int64 {
	in := csv.NewReader(list)
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
