-- +goose Up

-- Price lists of any length on their way into the book.

-- A price of zero is told apart from "unknown" by whoever imports it; the book
-- can hold it.
alter table price_entry drop constraint price_entry_price_check;
alter table price_entry add constraint price_entry_price_check check (
    case when state = 'priced'
        then pack > 0 and unit <> '' and currency <> ''
            and cardinality(prices) > 0
            and min_quantities[1] = 0 and 0 <= all (min_quantities)
            and 0 <= all (prices)
        else pack = 0 and unit = '' and currency = '' and cardinality(prices) = 0
    end);

-- What an entry says, without where and since when it holds. Two of them are
-- equal where each part is, numbers by their value.
create type price_terms as (
    state          text collate "C",
    description    text collate "C",
    currency       text collate "C",
    unit           text collate "C",
    pack           numeric,
    min_quantities numeric[],
    prices         numeric[]
);

-- The rows of lists that are being imported. They are gone when the import
-- ends; those of one that died are swept. Postgres refuses COPY FROM under
-- row-level security, so this table has none: rows are found by import, a
-- random number that is never told. A crash of Postgres empties it, which ends
-- the imports under way. min_quantity and price mean nothing unless the state
-- is priced; of a spoilt row only its place does.
create unlogged table import_row (
    company      text collate "C" not null,
    import       uuid             not null,
    line         bigint           not null,
    item         text collate "C" not null,
    office       text collate "C" not null,
    supplier     text collate "C" not null,
    effective    date             not null,
    state        text collate "C" not null,
    description  text collate "C" not null,
    currency     text collate "C" not null,
    unit         text collate "C" not null,
    pack         numeric          not null,
    min_quantity numeric          not null,
    price        numeric          not null,
    spoilt       boolean          not null,
    staged_at    timestamptz      not null default now()
);
create index import_row_by_import on import_row (import);

-- An import whose file comes in parts, by unary calls. header is what its first
-- call said. bytes is the size of the parts so far. In table idempotency the
-- result of that call is {"import": its id}.
create table price_import (
    company      text collate "C" not null,
    import       text collate "C" not null,
    office       text collate "C" not null,
    request_id   text collate "C" not null,
    request_hash bytea            not null,
    header       jsonb            not null,
    bytes        bigint           not null default 0,
    started_at   timestamptz      not null default now(),
    constraint price_import_pkey primary key (company, import),
    constraint price_import_request_hash_check check (octet_length(request_hash) = 32)
);

create table import_part (
    company text collate "C" not null,
    import  text collate "C" not null,
    office  text collate "C" not null,
    part    integer          not null,
    content bytea            not null,
    constraint import_part_pkey primary key (company, import, part),
    constraint import_part_import_fkey foreign key (company, import) references price_import (company, import) on delete cascade,
    constraint import_part_part_check check (part > 0)
);
-- Compressing takes longer than the parts live.
alter table import_part alter column content set storage external;

alter table price_import enable row level security;
alter table import_part enable row level security;
-- Whoever writes at the office may go on with its import.
create policy price_import_writes on price_import
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy import_part_writes on import_part
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

-- sweep_imports removes what imports that never ended left behind, of every
-- company, and says how much that was. It runs as the owner of the tables,
-- since the service sees one company at a time; it spares what is younger than
-- an hour, whatever it is told.
-- +goose StatementBegin
create function sweep_imports(older_than interval) returns bigint
    language sql security definer set search_path = pg_catalog, public, pg_temp
as $$
    with staged as (
        delete from public.import_row where staged_at < now() - greatest(older_than, interval '1 hour') returning 1
    ), imports as (
        delete from public.price_import where started_at < now() - greatest(older_than, interval '1 hour') returning 1
    )
    select (select count(*) from staged) + (select count(*) from imports);
$$;
-- +goose StatementEnd
revoke all on function sweep_imports(interval) from public;
