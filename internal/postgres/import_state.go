package postgres

import (
	"cmp"
	"context"

	"wattle/internal/book"
	"wattle/internal/estimating"
)

// currentEntries are the entries that hold, at a revision, in each place the
// import may touch: of a patch the items it mentions, of a replacement the
// whole lists of the offices and suppliers it mentions.
func currentEntries(ctx context.Context, q querier, in book.Import, r book.Revision) ([]book.Entry, error) {
	items := make([]string, len(in.Entries))
	offices := make([]string, len(in.Entries))
	suppliers := make([]string, len(in.Entries))
	for i, e := range in.Entries {
		items[i], offices[i], suppliers[i] = e.Item, cmp.Or(e.Office, in.Office, book.MainOffice), e.Supplier
	}
	if in.Mode == book.Replace {
		return collectEntries(q.Query(ctx, `
			select distinct on (e.item, e.office, e.supplier, e.effective) `+entryColumns+`
			from (select distinct * from unnest($2::text[], $3::text[]) as n (office, supplier)) n
			join price_entry e on e.company = $1 and e.office = n.office and e.supplier = n.supplier
			where e.revision <= $4
			order by e.item, e.office, e.supplier, e.effective, e.revision desc`,
			in.Company, offices, suppliers, int64(r)))
	}
	return collectEntries(q.Query(ctx, `
		select distinct on (e.item, e.office, e.supplier, e.effective) `+entryColumns+`
		from (select distinct * from unnest($2::text[], $3::text[], $4::text[]) as n (item, office, supplier)) n
		join price_entry e on e.company = $1 and e.item = n.item and e.office = n.office and e.supplier = n.supplier
		where e.revision <= $5
		order by e.item, e.office, e.supplier, e.effective, e.revision desc`,
		in.Company, items, offices, suppliers, int64(r)))
}

// replayImport is the outcome of an earlier import with this key, and whether
// there is one.
func replayImport(ctx context.Context, q querier, key estimating.RequestKey) (book.Outcome, bool, error) {
	was, err := earlier(ctx, q, key)
	if err != nil || was == nil {
		return book.Outcome{}, false, err
	}
	head, err := headAt(ctx, q, key.Company, was.Revision)
	if err != nil {
		return book.Outcome{}, false, err
	}
	out := book.Outcome{Head: head, Base: head.Revision, Applied: was.Applied, Unchanged: was.Unchanged}
	if !was.Applied {
		return out, true, nil
	}
	out.Base--
	entries, err := collectEntries(q.Query(ctx, `
		select `+entryColumns+`
		from price_entry e
		where e.company = $1 and e.revision = $2`, key.Company, int64(was.Revision)))
	if err != nil {
		return book.Outcome{}, false, err
	}
	// What a replacement withdrew stands among the entries, so the same
	// changes come out of a patch.
	again := book.Import{Company: key.Company, Mode: book.Patch, Entries: entries}
	history, err := currentEntries(ctx, q, again, out.Base)
	if err != nil {
		return book.Outcome{}, false, err
	}
	out.Changes, _ = book.Plan(history, again)
	stamp(out.Changes, was.Revision)
	return out, true, nil
}
