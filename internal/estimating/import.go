package estimating

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"iter"
	"time"

	"wattle/internal/book"
	"wattle/internal/fault"
)

// ImportStore keeps what imports need on their way into the book.
type ImportStore interface {
	// Stage keeps rows of a list until Discard. The first call of a list has no
	// id, and is answered with the one for the others.
	Stage(ctx context.Context, company, id string, rows []book.Row) (string, error)
	// Clashes are what is wrong between the rows staged under an id, the first
	// ones by line: what book.Gather finds.
	Clashes(ctx context.Context, company, id string, limit int) (book.Clashes, error)
	// Discard removes the rows staged under an id.
	Discard(ctx context.Context, company, id string) error
	// Imported is the outcome of an earlier import with this key, and whether
	// there is one.
	Imported(ctx context.Context, key RequestKey, in book.Import) (book.Outcome, bool, error)

	// StartUpload keeps an import whose file comes in parts, and answers its
	// id: u.ID, or that of an earlier call with the key.
	StartUpload(ctx context.Context, key RequestKey, u Upload) (string, error)
	// Upload is NotFound (IMPORT_NOT_FOUND) where there is none.
	Upload(ctx context.Context, company, id string) (Upload, error)
	// AddPart keeps a part of the file, numbered from 1. The same part once
	// more does nothing; with other content it is AlreadyExists
	// (PART_DIFFERS). More than most bytes in all are Exhausted.
	AddPart(ctx context.Context, company, id string, part int, content []byte, most int64) error
	// Parts says how many parts there are; Invalid where one is missing
	// between them.
	Parts(ctx context.Context, company, id string) (int, error)
	Part(ctx context.Context, company, id string, part int) ([]byte, error)
	// DropParts removes the parts of a file that is in the book.
	DropParts(ctx context.Context, company, id string) error
}

// Upload is an import whose file comes in parts.
type Upload struct {
	ID string
	// Key is that of the call that started it.
	Key RequestKey
	// Import is what that call said, without entries.
	Import book.Import
}

// stageRows is how many rows are staged at a time: short transactions, and
// little memory.
const stageRows = 10_000

// discardTimeout is how long removing a list's rows may take after its import,
// when the caller may be gone.
const discardTimeout = 30 * time.Second

// ImportPriceList adds a price list of any length to the book, or with DryRun
// says what it would change. Memory does not grow with the list.
//
// Its rows name their office, or are of the list's; the caller must write at
// each of them.
//
// seal is called when all rows were read, before the last of them are staged.
// It makes the key, or says why the list is not whole; where something is wrong
// with the rows too, that comes first.
func (s *Service) ImportPriceList(ctx context.Context, in book.Import, list *book.PriceList, seal func() (RequestKey, error)) (out book.Outcome, err error) {
	if err := alive(ctx); err != nil {
		return book.Outcome{}, err
	}
	staging := &staging{store: s.Prices, company: in.Company, offices: make(map[string]bool)}
	defer func() {
		if discarded := staging.discard(ctx); err == nil {
			err = discarded
		}
	}()
	if err := staging.add(ctx, list.Rows()); err != nil {
		return book.Outcome{}, err
	}
	key, err := seal()
	if err != nil {
		return book.Outcome{}, err
	}
	if err := staging.finish(ctx); err != nil {
		return book.Outcome{}, err
	}
	if list.Flawed() {
		return book.Outcome{}, staging.flaws(ctx, list)
	}
	in.Staged = staging.id
	out, err = s.Prices.Import(ctx, key, in)
	if e, ok := errors.AsType[*fault.Error](err); ok && e.Reason == RowsClash {
		return book.Outcome{}, staging.flaws(ctx, list)
	}
	return out, err
}

// RowsClash is the reason of a PriceStore that was given rows that contradict
// one another.
const RowsClash = "ROWS_CLASH"

// staging brings rows into a store, a batch at a time, while the next one is
// read.
type staging struct {
	store   PriceStore
	company string
	id      string
	offices map[string]bool // at which the caller writes
	batch   []book.Row
	spare   []book.Row
	// pending is the error of the batch that is being staged; nil where none is.
	pending chan error
}

func (s *staging) add(ctx context.Context, rows iter.Seq2[book.Row, error]) error {
	for r, err := range rows {
		if err != nil {
			return err
		}
		if at := r.Entry.Office; !s.offices[at] {
			if _, err := writesAt(ctx, s.company, "header.office", at); err != nil {
				return err
			}
			s.offices[at] = true
		}
		if s.batch = append(s.batch, r); len(s.batch) == stageRows {
			if err := s.flush(ctx); err != nil {
				return err
			}
		}
	}
	return nil
}

// flush hands the batch over. The first one is waited for, since it makes the
// id.
func (s *staging) flush(ctx context.Context) (err error) {
	if err := s.wait(); err != nil {
		return err
	}
	batch := s.batch
	s.batch, s.spare = s.spare[:0], batch
	if s.id == "" {
		s.id, err = s.store.Stage(ctx, s.company, "", batch)
		return err
	}
	pending := make(chan error, 1)
	s.pending = pending
	go func() {
		_, err := s.store.Stage(ctx, s.company, s.id, batch)
		pending <- err
	}()
	return nil
}

func (s *staging) wait() error {
	if s.pending == nil {
		return nil
	}
	err := <-s.pending
	s.pending = nil
	return err
}

func (s *staging) finish(ctx context.Context) error {
	if len(s.batch) > 0 {
		if err := s.flush(ctx); err != nil {
			return err
		}
	}
	return s.wait()
}

// flaws is the error with everything wrong in the list and between its rows.
func (s *staging) flaws(ctx context.Context, list *book.PriceList) error {
	var clashes book.Clashes
	if s.id != "" {
		var err error
		if clashes, err = s.store.Clashes(ctx, s.company, s.id, list.MaxViolations()); err != nil {
			return err
		}
	}
	return list.Err(clashes)
}

// discard removes the rows, though the caller may be gone.
func (s *staging) discard(ctx context.Context) error {
	_ = s.wait() // whatever became of it, nothing more is staged after
	if s.id == "" {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), discardTimeout)
	defer cancel()
	return s.store.Discard(ctx, s.company, s.id)
}

// StartUpload opens an import whose file comes in parts, and answers its id.
func (s *Service) StartUpload(ctx context.Context, key RequestKey, in book.Import) (string, error) {
	at, err := writesAt(ctx, in.Company, "header.office", in.Office)
	if err != nil {
		return "", err
	}
	in.Office = at
	return s.Prices.StartUpload(ctx, key, Upload{ID: s.NewID(), Key: key, Import: in})
}

// CommitUpload does with the parts of an upload what ImportPriceList does with a
// list. whole says whether the file, with that SHA-256, is the one that was
// meant.
func (s *Service) CommitUpload(ctx context.Context, key RequestKey, u Upload, in book.Import, opt book.CSVOptions,
	whole func(list *book.PriceList, hash [sha256.Size]byte) error) (book.Outcome, error) {
	if !in.DryRun { // the parts may be gone since
		if out, done, err := s.Prices.Imported(ctx, key, in); err != nil || done {
			return out, err
		}
	}
	parts, err := s.Prices.Parts(ctx, in.Company, u.ID)
	if err != nil {
		return book.Outcome{}, err
	}
	sum := sha256.New()
	opt.Office, opt.AcceptZeroPrices = in.Office, in.AcceptZeroPrices
	file := io.TeeReader(&uploadedFile{ctx: ctx, store: s.Prices, upload: u, parts: parts}, sum)
	list := book.NewCSV(file, opt)
	out, err := s.ImportPriceList(ctx, in, list, func() (RequestKey, error) {
		// A list that cannot be understood is not read to its end.
		if _, err := io.Copy(io.Discard, file); err != nil {
			return key, err
		}
		return key, whole(list, [sha256.Size]byte(sum.Sum(nil)))
	})
	if err != nil || in.DryRun {
		return out, err
	}
	return out, s.Prices.DropParts(ctx, in.Company, u.ID)
}

// uploadedFile reads the parts of a file one after another.
type uploadedFile struct {
	ctx         context.Context // an io.Reader for the length of one call
	store       ImportStore
	upload      Upload
	parts, next int
	content     []byte
}

// Read implements io.Reader.
func (f *uploadedFile) Read(b []byte) (int, error) {
	for len(f.content) == 0 {
		if f.next == f.parts {
			return 0, io.EOF
		}
		f.next++
		content, err := f.store.Part(f.ctx, f.upload.Key.Company, f.upload.ID, f.next)
		if err != nil {
			return 0, err
		}
		f.content = content
	}
	n := copy(b, f.content)
	f.content = f.content[n:]
	return n, nil
}
