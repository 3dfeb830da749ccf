package driver

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"sync"
	"time"
)

// Call is what a request asks for.
type Call string

// The calls that the driver makes.
const (
	Create  Call = "create"
	Revise  Call = "revise"
	Issue   Call = "issue"
	Accept  Call = "accept"
	Decline Call = "decline"
	Import  Call = "import"
)

// Entry is a line of a ledger: an intent where it has a Call, else what came of
// the intent with its ID.
type Entry struct {
	Time time.Time `json:"time"`
	ID   string    `json:"id"` // the request id

	// Of an intent.
	Call Call `json:"call,omitempty"`
	// Key is which of the driver's keys shows up with it. A request id is known
	// to its key alone, so it is repeated with that.
	Key int `json:"key,omitempty"`
	// Quote is the resource name of what the request is about.
	Quote string `json:"quote,omitempty"`
	// Reference is the external reference of the quote that the request makes,
	// and of no other.
	Reference string `json:"reference,omitempty"`
	// Request is the request, the messages of a stream one by one.
	Request [][]byte `json:"request,omitempty"`

	// Of what came of it. Answer is nil where the request was refused for good.
	Answer  *Answer `json:"answer,omitempty"`
	Refused string  `json:"refused,omitempty"`
}

// Answer is what the service acknowledged.
type Answer struct {
	// Of a quote.
	Name        string `json:"name,omitempty"`
	Fingerprint string `json:"fingerprint,omitempty"`
	State       string `json:"state,omitempty"`
	Sequence    int32  `json:"sequence,omitempty"`
	ETag        string `json:"etag,omitempty"`
	// Of an import: the revision it made, and the head's hash after it.
	Revision int64  `json:"revision,omitempty"`
	Hash     string `json:"hash,omitempty"`
}

// Ledger is a file of entries that is only added to. Any number of goroutines
// may use it.
type Ledger struct {
	mu      sync.Mutex
	file    *os.File
	entries []Entry
}

// OpenLedger opens the ledger in a file, and makes one where there is none. A
// last line that was cut short, since the driver was killed while it wrote, is
// dropped: what it would have said was not relied on yet.
func OpenLedger(path string) (*Ledger, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	l := &Ledger{file: file}
	if err := l.read(); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), file.Close())
	}
	return l, nil
}

func (l *Ledger) read() error {
	in := bufio.NewReader(l.file)
	var whole int64
	for {
		line, err := in.ReadBytes('\n')
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		var e Entry
		if err := json.Unmarshal(line, &e); err != nil {
			return fmt.Errorf("after byte %d: %w", whole, err)
		}
		l.entries = append(l.entries, e)
		whole += int64(len(line))
	}
	if err := l.file.Truncate(whole); err != nil {
		return err
	}
	_, err := l.file.Seek(whole, io.SeekStart)
	return err
}

// Add writes an entry down. Once it returns, the entry outlasts a crash.
func (l *Ledger) Add(e Entry) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	e.Time = time.Now()
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	if _, err := l.file.Write(append(line, '\n')); err != nil {
		return err
	}
	l.entries = append(l.entries, e)
	return l.file.Sync()
}

// Entries is what stands in the ledger so far.
func (l *Ledger) Entries() []Entry {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.entries)
}

// Close closes the file.
func (l *Ledger) Close() error { return l.file.Close() }
