package book

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/civil"
)

// kept is a book as a store keeps it: rows and, beside them, what was recorded
// of each revision.
type kept struct {
	rows    [][]Entry // by revision, from 1 on
	records []RevisionRecord
	head    Head
	seen    []SeenHead
}

func keep(rows [][]Entry) kept {
	b := kept{rows: rows, seen: []SeenHead{{Head{}, 1, "q0", nil}}}
	var latest civil.Date
	for i, entries := range rows {
		for j := range entries {
			entries[j].Revision = Revision(i + 1)
			if entries[j].Effective.Compare(latest) > 0 {
				latest = entries[j].Effective
			}
		}
		c := ContentHash(entries)
		b.head = b.head.Next("harrow", c)
		b.records = append(b.records, RevisionRecord{b.head, c, int64(len(entries)), latest})
		b.seen = append(b.seen, SeenHead{b.head, 2, fmt.Sprint("q", i+1), nil})
	}
	return b
}

// again computes every hash of the chain anew, as a forger would who may write
// all of it but what quotes have seen.
func (b kept) again() kept {
	forged := keep(b.rows)
	forged.seen = b.seen
	return forged
}

func (b kept) verify(expected ...Head) Report {
	v := NewVerification("harrow", expected)
	stored := map[Revision][32]byte{}
	for _, r := range b.records {
		stored[r.Head.Revision] = r.Head.Hash
	}
	rest := slices.Concat(b.rows...)
	slices.SortStableFunc(rest, func(x, y Entry) int {
		if x.Revision != y.Revision {
			return int(x.Revision - y.Revision)
		}
		return compareSlots(x, y)
	})
	take := func(upTo Revision) {
		for len(rest) > 0 && rest[0].Revision <= upTo {
			v.Entry(rest[0])
			rest = rest[1:]
		}
	}
	for _, r := range b.records {
		take(r.Head.Revision - 1)
		v.Revision(r)
		take(r.Head.Revision)
	}
	take(1 << 30)
	for _, s := range b.seen {
		if hash, ok := stored[s.Head.Revision]; ok {
			s.Stored = &hash
		}
		v.Seen(s)
	}
	return v.End(b.head)
}

func (r Report) kinds() string {
	var all []string
	for _, p := range r.Problems {
		all = append(all, fmt.Sprintf("%d:%s", p.Revision, p.Kind))
	}
	return strings.Join(all, " ")
}

func sample() kept {
	return keep([][]Entry{
		entries("post 2026-01-01 10.00", "rail 2026-01-01 6.00"),
		entries("post 2026-02-01 11.00"),
		entries("rail@west 2026-02-15 5.90", "rail 2026-02-01 withdrawn"),
		entries("post 2026-04-01 12.00", "cap 2026-04-01 2.00"),
	})
}

func TestVerification(t *testing.T) {
	good := sample()
	came := map[ProblemKind]bool{}
	for name, c := range map[string]struct {
		spoil    func(*kept)
		expected []Head
		want     string
	}{
		"nothing":               {func(*kept) {}, []Head{{}, good.records[1].Head, good.head}, ""},
		"an empty book":         {func(b *kept) { *b = keep(nil) }, nil, ""},
		"a row edited":          {func(b *kept) { b.rows[1][0].Breaks[0].Price = b.rows[0][0].Breaks[0].Price }, nil, "2:row-content"},
		"a row of an office":    {func(b *kept) { b.rows[2][0].Office = "north" }, nil, "3:row-content"},
		"a row gone":            {func(b *kept) { b.rows[2] = b.rows[2][1:] }, nil, "3:missing-row"},
		"a row more":            {func(b *kept) { e := entry("nail 2026-01-01#2 3"); b.rows[1] = append(b.rows[1], e) }, nil, "2:added-row"},
		"a row of no revision":  {func(b *kept) { b.rows[3] = append(b.rows[3], entries("nail 2026-01-01#9 3", "nut 2026-01-01#9 3")...) }, nil, "9:added-row"},
		"its count":             {func(b *kept) { b.records[2].Entries++ }, nil, "3:index"},
		"where searches start":  {func(b *kept) { b.records[2].Latest = civil.Must("2026-01-15") }, nil, "3:index"},
		"its content hash":      {func(b *kept) { b.records[1].Content[0]++ }, nil, "2:row-content 2:chain"},
		"its chain hash":        {func(b *kept) { b.records[1].Head.Hash[0]++ }, nil, "2:chain 2:quote 3:chain"},
		"a revision gone":       {func(b *kept) { b.records, b.rows = slices.Delete(b.records, 1, 2), slices.Delete(b.rows, 1, 2) }, nil, "2:missing-revision 2:quote"},
		"the last two gone":     {func(b *kept) { b.records, b.rows = b.records[:2], b.rows[:2] }, nil, "3:quote 3:missing-revision 4:quote"},
		"cut, and its head too": {func(b *kept) { b.records, b.rows, b.head = b.records[:2], b.rows[:2], b.records[1].Head }, []Head{good.head}, "3:quote 4:quote 4:expected"},
		"the head":              {func(b *kept) { b.head.Hash[0]++ }, nil, "4:head"},
		"the head behind":       {func(b *kept) { b.head = b.records[2].Head }, nil, "4:head"},
		"forged throughout":     {func(b *kept) { b.rows[1][0].Effective = civil.Must("2026-01-15"); *b = b.again() }, []Head{good.records[2].Head, good.records[0].Head}, "2:quote 3:expected 3:quote 4:quote"},
		"expected what is not":  {func(*kept) {}, []Head{{Revision: 0, Hash: [32]byte{1}}, {Revision: 7}}, "0:expected 7:expected"},
		"a quote's head":        {func(b *kept) { b.seen[3].Head.Hash[0]++ }, nil, "3:quote"},
		"a quote of nothing":    {func(b *kept) { b.seen[0].Head.Hash[0]++ }, nil, "0:quote"},
		"renamed the company":   {func(b *kept) { *b = keep(b.rows); b.records[0].Head = Head{}.Next("larch", b.records[0].Content) }, nil, "1:chain 1:quote 2:chain"},
	} {
		b := sample()
		c.spoil(&b)
		r := b.verify(c.expected...)
		if r.kinds() != c.want || r.Intact() != (c.want == "") || r.Count != len(r.Problems) {
			t.Errorf("%s: %s, want %s", name, r.kinds(), c.want)
		}
		if len(r.Problems) > 0 && r.FirstBad != r.Problems[0].Revision {
			t.Errorf("%s: first bad %d", name, r.FirstBad)
		}
		for _, p := range r.Problems {
			came[p.Kind] = true
			if strings.Contains(p.Text, "%!") || !strings.HasSuffix(p.Text, ".") {
				t.Errorf("%s: %s", name, p.Text)
			}
		}
	}
	for _, k := range ProblemKinds() {
		if !came[k] {
			t.Errorf("%s never came up", k)
		}
	}
}

// A book that nobody touched is intact; any change of a row is told of its own
// revision and no other; computed anew throughout, it is told by every head that
// is known from outside from that revision on.
func TestVerificationLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		revision := rapid.SliceOfNDistinct(rapid.Custom(anyEntry), 1, 4, Entry.slot)
		b := keep(rapid.SliceOfN(revision, 1, 5).Draw(t, "book"))
		heads := []Head{}
		for _, r := range b.records {
			heads = append(heads, r.Head)
		}
		if r := b.verify(heads...); !r.Intact() || r.Entries != int64(len(slices.Concat(b.rows...))) || r.Quotes != int64(1+2*len(b.rows)) {
			t.Fatalf("%+v", r)
		}
		at := rapid.IntRange(0, len(b.rows)-1).Draw(t, "revision")
		e := &b.rows[at][rapid.IntRange(0, len(b.rows[at])-1).Draw(t, "row")]
		e.Description += "x"
		n := Revision(at + 1)
		if r := b.verify(heads...); r.Count != 1 || r.FirstBad != n || r.Problems[0].Kind != RowContent {
			t.Fatalf("a row of revision %d changed: %s", n, r.kinds())
		}
		forged := b.again()
		forged.seen = nil
		if r := forged.verify(); !r.Intact() {
			t.Fatalf("computed anew throughout, and caught without a head: %s", r.kinds())
		}
		for _, head := range heads {
			if r := forged.verify(head); r.Intact() != (head.Revision < n) {
				t.Fatalf("revision %d forged, %d expected: %s", n, head.Revision, r.kinds())
			}
		}
		forged = b.again()
		if r := forged.verify(); r.FirstBad != n || r.Problems[0].Kind != Unseen {
			t.Fatalf("revision %d forged: quotes show %s", n, r.kinds())
		}
	})
}

func TestAReportIsBounded(t *testing.T) {
	v := NewVerification("harrow", nil)
	for i := range Revision(5000) {
		v.Revision(RevisionRecord{Head: Head{Revision: i + 1}, Entries: 1})
	}
	r := v.End(Head{Revision: 5000})
	if len(r.Problems) != MostProblems || r.Count < 5000 || r.FirstBad != 1 {
		t.Errorf("%d problems told of %d", len(r.Problems), r.Count)
	}
}
