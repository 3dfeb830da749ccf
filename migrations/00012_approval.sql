-- +goose Up

-- Approvals of quotes whose margin is under their office's floor. Rows are only
-- ever added. approver_office is that of the key that approved: an approval
-- counts where it stands at or above the office that set the floor.
create table quote_approval (
    company         text collate "C" not null,
    quote_id        text collate "C" not null,
    office          text collate "C" not null,
    approver_office text collate "C" not null,
    principal       text collate "C" not null,
    approved_at     timestamptz      not null,
    margin          numeric          not null,
    floor           numeric          not null,
    constraint quote_approval_pkey primary key (company, quote_id, approver_office),
    constraint quote_approval_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint quote_approval_floor_check check (margin < floor)
);

alter table quote_approval enable row level security;
create policy quote_approval_reads on quote_approval for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
-- Who approves stands above the quote's office, and adds nothing else to it.
create policy quote_approval_adds on quote_approval for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])
            or (select current_setting('wattle.below', true)) = '*'));
