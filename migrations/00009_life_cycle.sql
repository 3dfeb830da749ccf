-- +goose Up

-- What happened to a quote, in order: sequence 1 makes it, and each row after
-- starts from the state the row before ended in. Rows are only ever added, and
-- the primary key lets one of two that would be next be it. principal is empty
-- where it is not known. An acceptance, and a decline where it is known, say
-- who decided: a role, a reference to whatever shows it, and the day; never a
-- person's name.
create table quote_transition (
    company    text collate "C" not null,
    quote_id   text collate "C" not null,
    sequence   integer          not null,
    previous   integer          generated always as (nullif(sequence - 1, 0)) stored,
    office     text collate "C" not null default 'main',
    action     text collate "C" not null,
    from_state text collate "C",
    to_state   text collate "C" not null,
    at         timestamptz      not null,
    principal  text collate "C" not null default '',
    decided_by text collate "C",
    reference  text collate "C" not null default '',
    decided_on date,
    constraint quote_transition_pkey primary key (company, quote_id, sequence),
    constraint quote_transition_state_key unique (company, quote_id, sequence, to_state),
    constraint quote_transition_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint quote_transition_sequence_check check (sequence > 0 and (sequence = 1) = (from_state is null)),
    -- No gap, and no state that was not reached.
    constraint quote_transition_previous_fkey foreign key (company, quote_id, previous, from_state)
        references quote_transition (company, quote_id, sequence, to_state),
    -- The life cycle: what may be done to a quote in which state, and what comes
    -- of it. package quote has the same table, and so has DEVELOPERS.md.
    constraint quote_transition_life_check check (
        (action, coalesce(from_state, ''), to_state) in (
            ('create', '', 'draft'),
            ('issue', 'draft', 'issued'),
            ('accept', 'issued', 'accepted'),
            ('decline', 'issued', 'declined'),
            ('expire', 'issued', 'expired'),
            ('void', 'draft', 'void'),
            ('void', 'issued', 'void'),
            ('revise', 'draft', 'void'),
            ('revise', 'issued', 'void'),
            ('choose-other', 'draft', 'void'),
            ('choose-other', 'issued', 'declined'))),
    constraint quote_transition_decision_check check (
        (decided_by is null or decided_by in ('customer', 'agent'))
        and case action
            when 'accept' then decided_by is not null and decided_on is not null
            when 'decline' then true
            else decided_by is null and decided_on is null and reference = ''
        end)
);

-- Where a quote stands: its place among others, which never changes, and its
-- state, which is that of its newest transition.
create table quote_state (
    company         text collate "C" not null,
    quote_id        text collate "C" not null,
    office          text collate "C" not null default 'main',
    -- The chain of revisions: root is the first quote of it, revises the one
    -- before.
    root            text collate "C" not null,
    revision_number integer          not null,
    revises         text collate "C",
    -- The accepted quote that this one, a change order, changes.
    changes         text collate "C",
    -- Quotes offered side by side have the first of them in common. One of them
    -- is accepted at most.
    option_group    text collate "C" not null,
    state           text collate "C" not null,
    sequence        integer          not null,
    updated_at      timestamptz      not null,
    -- The first instant after the last day of validity, in the office's time
    -- zone as it was when the quote was issued.
    expires_at      timestamptz,
    constraint quote_state_pkey primary key (company, quote_id),
    constraint quote_state_quote_fkey foreign key (company, quote_id) references quote (company, id),
    constraint quote_state_root_fkey foreign key (company, root) references quote (company, id),
    constraint quote_state_revises_fkey foreign key (company, revises) references quote (company, id),
    constraint quote_state_changes_fkey foreign key (company, changes) references quote (company, id),
    constraint quote_state_option_group_fkey foreign key (company, option_group) references quote (company, id),
    constraint quote_state_transition_fkey foreign key (company, quote_id, sequence, state)
        references quote_transition (company, quote_id, sequence, to_state),
    constraint quote_state_state_check check (state in ('draft', 'issued', 'accepted', 'declined', 'expired', 'void')),
    constraint quote_state_chain_check check (
        revision_number > 0
        and (revision_number = 1) = (revises is null)
        and (revision_number = 1) = (root = quote_id)),
    -- A quote is revised once, so that a chain has one end.
    constraint quote_state_revises_key unique (company, revises),
    constraint quote_state_revision_key unique (company, root, revision_number),
    constraint quote_state_expires_check check (
        case when state in ('issued', 'accepted', 'declined', 'expired') then expires_at is not null else true end)
);
create unique index quote_state_accepted_key on quote_state (company, option_group) where state = 'accepted';
create index quote_state_by_option_group on quote_state (company, option_group);
create index quote_state_by_update on quote_state (company, updated_at);
-- What the search for expired quotes reads, and nothing else.
create index quote_state_open on quote_state (company, expires_at, quote_id) where state = 'issued';

-- People's details, apart from everything: no other table repeats them, and
-- erasing blanks them here. A quote's customer is this id, but may be one that
-- stands in the caller's own system only. version counts the changes.
create table customer (
    company       text collate "C" not null,
    id            text collate "C" not null,
    office        text collate "C" not null default 'main',
    display_name  text             not null default '',
    address_lines text[]           not null default '{}',
    locality      text             not null default '',
    region        text             not null default '',
    postal_code   text             not null default '',
    country       text collate "C" not null default '',
    email         text             not null default '',
    telephone     text             not null default '',
    note          text             not null default '',
    version       integer          not null,
    created_at    timestamptz      not null,
    updated_at    timestamptz      not null,
    erased_at     timestamptz,
    constraint customer_pkey primary key (company, id),
    constraint customer_version_check check (version > 0),
    constraint customer_erased_check check (
        erased_at is null
        or display_name = '' and address_lines = '{}' and locality = '' and region = '' and postal_code = ''
            and country = '' and email = '' and telephone = '' and note = '')
);

-- Who did what to which record that has no history of its own: ids only.
create table audit (
    company   text collate "C" not null,
    sequence  bigint           generated always as identity,
    office    text collate "C" not null default 'main',
    at        timestamptz      not null,
    principal text collate "C" not null,
    kind      text collate "C" not null,
    subject   text collate "C" not null,
    constraint audit_pkey primary key (company, sequence),
    constraint audit_kind_check check (kind ~ '^[a-z]+(-[a-z]+)*$')
);

alter table quote_transition enable row level security;
alter table quote_state enable row level security;
alter table customer enable row level security;
alter table audit enable row level security;
-- Who sees and who writes is as with quotes.
create policy quote_transition_reads on quote_transition for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy quote_transition_writes on quote_transition for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy quote_state_reads on quote_state for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy quote_state_writes on quote_state for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy quote_state_changes on quote_state for update
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy customer_reads on customer for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
            or (select current_setting('wattle.quotes', true)) = '*'));
create policy customer_writes on customer for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy customer_changes on customer for update
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));
create policy audit_reads on audit for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])
            or (select current_setting('wattle.below', true)) = '*'));
create policy audit_writes on audit for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'));

-- A program of before this migration adds quotes and knows nothing of their
-- lives: at the end of its transaction such a quote becomes a draft. To be
-- dropped once no such program runs.
-- +goose StatementBegin
create function quote_begins() returns trigger language plpgsql as $$
begin
    if not exists (select from quote_state s where s.company = new.company and s.quote_id = new.id) then
        insert into quote_transition (company, quote_id, sequence, office, action, to_state, at)
        values (new.company, new.id, 1, new.office, 'create', 'draft', new.created_at);
        insert into quote_state (company, quote_id, office, root, revision_number, option_group, state, sequence, updated_at)
        values (new.company, new.id, new.office, new.id, 1, new.id, 'draft', 1, new.created_at);
    end if;
    return null;
end
$$;
-- +goose StatementEnd
-- It keeps quotes from being added until this migration ends, so none is missed.
create constraint trigger quote_begins after insert on quote
    deferrable initially deferred for each row execute function quote_begins();

-- Quotes of before are drafts.
insert into quote_transition (company, quote_id, sequence, office, action, to_state, at)
select company, id, 1, office, 'create', 'draft', created_at from quote;
insert into quote_state (company, quote_id, office, root, revision_number, option_group, state, sequence, updated_at)
select company, id, office, id, 1, id, 'draft', 1, created_at from quote;
