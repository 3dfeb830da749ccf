-- +goose Up

-- What finished jobs used. job is the first quote of a job, quote_id the newest
-- accepted one, which it is compared with. Rows are only ever added: a
-- correction is the next version, and the newest counts. hours_of says whether
-- hours are of the crew or of one person; it is null where the quote has no
-- labour and none was recorded. No row has a person's name.
create table job_actuals (
    company     text collate "C" not null,
    job         text collate "C" not null,
    version     integer          not null,
    previous    integer          generated always as (nullif(version - 1, 0)) stored,
    office      text collate "C" not null,
    quote_id    text collate "C" not null,
    finished_on date             not null,
    crew        text collate "C" not null,
    hours_of    text collate "C",
    currency    text collate "C" not null,
    labour_paid numeric,
    recorded_at timestamptz      not null,
    principal   text collate "C" not null,
    constraint job_actuals_pkey primary key (company, job, version),
    constraint job_actuals_job_fkey foreign key (company, job) references quote (company, id),
    constraint job_actuals_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint job_actuals_version_check check (version > 0),
    constraint job_actuals_previous_fkey foreign key (company, job, previous) references job_actuals (company, job, version),
    constraint job_actuals_hours_of_check check (hours_of in ('crew', 'person')),
    constraint job_actuals_labour_paid_check check (labour_paid >= 0)
);
-- What lists and summaries of a time read.
create index job_actuals_by_finished on job_actuals (company, finished_on, job);

-- Each thing that was estimated, used, or both, in one unit. The estimate is a
-- copy of what the quote has, which never changes, so that summaries read no
-- quotes. rates are those that an estimate of hours rests on, each
-- 'ITEM VALUE UNIT'.
create table job_actuals_line (
    company        text collate "C" not null,
    job            text collate "C" not null,
    version        integer          not null,
    kind           text collate "C" not null,
    name           text collate "C" not null,
    office         text collate "C" not null,
    category       text collate "C" not null,
    unit           text collate "C" not null,
    estimated      numeric,
    actual         numeric,
    estimated_cost numeric,
    paid           numeric,
    rates          text[] collate "C" not null default '{}',
    constraint job_actuals_line_pkey primary key (company, job, version, kind, name),
    constraint job_actuals_line_job_fkey foreign key (company, job, version) references job_actuals (company, job, version),
    constraint job_actuals_line_kind_check check (kind in ('material', 'task', 'labour')),
    constraint job_actuals_line_side_check check (coalesce(estimated, actual) is not null),
    constraint job_actuals_line_amounts_check check (estimated >= 0 and actual >= 0 and paid >= 0)
);

-- The change orders to a quote, by which a job's quotes are found.
create index quote_state_by_changes on quote_state (company, changes) where changes is not null;

alter table job_actuals enable row level security;
alter table job_actuals_line enable row level security;
-- Who sees and who writes is as with quotes.
create policy job_actuals_reads on job_actuals for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy job_actuals_writes on job_actuals for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy job_actuals_line_reads on job_actuals_line for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy job_actuals_line_writes on job_actuals_line for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
