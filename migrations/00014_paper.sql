-- +goose Up

-- What an office's papers have in common. Each row is one version, and rows are
-- only ever added. hash is over the content, of which logo and font are files as
-- they were sent; empty texts and lists are what was left out. In table
-- idempotency the result of a save is {"office": office, "version": the one
-- answered, "applied": whether the call made it}.
create table paper_template (
    company    text collate "C" not null,
    office     text collate "C" not null,
    version    integer          not null,
    previous   integer          generated always as (nullif(version - 1, 0)) stored,
    created_at timestamptz      not null,
    hash       bytea            not null,
    title      text             not null,
    address    text[]           not null,
    terms      text[]           not null,
    locale     text collate "C" not null,
    paper      text collate "C" not null,
    measures   text collate "C" not null,
    logo       bytea            not null,
    font       bytea            not null,
    constraint paper_template_pkey primary key (company, office, version),
    constraint paper_template_version_check check (version > 0),
    -- Versions are 1, 2, 3 without a gap.
    constraint paper_template_previous_fkey foreign key (company, office, previous) references paper_template (company, office, version),
    constraint paper_template_hash_check check (length(hash) = 32),
    constraint paper_template_logo_check check (length(logo) <= 524288),
    constraint paper_template_font_check check (length(font) <= 4096000)
);

alter table paper_template enable row level security;
-- An office's papers are made with the template of an office above it, too.
create policy paper_template_reads on paper_template for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.reads', true), ','))::text[])
            or (select current_setting('wattle.reads', true)) = '*'));
create policy paper_template_writes on paper_template for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

-- The papers that were made of quotes which were issued: what each was made of,
-- and the SHA-256 of its bytes. Rows are only ever added, one for each hash that
-- the same inputs came to: a second one is another program's. inputs is the
-- SHA-256 of made_of, which names them; it holds nothing of a person but the
-- version of the customer's details, and template_version 0 is the built-in
-- template.
create table quote_paper (
    company          text collate "C" not null,
    quote_id         text collate "C" not null,
    office           text collate "C" not null,
    kind             text collate "C" not null,
    inputs           bytea            not null,
    hash             bytea            not null,
    template_office  text collate "C" not null,
    template_version integer          not null,
    customer_version integer          not null,
    made_of          text             not null,
    principal        text collate "C" not null,
    made_at          timestamptz      not null,
    constraint quote_paper_pkey primary key (company, quote_id, kind, inputs, hash),
    constraint quote_paper_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint quote_paper_inputs_check check (inputs = sha256(convert_to(made_of, 'UTF8'))),
    constraint quote_paper_hash_check check (length(hash) = 32)
);

alter table quote_paper enable row level security;
create policy quote_paper_reads on quote_paper for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
-- Who sees a quote may have papers made of it, and adds nothing else to it.
create policy quote_paper_adds on quote_paper for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
