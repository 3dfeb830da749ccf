-- +goose Up

-- One successful answer per request id, inserted in the transaction that made
-- it. result names what was made: {"quote": ID}, or for an import {"revision":
-- of the head after it, "applied": whether it added that revision,
-- "unchanged": rows the book held already}.
create table idempotency (
    company      text collate "C" not null,
    principal    text collate "C" not null,
    method       text collate "C" not null,
    request_id   text collate "C" not null,
    request_hash bytea            not null,
    result       jsonb            not null,
    created_at   timestamptz      not null default now(),
    constraint idempotency_pkey primary key (company, principal, method, request_id),
    constraint idempotency_request_hash_check check (octet_length(request_hash) = 32)
);

alter table idempotency enable row level security;
create policy idempotency_company on idempotency
    using (company = nullif(current_setting('wattle.company', true), ''));
