-- +goose Up

-- Which open quotes ask for the price of an item: an index, by which a price
-- list finds the quotes that it may move and reads no other. Its rows come with
-- the quote and go when the quote is open no more; they say nothing that the
-- quote's document does not, and so refer to nothing.
create table quote_item (
    company  text collate "C" not null,
    item     text collate "C" not null,
    quote_id text collate "C" not null,
    office   text collate "C" not null default 'main',
    constraint quote_item_pkey primary key (company, item, quote_id)
);
create index quote_item_by_quote on quote_item (company, quote_id);

-- What a revision of the book does to open quotes is worked out after it, in
-- chunks, by any number of workers. Rows are only ever added.
--
-- as_of is the day at which prices are compared: that of the import, or the
-- latest from which one of its entries holds, if that is later.
create table impact (
    company  text collate "C" not null,
    revision bigint           not null,
    as_of    date             not null,
    constraint impact_pkey primary key (company, revision),
    constraint impact_revision_fkey foreign key (company, revision) references book_revision (company, revision)
);

-- The quotes to look at, each in one chunk.
create table impact_chunk (
    company  text collate "C"   not null,
    revision bigint             not null,
    chunk    integer            not null,
    quotes   text[] collate "C" not null,
    constraint impact_chunk_pkey primary key (company, revision, chunk),
    constraint impact_chunk_impact_fkey foreign key (company, revision) references impact (company, revision),
    constraint impact_chunk_chunk_check check (chunk > 0),
    constraint impact_chunk_quotes_check check (cardinality(quotes) > 0)
);

-- The chunks that are done: a row comes with the chunk's results.
create table impact_chunk_done (
    company  text collate "C" not null,
    revision bigint           not null,
    chunk    integer          not null,
    constraint impact_chunk_done_pkey primary key (company, revision, chunk),
    constraint impact_chunk_done_chunk_fkey foreign key (company, revision, chunk) references impact_chunk (company, revision, chunk)
);

-- A quote that the revision moves. then is what it comes to, by its own rules,
-- at the revision before, now at this one; null where not every item has a
-- price, or where reason says why it cannot be worked out. missing are the items
-- without a price now.
create table impact_quote (
    company    text collate "C"   not null,
    revision   bigint             not null,
    quote_id   text collate "C"   not null,
    office     text collate "C"   not null default 'main',
    currency   text collate "C"   not null,
    then_cost  numeric,
    then_total numeric,
    now_cost   numeric,
    now_total  numeric,
    missing    text[] collate "C" not null default '{}',
    reason     text collate "C"   not null default '',
    constraint impact_quote_pkey primary key (company, revision, quote_id),
    constraint impact_quote_impact_fkey foreign key (company, revision) references impact (company, revision),
    constraint impact_quote_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint impact_quote_then_check check ((then_cost is null) = (then_total is null)),
    constraint impact_quote_now_check check ((now_cost is null) = (now_total is null)),
    constraint impact_quote_reason_check check (reason ~ '^[A-Z_]{0,40}$' and (now_cost is null) = (reason <> ''))
);

-- A row says that all is worked out, and was told.
create table impact_done (
    company  text collate "C" not null,
    revision bigint           not null,
    at       timestamptz      not null default now(),
    constraint impact_done_pkey primary key (company, revision),
    constraint impact_done_impact_fkey foreign key (company, revision) references impact (company, revision)
);

alter table quote_item enable row level security;
alter table impact enable row level security;
alter table impact_chunk enable row level security;
alter table impact_chunk_done enable row level security;
alter table impact_quote enable row level security;
alter table impact_done enable row level security;

create policy quote_item_reads on quote_item for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy quote_item_writes on quote_item for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy quote_item_goes on quote_item for delete
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
-- That a revision is being looked at is the whole company's to know; which
-- quotes it moves, who sees those.
create policy impact_company on impact
    using (company = (select nullif(current_setting('wattle.company', true), '')));
create policy impact_done_company on impact_done
    using (company = (select nullif(current_setting('wattle.company', true), '')));
create policy impact_quote_reads on impact_quote for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy impact_quote_writes on impact_quote for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (select current_setting('wattle.writes', true)) = '*');
-- Only who works for the whole company has chunks.
create policy impact_chunk_company on impact_chunk
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (select current_setting('wattle.quotes', true)) = '*');
create policy impact_chunk_done_company on impact_chunk_done
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (select current_setting('wattle.quotes', true)) = '*');

-- Quotes of before.
insert into quote_item (company, item, quote_id, office)
select d.company, price ->> 'item', d.quote_id, d.office
from quote_state s
join quote_document d on d.company = s.company and d.quote_id = s.quote_id
cross join lateral jsonb_array_elements(convert_from(d.document, 'UTF8')::jsonb #> '{request,prices}') as price
where s.state in ('draft', 'issued');
