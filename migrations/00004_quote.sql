-- +goose Up

-- What a quote is found by; each column is in the document too. customer is a
-- reference: people's details never stand here.
create table quote (
    company             text collate "C" not null,
    id                  text collate "C" not null,
    office              text collate "C" not null default 'main',
    customer            text collate "C" not null default '',
    external_ref        text collate "C" not null default '',
    created_at          timestamptz      not null,
    as_of               date             not null,
    valid_until         date             not null,
    book_revision       bigint           not null,
    book_hash           bytea            not null,
    rules_version       integer          not null,
    fingerprint_version integer          not null,
    fingerprint         bytea            not null,
    currency            text collate "C" not null,
    total               numeric          not null,
    constraint quote_pkey primary key (company, id),
    constraint quote_book_revision_check check (book_revision >= 0),
    constraint quote_book_hash_check check (octet_length(book_hash) = 32),
    constraint quote_fingerprint_check check (octet_length(fingerprint) = 32)
);
create index quote_newest on quote (company, created_at desc, id desc);
create index quote_by_external_ref on quote (company, external_ref, created_at desc, id desc);
create index quote_by_customer on quote (company, customer, created_at desc, id desc);

-- The bytes the fingerprint is the SHA-256 of. A table of its own, so that a
-- listing does not read past them.
create table quote_document (
    company  text collate "C" not null,
    quote_id text collate "C" not null,
    office   text collate "C" not null default 'main',
    document bytea            not null,
    constraint quote_document_pkey primary key (company, quote_id),
    constraint quote_document_quote_fkey foreign key (company, quote_id) references quote (company, id)
);

alter table quote enable row level security;
alter table quote_document enable row level security;
create policy quote_company on quote
    using (company = nullif(current_setting('wattle.company', true), ''));
create policy quote_document_company on quote_document
    using (company = nullif(current_setting('wattle.company', true), ''));
