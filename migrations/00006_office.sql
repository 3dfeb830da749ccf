-- +goose Up

-- Programs before this one name no offices, and the policies below show them
-- nothing.
update schema_meta set oldest_program = 6;

-- Companies, their offices and API keys. These rows change, since they say how
-- things are now: a key is revoked, an office moves. What a quote read of them
-- (its office path, its settings) stands in the quote, so no replay needs their
-- past; office_version keeps it for people.

-- tree_version counts the changes to the offices: a process that knows the tree
-- of that version need not read it again.
create table company (
    company           text collate "C" not null,
    title             text             not null default '',
    quotes_from_above boolean          not null default true,
    tree_version      bigint           not null default 1,
    version           bigint           not null default 1,
    created_at        timestamptz      not null default now(),
    constraint company_pkey primary key (company),
    constraint company_id_check check (company ~ '^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$')
);

create table office (
    company             text collate "C" not null,
    office              text collate "C" not null,
    parent              text collate "C",
    title               text             not null default '',
    time_zone           text collate "C" not null default '',
    margin_floor        numeric,
    stale_after_days    integer,
    preferred_suppliers text[] collate "C" not null default '{}',
    removed             boolean          not null default false,
    version             bigint           not null default 1,
    constraint office_pkey primary key (company, office),
    constraint office_company_fkey foreign key (company) references company (company),
    constraint office_parent_fkey foreign key (company, parent) references office (company, office),
    constraint office_root_check check ((office = 'main') = (parent is null)),
    constraint office_self_check check (parent <> office),
    constraint office_margin_floor_check check (margin_floor >= 0 and margin_floor < 100),
    constraint office_stale_after_days_check check (stale_after_days >= 0)
);

-- Every state an office had, and which key brought it about.
create table office_version (
    company             text collate "C" not null,
    office              text collate "C" not null,
    version             bigint           not null,
    changed_at          timestamptz      not null default now(),
    principal           text collate "C" not null,
    parent              text collate "C",
    title               text             not null,
    time_zone           text collate "C" not null,
    margin_floor        numeric,
    stale_after_days    integer,
    preferred_suppliers text[] collate "C" not null,
    removed             boolean          not null,
    constraint office_version_pkey primary key (company, office, version),
    constraint office_version_office_fkey foreign key (company, office) references office (company, office)
);

-- A key without its secret: hash is the SHA-256 of that.
create table api_key (
    company      text collate "C" not null,
    id           text collate "C" not null,
    office       text collate "C" not null,
    role         text collate "C" not null,
    writes_below boolean          not null default false,
    title        text             not null default '',
    hash         bytea            not null,
    created_at   timestamptz      not null,
    created_by   text collate "C" not null default '',
    expires_at   timestamptz,
    revoked_at   timestamptz,
    revoked_by   text collate "C" not null default '',
    constraint api_key_pkey primary key (company, id),
    constraint api_key_hash_key unique (hash),
    constraint api_key_hash_check check (octet_length(hash) = 32),
    constraint api_key_office_fkey foreign key (company, office) references office (company, office),
    constraint api_key_role_check check (role in ('reader', 'estimator', 'pricer', 'admin')),
    constraint api_key_revoked_check check ((revoked_at is null) = (revoked_by = ''))
);
create index api_key_by_office on api_key (company, office, id);

-- Companies that have rows already get their place in the tree.
insert into company (company)
select company from book_head union select company from quote union select company from saved_spec union select company from idempotency;
insert into office (company, office) select company, 'main' from company;
insert into office (company, office, parent)
select company, office, 'main' from (
    select company, office from quote union select company, office from saved_spec union select company, office from price_entry
) as used where office <> 'main';
insert into office_version (company, office, version, principal, parent, title, time_zone, preferred_suppliers, removed)
select company, office, version, 'migration', parent, title, time_zone, preferred_suppliers, removed from office;

-- Who a key belongs to is asked before any company is known, so not under
-- row-level security. It is answered for one hash, and only to who knows that.
-- +goose StatementBegin
create function wattle_caller(secret_hash bytea)
    returns table (company text, key text, office text, role text, writes_below boolean, quotes_from_above boolean, tree_version bigint, state text)
    language sql stable security definer set search_path = pg_catalog, public, pg_temp
as $$
    select k.company, k.id, k.office, k.role, k.writes_below, c.quotes_from_above, c.tree_version,
           case when k.revoked_at is not null then 'revoked'
                when k.expires_at <= now() then 'expired'
                when o.removed then 'office removed'
                else 'good' end
    from public.api_key k
    join public.company c on c.company = k.company
    join public.office o on o.company = k.company and o.office = k.office
    where k.hash = secret_hash
$$;
-- +goose StatementEnd
revoke all on function wattle_caller(bytea) from public;

-- Row-level security, now by office as well. Each transaction says how far its
-- caller reaches, in lists of office ids; '*' is every office of the company.
--
--   wattle.reads    whose prices he reads: his subtree and the way up
--   wattle.below    his subtree, whose keys and offices he may manage
--   wattle.quotes   whose quotes he sees
--   wattle.writes   where he writes
--
-- The settings are read once for a statement, hence the selects.
alter table company enable row level security;
alter table office enable row level security;
alter table office_version enable row level security;
alter table api_key enable row level security;

create policy company_company on company
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        or (select current_setting('wattle.company', true)) = '*');
create policy office_company on office
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.reads', true), ','))::text[])
            or (select current_setting('wattle.reads', true)) = '*'))
    with check (company = (select nullif(current_setting('wattle.company', true), '')));
create policy office_version_company on office_version
    using (company = (select nullif(current_setting('wattle.company', true), '')));
create policy api_key_company on api_key
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])
            or (select current_setting('wattle.below', true)) = '*'));

drop policy price_entry_company on price_entry;
create policy price_entry_reads on price_entry for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.reads', true), ','))::text[])
            or (select current_setting('wattle.reads', true)) = '*'));
create policy price_entry_writes on price_entry for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

drop policy quote_company on quote;
create policy quote_reads on quote for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy quote_writes on quote for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

drop policy quote_document_company on quote_document;
create policy quote_document_reads on quote_document for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy quote_document_writes on quote_document for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

-- A spec is the whole company's; who adds a version writes at its office.
drop policy saved_spec_company on saved_spec;
create policy saved_spec_reads on saved_spec for select
    using (company = (select nullif(current_setting('wattle.company', true), '')));
create policy saved_spec_writes on saved_spec for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
