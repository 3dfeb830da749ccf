package rpc

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/fault"
)

// priceFile is the price list in an import's stream of messages: a header, any
// number of chunks of a CSV file, or of rows, a trailer. Reading it ends at the
// trailer.
type priceFile struct {
	stream  receiver
	header  *wattlev1.ImportPricesRequest_Header
	trailer *wattlev1.ImportPricesRequest_Trailer
	chunk   []byte               // received and not yet read
	rows    []*wattlev1.PriceRow // likewise
	form    priceForm            // of the parts so far
	err     error                // the first one; it comes again at every read
	hash    hash.Hash            // of the file, or of the rows' canonical texts
}

type priceForm int

const (
	noForm priceForm = iota
	csvForm
	rowsForm
)

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

// list is the price list that the stream brings; its first part says in which
// form.
func (f *priceFile) list(opt book.CSVOptions) *book.PriceList {
	if f.err = f.next(); f.form == rowsForm {
		return book.NewRecords(f.records, opt)
	}
	return book.NewCSV(f, opt)
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

// records is a sequence of the rows.
func (f *priceFile) records(yield func(book.Record, error) bool) {
	for f.err == nil {
		for _, r := range f.rows {
			if !yield(recordFromProto(r), nil) {
				return
			}
		}
		f.err = f.next()
	}
	if !errors.Is(f.err, io.EOF) {
		yield(book.Record{}, f.err)
	}
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
	f.rows = nil
	switch part := m.GetPart().(type) {
	case *wattlev1.ImportPricesRequest_CsvChunk:
		f.chunk = part.CsvChunk
		_, _ = f.hash.Write(part.CsvChunk) // never fails
		return f.take(csvForm)
	case *wattlev1.ImportPricesRequest_Rows_:
		f.rows = part.Rows.GetRows()
		for _, r := range f.rows {
			_, _ = f.hash.Write(canonical(r))
		}
		return f.take(rowsForm)
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

func (f *priceFile) take(form priceForm) error {
	if f.form != noForm && f.form != form {
		return outOfOrder("part", "expected chunks of a CSV file or rows, not both")
	}
	f.form = form
	return nil
}

// whole is nil where the list came as it was sent.
func (f *priceFile) whole(list *book.PriceList) error {
	switch {
	case f.trailer == nil: // reading stopped before the end, and the list knows why
		return nil
	case f.form == rowsForm:
		v := &fault.List{}
		v.Require(f.trailer.GetSha256() == "", "trailer.sha256", "expected none, since there is no file")
		rowCount(v, f.trailer, list, "the stream had %d rows")
		return v.Err()
	default:
		return wholeFile(list, f.trailer, [sha256.Size]byte(f.hash.Sum(nil)))
	}
}

// wholeFile is nil where the file came as it was sent. A damaged file is
// reported as that, and not as what the damage made of its rows.
func wholeFile(list *book.PriceList, trailer *wattlev1.ImportPricesRequest_Trailer, came [sha256.Size]byte) error {
	v := &fault.List{}
	if sum := hex.EncodeToString(came[:]); sum != trailer.GetSha256() {
		v.Add("trailer.sha256", "the file that arrived has SHA-256 %s: it was damaged or cut on its way", sum)
	}
	rowCount(v, trailer, list, "the file that arrived has %d rows, without its first line")
	return v.Err()
}

// rowCount says what is wrong with the trailer's count, unless the list has
// flaws of its own to tell.
func rowCount(v *fault.List, trailer *wattlev1.ImportPricesRequest_Trailer, list *book.PriceList, found string) {
	if !list.Flawed() {
		v.Require(int64(list.Count()) == trailer.GetRowCount(), "trailer.row_count", found, list.Count())
	}
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
