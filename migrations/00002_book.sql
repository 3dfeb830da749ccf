-- +goose Up

-- The price book. Rows are only ever added, save the head. Texts that identify
-- something compare by their bytes (collate "C"), so that no result depends on
-- the collation of a machine.

-- The newest revision of each company's book. The one row of the book that
-- changes: whoever adds a revision locks it, so revisions commit in order.
create table book_head (
    company  text collate "C" not null,
    revision bigint           not null,
    hash     bytea            not null,
    constraint book_head_pkey primary key (company),
    constraint book_head_revision_check check (revision >= 0),
    constraint book_head_hash_check check (octet_length(hash) = 32)
);

-- One import that changed something. created_at is the database's clock and
-- for people only; what was known when is the revision's affair.
create table book_revision (
    company          text collate "C" not null,
    revision         bigint           not null,
    created_at       timestamptz      not null default now(),
    principal        text collate "C" not null,
    request_id       text collate "C" not null,
    mode             text collate "C" not null,
    entries          bigint           not null,
    -- The latest effective date of any entry up to this revision: the search
    -- for a price as of a later date starts here and so never walks over
    -- entries learned since.
    latest_effective date             not null,
    content_hash     bytea            not null,
    chain_hash       bytea            not null,
    constraint book_revision_pkey primary key (company, revision),
    constraint book_revision_revision_check check (revision > 0),
    constraint book_revision_mode_check check (mode in ('patch', 'replace')),
    constraint book_revision_entries_check check (entries > 0),
    constraint book_revision_content_hash_check check (octet_length(content_hash) = 32),
    constraint book_revision_chain_hash_check check (octet_length(chain_hash) = 32)
);

-- One row is the whole table of quantity breaks of one item, office, supplier
-- and effective date, as learned in one revision: min_quantities[i] is the
-- order quantity from which prices[i] holds. The primary key is also the index
-- of the search as of a date and a revision, which reads it backwards.
create table price_entry (
    company        text collate "C" not null,
    item           text collate "C" not null,
    office         text collate "C" not null default 'main',
    supplier       text collate "C" not null default '',
    effective      date             not null,
    revision       bigint           not null,
    state          text collate "C" not null,
    description    text collate "C" not null default '',
    currency       text collate "C" not null default '',
    unit           text collate "C" not null default '',
    pack           numeric          not null default 0,
    min_quantities numeric[]        not null default '{}',
    prices         numeric[]        not null default '{}',
    constraint price_entry_pkey primary key (company, item, office, supplier, effective, revision),
    constraint price_entry_revision_fkey foreign key (company, revision) references book_revision (company, revision),
    constraint price_entry_state_check check (state in ('priced', 'withdrawn', 'inherit')),
    constraint price_entry_price_check check (
        case when state = 'priced'
            then pack > 0 and unit <> '' and currency <> ''
                and cardinality(prices) > 0
                and min_quantities[1] = 0 and 0 <= all (min_quantities)
                and 0 < all (prices)
            else pack = 0 and unit = '' and currency = '' and cardinality(prices) = 0
        end),
    constraint price_entry_breaks_check check (cardinality(min_quantities) = cardinality(prices)),
    -- Within the limits of package book; NaN counts as larger than any number.
    constraint price_entry_numbers_check check (
        array_position(min_quantities, null) is null and array_position(prices, null) is null
        and 1000000000 > all (min_quantities) and 1000000000 > all (prices) and pack < 1000000000)
);

-- The rows of a revision, to show what an import did and to check its hash.
create index price_entry_by_revision on price_entry (company, revision);

alter table book_head enable row level security;
alter table book_revision enable row level security;
alter table price_entry enable row level security;

-- After SET LOCAL a setting reads as '' and not as null, hence nullif: without
-- a company there is no row.
create policy book_head_company on book_head
    using (company = nullif(current_setting('wattle.company', true), ''));
create policy book_revision_company on book_revision
    using (company = nullif(current_setting('wattle.company', true), ''));
create policy price_entry_company on price_entry
    using (company = nullif(current_setting('wattle.company', true), ''));
