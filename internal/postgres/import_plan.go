package postgres

import (
	"context"

	"wattle/internal/book"
)

// sortInMemory gives a list of a hundred thousand rows room to be sorted.
const sortInMemory = `set local work_mem = '64MB'`

// preparePlan makes the table that planned entries stand in until the
// transaction ends. It holds every entry of a list, and what a replacement
// withdraws beside it, with the step from what held before: old_revision is 0
// where that is an entry of the list itself, null where nothing held. The terms of
// the old are one value, since few are ever looked at; those of the new are columns,
// which to take out of such a value, over and over, takes a fifth of the plan's time.
func preparePlan(ctx context.Context, q querier) error {
	for _, sql := range []string{
		sortInMemory,
		// Rows become the breaks of an entry in the order they are sorted in;
		// an aggregate by hashing does not promise to keep it.
		`set local enable_hashagg = off`,
		`create temporary table import_entry (
		    item          text collate "C" not null,
		    office        text collate "C" not null,
		    supplier      text collate "C" not null,
		    effective     date             not null,
		    state         text collate "C" not null,
		    description   text collate "C" not null,
		    currency      text collate "C" not null,
		    unit          text collate "C" not null,
		    pack          numeric          not null,
		    min_quantities numeric[]       not null,
		    prices        numeric[]        not null,
		    kind          text collate "C" not null,
		    old_effective date,
		    old_revision  bigint,
		    old_terms     price_terms,
		    sound         boolean          not null,
		    unknown       boolean          not null,
		    other_unit    boolean          not null,
		    jumps         boolean          not null
		) on commit drop`,
	} {
		if _, err := q.Exec(ctx, sql); err != nil {
			return err
		}
	}
	return nil
}

// planned is what book.Plan and book.Notices say, for the staged list in.Staged
// and the book at a head. sound is false where rows clash; then the rest means
// nothing.
func planned(ctx context.Context, q querier, in book.Import, head book.Head) (out book.Outcome, sound bool, err error) {
	if _, err := q.Exec(ctx, `truncate import_entry`); err != nil {
		return out, false, err
	}
	if _, err := q.Exec(ctx, planStaged, in.Company, int64(head.Revision), in.JumpLimit.String(), in.Staged); err != nil {
		return out, false, err
	}
	if in.Mode == book.Replace {
		if _, err := q.Exec(ctx, planWithdrawals, in.Company, int64(head.Revision)); err != nil {
			return out, false, err
		}
	}
	out.Head, out.Base = head, head.Revision
	sound, err = tell(ctx, q, &out)
	return out, sound, err
}

// planAgain is what planned said of the import that made revision r: what it
// stored stands for the list, and what a replacement withdrew stands among it.
func planAgain(ctx context.Context, q querier, in book.Import, r book.Revision, out *book.Outcome) error {
	if _, err := q.Exec(ctx, `truncate import_entry`); err != nil {
		return err
	}
	if _, err := q.Exec(ctx, planStored, in.Company, int64(r-1), in.JumpLimit.String(), int64(r)); err != nil {
		return err
	}
	unchanged := out.Unchanged
	_, err := tell(ctx, q, out)
	out.Unchanged = unchanged
	return err
}

// The entries of a list: its rows, put together; or those of a revision.
const (
	planStaged = `with entry as (
		    select item, office, supplier, effective, count(*) as breaks, state, description, currency, unit, pack,
		           case when state = 'priced' then array_agg(min_quantity) else '{}' end as min_quantities,
		           case when state = 'priced' then array_agg(price) else '{}' end as prices
		    from (select item, office, supplier, effective, state, description, currency, unit, pack, min_quantity, price
		          from import_row
		          where import = $4::text::uuid
		          order by item, office, supplier, effective, state, description, currency, unit, pack, min_quantity) r
		    group by item, office, supplier, effective, state, description, currency, unit, pack
		)` + planEntries
	planStored = `with entry as (
		    select item, office, supplier, effective, 1::bigint as breaks, ` + terms + `
		    from price_entry e
		    where company = $1 and revision = $4
		)` + planEntries
)

// terms are the columns of price_terms.
const (
	terms     = `state, description, currency, unit, pack, min_quantities, prices`
	termsOfE  = `e.state, e.description, e.currency, e.unit, e.pack, e.min_quantities, e.prices`
	termsOfN  = `n.state, n.description, n.currency, n.unit, n.pack, n.min_quantities, n.prices`
	heldTerms = `held.state, held.description, held.currency, held.unit, held.pack, held.min_quantities, held.prices`
)

// planEntries says of each entry what it changes. Held is what the book has for
// it: the entry of the latest date up to its own, as of the newest revision. If
// that is of the very date and says the same, the entry is unchanged. Old is
// what the entry takes the place of: what is held, or the entry before in the
// list itself where that is later, or replaces what is held.
const planEntries = `, ordered as (
		    select e.*,
		           lag(item) over list as last_item, lag(office) over list as last_office, lag(supplier) over list as last_supplier,
		           lag(effective) over list as last_effective, lag(row(` + terms + `)::price_terms) over list as last_terms
		    from entry e
		    window list as (order by item, office, supplier, effective)
		), step as (
		    select n.item, n.office, n.supplier, n.effective, ` + termsOfN + `, n.breaks, s.before,
		           held.effective = n.effective and (` + heldTerms + `) = (` + termsOfN + `) as unchanged,
		           held.revision is null and n.item is distinct from n.last_item as maybe_unknown,
		           case when own then s.before else held.effective end as old_effective,
		           case when own then 0 else held.revision end as old_revision,
		           case when own then n.last_terms when held.revision is not null then row(` + heldTerms + `)::price_terms end as old_terms,
		           case when own then (n.last_terms).state else held.state end as old_state,
		           case when own then (n.last_terms).currency else held.currency end as old_currency,
		           case when own then (n.last_terms).unit else held.unit end as old_unit,
		           case when own then (n.last_terms).min_quantities else held.min_quantities end as old_min_quantities,
		           case when own then (n.last_terms).prices else held.prices end as old_prices
		    from ordered n
		    left join lateral (
		        select e.effective, e.revision, ` + termsOfE + `
		        from price_entry e
		        where e.company = $1 and e.item = n.item and e.office = n.office and e.supplier = n.supplier
		          and e.effective <= n.effective and e.revision <= $2
		        order by e.effective desc, e.revision desc
		        limit 1) held on true
		    cross join lateral (
		        select case when n.last_item = n.item and n.last_office = n.office and n.last_supplier = n.supplier
		                    then n.last_effective end as before) s
		    cross join lateral (
		        select s.before is not null and (held.effective is null or s.before > held.effective
		               or s.before = held.effective and n.last_terms <> row(` + heldTerms + `)::price_terms) as own) o
		    offset 0 -- so that what is worked out here is worked out once
		), pair as (
		    select *,
		           old_state = 'priced' and state = 'priced' as both_priced,
		           old_unit = unit and old_currency = currency as same_unit
		    from step
		)
		insert into import_entry (item, office, supplier, effective, ` + terms + `, kind, old_effective, old_revision, old_terms,
		                          sound, unknown, other_unit, jumps)
		select item, office, supplier, effective, ` + terms + `,
		       case
		           when unchanged then 'unchanged'
		           when state = 'withdrawn' then 'withdrawn'
		           when old_revision is null or old_state = 'withdrawn' then 'added'
		           when both_priced and same_unit and old_prices[1] <> prices[1] then 'repriced'
		           when old_terms = row(` + terms + `)::price_terms then 'confirmed'
		           else 'altered'
		       end,
		       old_effective, old_revision, old_terms,
		       before is distinct from effective and case
		           when state <> 'priced' or breaks = 1 then breaks = 1 and coalesce(min_quantities[1], 0) = 0
		           else min_quantities[1] = 0 and breaks <= ` + mostBreaks + `
		                and breaks = (select count(distinct quantity) from unnest(min_quantities) as at (quantity))
		       end,
		       -- With a limit it is asked of the index for each such item, never of the whole book at once.
		       maybe_unknown and (
		           select true from price_entry e where e.company = $1 and e.item = pair.item and e.revision <= $2 limit 1) is null,
		       unchanged is not true and both_priced is true and not same_unit,
		       unchanged is not true and both_priced is true and same_unit and $3::text::numeric > 0 and case
		           when cardinality(prices) = 1 and cardinality(old_prices) = 1
		           then abs(prices[1] - old_prices[1]) * 100 > $3::text::numeric * old_prices[1]
		           else exists (
		               select
		               from unnest(old_min_quantities || min_quantities) as at (quantity)
		               cross join lateral (
		                   -- width_bucket is the number of the break that holds at a quantity.
		                   select old_prices[width_bucket(quantity, old_min_quantities)] as was,
		                          prices[width_bucket(quantity, min_quantities)] as now) p
		               where abs(now - was) * 100 > $3::text::numeric * was)
		       end
		from pair`

// mostBreaks is book.MaxBreaks.
const mostBreaks = `50`

// planWithdrawals ends the prices of what a replacement does not mention, of
// the offices and suppliers it does mention, from the latest date it has for
// the two; what was announced for a later date ends there.
const planWithdrawals = `
		with list as (
		    select office, supplier, max(effective) as latest from import_entry group by office, supplier
		), series as (
		    select distinct e.item, e.office, e.supplier, l.latest
		    from list l
		    join price_entry e on e.company = $1 and e.office = l.office and e.supplier = l.supplier and e.revision <= $2
		), gone as (
		    select item, office, supplier, latest from series s
		    where not exists (
		        select from import_entry n where n.item = s.item and n.office = s.office and n.supplier = s.supplier)
		)
		insert into import_entry (item, office, supplier, effective, ` + terms + `, kind, old_effective, old_revision, old_terms,
		                          sound, unknown, other_unit, jumps)
		select g.item, g.office, g.supplier, greatest(g.latest, held.effective),
		       'withdrawn', '', '', '', 0, '{}', '{}', 'withdrawn', held.effective, held.revision, held.terms,
		       true, false, false, false
		from gone g
		cross join lateral (
		    (select e.effective, e.revision, row(` + termsOfE + `)::price_terms as terms
		     from price_entry e
		     where e.company = $1 and e.item = g.item and e.office = g.office and e.supplier = g.supplier
		       and e.effective <= g.latest and e.revision <= $2
		     order by e.effective desc, e.revision desc
		     limit 1)
		    union all
		    (select distinct on (e.effective) e.effective, e.revision, row(` + termsOfE + `)::price_terms
		     from price_entry e
		     where e.company = $1 and e.item = g.item and e.office = g.office and e.supplier = g.supplier
		       and e.effective > g.latest and e.revision <= $2
		     order by e.effective, e.revision desc)
		) held
		where (held.terms).state = 'priced'`
