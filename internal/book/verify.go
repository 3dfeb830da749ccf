package book

import (
	"cmp"
	"fmt"
	"slices"

	"wattle/internal/civil"
)

// RevisionRecord is a revision as a book keeps it beside its rows.
type RevisionRecord struct {
	// Head is the revision with its chain hash, Content the hash of its rows.
	Head    Head
	Content [32]byte
	// Entries is how many rows it brought, Latest the latest effective date of
	// any row up to it, which the search for a price starts from.
	Entries int64
	Latest  civil.Date
}

// SeenHead is a head that quotes were priced from.
type SeenHead struct {
	Head   Head
	Quotes int64  // how many
	First  string // one of them
	// Stored is the chain hash that the book has for the revision now; nil where
	// it has none.
	Stored *[32]byte
}

// ProblemKind is what is wrong with a book. The words are stable.
type ProblemKind string

const (
	RowContent      ProblemKind = "row-content"      // a row is not what it was
	MissingRow      ProblemKind = "missing-row"      // a row is gone
	AddedRow        ProblemKind = "added-row"        // there is a row too many
	MissingRevision ProblemKind = "missing-revision" // the revision is gone, or never was
	BadChain        ProblemKind = "chain"            // its hash does not follow from its rows and the revision before
	BadIndex        ProblemKind = "index"            // what is kept beside the rows is not what they say
	BadHead         ProblemKind = "head"             // the head is not that of the newest revision
	Unexpected      ProblemKind = "expected"         // it is not the head that was expected
	Unseen          ProblemKind = "quote"            // it is not the head that quotes have seen
)

// ProblemKinds lists every kind.
func ProblemKinds() []ProblemKind {
	return []ProblemKind{RowContent, MissingRow, AddedRow, MissingRevision, BadChain, BadIndex, BadHead, Unexpected, Unseen}
}

// Problem is one thing wrong with a book.
type Problem struct {
	Kind     ProblemKind
	Revision Revision
	Text     string // a sentence
}

// MostProblems bounds a report's list.
const MostProblems = 100

// Report is what a verification found.
type Report struct {
	Head            Head // as stored
	Entries, Quotes int64
	// Problems are at most MostProblems, the lowest revision first; Count is how
	// many there are. FirstBad is the lowest revision of them all.
	Problems []Problem
	Count    int
	FirstBad Revision
}

// Intact reports that nothing is wrong.
func (r Report) Intact() bool { return r.Count == 0 }

// Verification computes the hashes of a company's book anew, from the rows of
// every office in order, and keeps none of them. What is wrong with a revision
// is told of that one: the next is held against the hash that is stored for it.
//
// One who may write every row can compute every hash anew as well. That shows
// where the head is known from outside, or to the quotes.
type Verification struct {
	company  string
	expected []Head

	last   Head       // of the revision before, as stored
	latest civil.Date // of the same
	open   *RevisionRecord
	gap    bool // the revision before is missing
	rows   int64
	newest civil.Date // of the open revision's rows
	bad    bool       // a row of it cannot be read
	hash   *ContentHasher
	stray  *Revision // the last one told of without a record

	report Report
}

// NewVerification starts a verification. Expected heads are known from outside.
func NewVerification(company string, expected []Head) *Verification {
	expected = slices.SortedFunc(slices.Values(expected), func(a, b Head) int { return cmp.Compare(a.Revision, b.Revision) })
	return &Verification{company: company, expected: expected}
}

// Revision starts the next revision, in ascending order. Its rows follow.
func (v *Verification) Revision(r RevisionRecord) {
	v.close()
	if v.gap = r.Head.Revision != v.last.Revision+1; v.gap {
		v.missing(v.last.Revision+1, r.Head.Revision-1)
	}
	v.open, v.rows, v.newest, v.bad, v.hash = &r, 0, civil.Date{}, false, NewContentHasher()
}

func (v *Verification) missing(from, to Revision) {
	switch {
	case from == to:
		v.found(MissingRevision, from, "revision %d is missing", from)
	case from < to:
		v.found(MissingRevision, from, "revisions %d to %d are missing", from, to)
	}
}

// Entry is the next row, by revision, and within one by item, office, supplier
// and effective date, texts by their bytes.
func (v *Verification) Entry(e Entry) {
	if !v.row(e.Revision) {
		return
	}
	v.hash.Add(e)
	if e.Effective.Compare(v.newest) > 0 {
		v.newest = e.Effective
	}
}

// Unreadable is a row that holds no entry.
func (v *Verification) Unreadable(r Revision) {
	if v.row(r) {
		v.bad = true
	}
}

// row counts a row; false where there is no revision that it could be of.
func (v *Verification) row(r Revision) bool {
	v.report.Entries++
	if v.open != nil && v.open.Head.Revision == r {
		v.rows++
		return true
	}
	if v.stray == nil || *v.stray != r {
		v.found(AddedRow, r, "there are rows of revision %d, and the book has no such revision", r)
	}
	v.stray = &r
	return false
}

func (v *Verification) close() {
	if v.open == nil {
		return
	}
	r := *v.open
	n, sum := r.Head.Revision, v.hash.Sum()
	same := sum == r.Content && !v.bad
	latest := v.latest
	if v.newest.Compare(latest) > 0 {
		latest = v.newest
	}
	switch {
	case same && v.rows != r.Entries:
		v.found(BadIndex, n, "revision %d is said to have brought %d rows and has %d, which are those of its hash", n, r.Entries, v.rows)
	case v.rows < r.Entries:
		v.found(MissingRow, n, "of the %d rows that revision %d brought %d are left", r.Entries, n, v.rows)
	case v.rows > r.Entries:
		v.found(AddedRow, n, "revision %d brought %d rows and has %d now", n, r.Entries, v.rows)
	case !same:
		v.found(RowContent, n, "the %d rows of revision %d do not give the hash that is stored for them: what one of them says was changed", v.rows, n)
	case latest != r.Latest:
		v.found(BadIndex, n, "the search for prices as of revision %d starts at %v, and the latest date of any row is %v", n, r.Latest, latest)
	}
	if next := (Head{n - 1, v.last.Hash}).Next(v.company, r.Content); !v.gap && next.Hash != r.Head.Hash {
		v.found(BadChain, n, "the hash of revision %d does not follow from that of revision %d and from its own rows' hash: one of the three was changed", n, n-1)
	}
	for len(v.expected) > 0 && v.expected[0].Revision <= n {
		v.expect(v.expected[0], r.Head)
		v.expected = v.expected[1:]
	}
	v.last, v.latest, v.open = r.Head, r.Latest, nil
}

func (v *Verification) expect(want, got Head) {
	switch {
	case want.Revision == 0:
		if want != (Head{}) {
			v.found(Unexpected, 0, "revision 0 is the empty book, whose hash is all zeros, and %x was expected", want.Hash)
		}
	case want.Revision < got.Revision: // told of as missing
	case want.Hash != got.Hash:
		v.found(Unexpected, want.Revision, "revision %d has the hash %x, and %x was expected: it or an earlier one was changed, and the hashes computed anew",
			want.Revision, got.Hash, want.Hash)
	}
}

// Seen is a head that quotes were priced from.
func (v *Verification) Seen(s SeenHead) {
	v.report.Quotes += s.Quotes
	stored := s.Stored
	if s.Head.Revision == 0 {
		stored = new([32]byte)
	}
	who := fmt.Sprintf("%d quotes, such as %s,", s.Quotes, s.First)
	if s.Quotes == 1 {
		who = "quote " + s.First
	}
	n := s.Head.Revision
	switch {
	case stored == nil:
		v.found(Unseen, n, "%s saw revision %d, which the book does not have", who, n)
	case *stored != s.Head.Hash:
		v.found(Unseen, n, "%s saw revision %d with the hash %x, and the book has %x: it or an earlier one was changed, and the hashes computed anew",
			who, n, s.Head.Hash, *stored)
	}
}

// End says what was found in a book with that head.
func (v *Verification) End(head Head) Report {
	v.close()
	v.report.Head = head
	switch {
	case head.Revision > v.last.Revision:
		v.missing(v.last.Revision+1, head.Revision)
	case head.Revision < v.last.Revision:
		v.found(BadHead, head.Revision+1, "the book's head is revision %d, and its newest revision is %d", head.Revision, v.last.Revision)
	case head.Hash != v.last.Hash:
		v.found(BadHead, head.Revision, "the book's head has the hash %x, and revision %d has %x", head.Hash, head.Revision, v.last.Hash)
	}
	for _, want := range v.expected {
		if want.Revision > 0 {
			v.found(Unexpected, want.Revision, "revision %d was expected, and the book ends at revision %d", want.Revision, v.last.Revision)
		} else {
			v.expect(want, Head{})
		}
	}
	r := &v.report
	slices.SortStableFunc(r.Problems, func(a, b Problem) int { return cmp.Compare(a.Revision, b.Revision) })
	r.Problems = r.Problems[:min(len(r.Problems), MostProblems)]
	return *r
}

func (v *Verification) found(k ProblemKind, n Revision, format string, args ...any) {
	r := &v.report
	if r.Count == 0 || n < r.FirstBad {
		r.FirstBad = n
	}
	r.Count++
	if len(r.Problems) < 10*MostProblems { // some more than are told of: later ones may be of lower revisions
		r.Problems = append(r.Problems, Problem{k, n, sentence(format, args...)})
	}
}
