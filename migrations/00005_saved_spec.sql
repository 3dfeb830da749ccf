-- +goose Up

-- The catalogue of specs. Each row is one version of an entry, and rows are only
-- ever added: a changed spec is the next version, and a version without a
-- document withdraws the entry. document is what hash is the SHA-256 of, written
-- by the rules that rules_version names. In table idempotency the result of a
-- save or a withdrawal is {"spec": name, "version": the one answered, "applied":
-- whether the call made it}.
create table saved_spec (
    company       text collate "C" not null,
    name          text collate "C" not null,
    version       integer          not null,
    previous      integer          generated always as (nullif(version - 1, 0)) stored,
    office        text collate "C" not null default 'main',
    title         text collate "C" not null default '',
    created_at    timestamptz      not null,
    rules_version integer,
    hash          bytea,
    document      bytea,
    constraint saved_spec_pkey primary key (company, name, version),
    constraint saved_spec_version_check check (version > 0),
    -- Versions are 1, 2, 3 without a gap.
    constraint saved_spec_previous_fkey foreign key (company, name, previous) references saved_spec (company, name, version),
    constraint saved_spec_name_check check (name ~ '^[a-z0-9]+(-[a-z0-9]+)*$' and length(name) <= 64),
    constraint saved_spec_withdrawn_check check (
        (document is null) = (hash is null) and (document is null) = (rules_version is null)),
    constraint saved_spec_hash_check check (hash = sha256(document))
);

alter table saved_spec enable row level security;
create policy saved_spec_company on saved_spec
    using (company = nullif(current_setting('wattle.company', true), ''));

-- The entry and version, as cedar-privacy@3, that a quote's spec was taken from
-- by name; empty where the request brought the spec. Unlike the columns beside
-- it, it is not in the document, which has the spec itself.
alter table quote add column saved_spec text collate "C" not null default '';
