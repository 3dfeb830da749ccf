package rpc

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
)

// priceFile is the CSV file in an import's stream of messages: a header, any
// number of chunks, a trailer. Reading it ends at the trailer.
type priceFile struct {
	stream  receiver
	header  *wattlev1.ImportPricesRequest_Header
	trailer *wattlev1.ImportPricesRequest_Trailer
	chunk   []byte // received and not yet read
	err     error  // the first one; it comes again at every read
	hash    hash.Hash
}

type receiver interface {
	Recv() (*wattlev1.ImportPricesRequest, error)
}

// openPriceFile takes the header.
func openPriceFile(stream receiver) (*priceFile, error) {
	first, err := stream.Recv()
	if errors.Is(err, io.EOF) || err == nil && first.GetHeader() == nil {
		return nil, outOfOrder("header", "expected a header as the first message")
	}
	if err != nil {
		return nil, err
	}
	return &priceFile{stream: stream, header: first.GetHeader(), hash: sha256.New()}, nil
}

// Read implements io.Reader over the chunks.
func (f *priceFile) Read(b []byte) (int, error) {
	for len(f.chunk) == 0 {
		if f.err == nil {
			f.err = f.next()
		}
		if f.err != nil {
			return 0, f.err
		}
	}
	n := copy(b, f.chunk)
	f.chunk = f.chunk[n:]
	return n, nil
}

// next takes one message; io.EOF after the trailer.
func (f *priceFile) next() error {
	m, err := f.stream.Recv()
	if errors.Is(err, io.EOF) {
		return outOfOrder("trailer", "the stream ended without a trailer, so the file may have been cut")
	}
	if err != nil {
		return err
	}
	switch part := m.GetPart().(type) {
	case *wattlev1.ImportPricesRequest_CsvChunk:
		f.chunk = part.CsvChunk
		_, _ = f.hash.Write(part.CsvChunk) // never fails
		return nil
	case *wattlev1.ImportPricesRequest_Trailer_:
		f.trailer = part.Trailer
		if _, err := f.stream.Recv(); !errors.Is(err, io.EOF) {
			if err == nil {
				err = outOfOrder("trailer", "expected nothing after the trailer")
			}
			return err
		}
		return io.EOF
	default:
		return outOfOrder("header", "expected one header, as the first message")
	}
}

// whole is nil where the file came as it was sent and could be read. A damaged
// file is reported as that, and not as what the damage made of its rows.
func (f *priceFile) whole(rows int, parseErr error) error {
	if f.trailer == nil {
		return parseErr // reading stopped before the end
	}
	v := &fault.List{}
	if sum := hex.EncodeToString(f.hash.Sum(nil)); sum != f.trailer.GetSha256() {
		v.Add("trailer.sha256", "the file that arrived has SHA-256 %s: it was damaged or cut on its way", sum)
	} else if parseErr != nil {
		return parseErr
	}
	if parseErr == nil {
		v.Require(int64(rows) == f.trailer.GetRowCount(), "trailer.row_count", "the file that arrived has %d rows, without its first line", rows)
	}
	return v.Err()
}

// requestHash covers everything the caller sent but the request id.
func (f *priceFile) requestHash() [sha256.Size]byte {
	return sha256.Sum256(f.hash.Sum(canonical(f.header, "request_id")))
}

func outOfOrder(field, why string) error {
	var v fault.List
	v.Add(field, "%s", why)
	return v.Err()
}
