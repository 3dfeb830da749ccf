-- +goose Up

-- An id of version 7 [RFC 9562, 5.7]: 48 bits of milliseconds, then chance. It
-- is made here, so that the clocks of two processes are never compared.
create function uuid_v7() returns uuid language sql volatile parallel safe
return encode(
    set_bit(set_bit(
        overlay(uuid_send(gen_random_uuid())
            placing substring(int8send((extract(epoch from clock_timestamp()) * 1000)::bigint) from 3)
            from 1 for 6),
        52, 1), 53, 1), 'hex')::uuid;

-- The outbox: what happened, written in the transaction that made it happen,
-- and never changed. Names and numbers only: nothing of a person, no free text.
-- sequence is the subject's own count (of a quote its changes of state, of the
-- book its revision, of a spec its version), by which a reader puts the events
-- of one subject in order.
create table event (
    company    text collate "C" not null,
    id         uuid             not null default uuid_v7(),
    office     text collate "C" not null,
    type       text collate "C" not null,
    subject    text collate "C" not null,
    sequence   bigint           not null,
    created_at timestamptz      not null default now(),
    constraint event_pkey primary key (company, id),
    constraint event_subject_key unique (company, subject, sequence, type),
    constraint event_type_check check (type ~ '^[a-z]+(_[a-z]+)*(\.[a-z]+(_[a-z]+)*)+$'),
    constraint event_subject_check check (starts_with(subject, 'companies/' || company || '/')),
    constraint event_sequence_check check (sequence > 0)
);

-- Events that have no position yet. A row lives from the commit of its event
-- until the next reader comes by. number is in the order in which events of one
-- subject were written, since whoever changes a subject holds it till the end.
create table event_pending (
    company  text collate "C" not null,
    number   bigint           generated always as identity,
    event_id uuid             not null,
    constraint event_pending_pkey primary key (company, number),
    constraint event_pending_event_fkey foreign key (company, event_id) references event (company, id)
);

-- The order in which events are told. Positions are given after the event has
-- committed, by one holder of a lock at a time, so whoever has read up to a
-- position will find nothing new below it. 1, 2, 3 without a gap.
create table event_position (
    company  text collate "C" not null,
    position bigint           not null,
    previous bigint           generated always as (nullif(position - 1, 0)) stored,
    event_id uuid             not null,
    constraint event_position_pkey primary key (company, position),
    constraint event_position_event_key unique (company, event_id),
    constraint event_position_position_check check (position > 0),
    constraint event_position_previous_fkey foreign key (company, previous) references event_position (company, position),
    constraint event_position_event_fkey foreign key (company, event_id) references event (company, id)
);

alter table event enable row level security;
alter table event_pending enable row level security;
alter table event_position enable row level security;
-- Whose events a caller is told of: of specs every office's, of prices those of
-- the offices whose prices he reads, of webhooks those of the offices he
-- manages, of all else those of the offices whose quotes he sees. The settings
-- are those of offices' own policies.
create policy event_reads on event for select
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and case split_part(type, '.', 1)
            when 'spec' then true
            when 'prices' then office = any ((select string_to_array(current_setting('wattle.reads', true), ','))::text[])
                or (select current_setting('wattle.reads', true)) = '*'
            when 'webhook' then office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])
                or (select current_setting('wattle.below', true)) = '*'
            else office = any ((select string_to_array(current_setting('wattle.quotes', true), ','))::text[])
                or (select current_setting('wattle.quotes', true)) = '*'
        end);
create policy event_writes on event for insert
    with check (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.writes', true), ','))::text[])
            or (select current_setting('wattle.writes', true)) = '*'
            or split_part(type, '.', 1) = 'webhook'
                and office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])));
-- That there is an event is no secret within the company; which, is.
create policy event_pending_company on event_pending
    using (company = (select nullif(current_setting('wattle.company', true), '')));
create policy event_position_company on event_position
    using (company = (select nullif(current_setting('wattle.company', true), '')));

-- Who wants to be told, at which address, of which types of event (none named:
-- all) in an office and those under it. Only the state changes.
create table webhook (
    company    text collate "C" not null,
    id         text collate "C" not null,
    office     text collate "C" not null,
    url        text             not null,
    types      text[] collate "C" not null default '{}',
    state      text collate "C" not null default 'active',
    created_at timestamptz      not null default now(),
    constraint webhook_pkey primary key (company, id),
    constraint webhook_state_check check (state in ('active', 'paused', 'deleted')),
    constraint webhook_url_check check (url ~ '^https?://' and length(url) <= 2048)
);

-- The secrets that a webhook's messages are signed with, each sealed under a key
-- that the database does not have. A new one takes over at once, and the one
-- before it goes on signing for the overlap. They are removed with the webhook.
create table webhook_secret (
    company    text collate "C" not null,
    webhook    text collate "C" not null,
    number     integer          not null,
    sealed     bytea            not null,
    overlap    interval         not null,
    created_at timestamptz      not null default now(),
    constraint webhook_secret_pkey primary key (company, webhook, number),
    constraint webhook_secret_webhook_fkey foreign key (company, webhook) references webhook (company, id),
    constraint webhook_secret_number_check check (number > 0),
    constraint webhook_secret_overlap_check check (overlap >= interval '0')
);

-- That an event is to be told to a webhook.
create table webhook_delivery (
    company    text collate "C" not null,
    webhook    text collate "C" not null,
    event_id   uuid             not null,
    created_at timestamptz      not null default now(),
    constraint webhook_delivery_pkey primary key (company, webhook, event_id),
    constraint webhook_delivery_webhook_fkey foreign key (company, webhook) references webhook (company, id),
    constraint webhook_delivery_event_fkey foreign key (company, event_id) references event (company, id)
);
create index webhook_delivery_newest on webhook_delivery (company, webhook, created_at desc, event_id desc);

-- How that went, each try an entry. The newest entry is where the delivery
-- stands: delivered; failed, and tried again; dead, and not tried again unless
-- somebody asks, which is the entry replayed. reason is a word of ours, and
-- nothing that the receiver wrote.
create table webhook_attempt (
    company  text collate "C" not null,
    webhook  text collate "C" not null,
    event_id uuid             not null,
    number   bigint           generated always as identity,
    at       timestamptz      not null default now(),
    outcome  text collate "C" not null,
    status   integer          not null default 0,
    reason   text collate "C" not null default '',
    took_ms  integer          not null default 0,
    constraint webhook_attempt_pkey primary key (company, webhook, event_id, number),
    constraint webhook_attempt_delivery_fkey foreign key (company, webhook, event_id) references webhook_delivery (company, webhook, event_id),
    constraint webhook_attempt_outcome_check check (outcome in ('delivered', 'failed', 'dead', 'replayed')),
    constraint webhook_attempt_status_check check (status = 0 or status between 100 and 999),
    constraint webhook_attempt_reason_check check (reason ~ '^[A-Z_]{0,40}$')
);
create index webhook_attempt_by_outcome on webhook_attempt (company, webhook, outcome, at);

alter table webhook enable row level security;
alter table webhook_secret enable row level security;
alter table webhook_delivery enable row level security;
alter table webhook_attempt enable row level security;
-- A webhook is seen and kept by who manages its office; what hangs on it, by who
-- sees the webhook.
create policy webhook_company on webhook
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and (office = any ((select string_to_array(current_setting('wattle.below', true), ','))::text[])
            or (select current_setting('wattle.below', true)) = '*'));
create policy webhook_secret_company on webhook_secret
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and exists (select from webhook w where w.company = webhook_secret.company and w.id = webhook_secret.webhook));
create policy webhook_delivery_company on webhook_delivery
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and exists (select from webhook w where w.company = webhook_delivery.company and w.id = webhook_delivery.webhook));
create policy webhook_attempt_company on webhook_attempt
    using (company = (select nullif(current_setting('wattle.company', true), ''))
        and exists (select from webhook w where w.company = webhook_attempt.company and w.id = webhook_attempt.webhook));
