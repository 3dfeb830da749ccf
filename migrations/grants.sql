-- Who may do what, all of it. Applied after the numbered migrations, since the
-- names of the roles are configuration: SERVICE and WORKER stand for them.
-- History is append-only: nobody is granted UPDATE or DELETE on it.

revoke all on all tables in schema public from SERVICE, WORKER;

grant select on schema_meta, goose_db_version to SERVICE, WORKER;

grant select, insert on book_head, book_revision, price_entry to SERVICE;
-- The head is the one row of the book that moves: the newest revision and its
-- hash. Updating it is also what puts imports in order.
grant update (revision, hash) on book_head to SERVICE;

grant select, insert on idempotency, quote, quote_document, saved_spec to SERVICE;
grant select, insert on paper_template, quote_paper to SERVICE;

-- How things are now, which changes: settings of companies and offices, and the
-- revocation of keys. office_version keeps what was.
grant select, insert on company, office, office_version, api_key to SERVICE;
grant update (title, quotes_from_above, tree_version, version) on company to SERVICE;
grant update (parent, title, time_zone, margin_floor, stale_after_days, preferred_suppliers, removed, version) on office to SERVICE;
grant update (revoked_at, revoked_by) on api_key to SERVICE;
-- Who calls is asked before any company is known.
grant execute on function wattle_caller(bytea) to SERVICE;
grant select, insert on quote_transition, quote_state, quote_approval, audit, customer to SERVICE;
-- What a quote's newest transition made of it. Its place among others stays.
grant update (state, sequence, updated_at, expires_at) on quote_state to SERVICE;
-- People's details change, and are erased when they ask.
grant update (display_name, address_lines, locality, region, postal_code, country, email, telephone, note,
    version, updated_at, erased_at) on customer to SERVICE;

-- What imports need on their way is no history: rows and parts are removed when
-- the import has ended. import_row is without row-level security, which COPY
-- FROM cannot work under; see its migration.
grant select, insert, delete on import_row, import_part, price_import to SERVICE;
-- Who adds a part locks its import and counts its bytes.
grant update (bytes) on price_import to SERVICE;
grant execute on function sweep_imports(interval) to SERVICE;

-- How much waits, in numbers over all companies, for who runs the service.
grant execute on function wattle_backlog(text[]) to SERVICE, WORKER;

grant select, insert on job_actuals, job_actuals_line to SERVICE;

-- Quotes expire by themselves.
grant select on quote, quote_transition, quote_state to WORKER;
grant insert on quote_transition to WORKER;
grant update (state, sequence, updated_at, expires_at) on quote_state to WORKER;

-- Whose events a webhook is told of depends on the tree.
grant select on company, office to WORKER;

-- An index, not history: a quote's rows go when it is open no more, and the
-- worker closes quotes too.
grant select, insert, delete on quote_item to SERVICE;
grant select, delete on quote_item to WORKER;
-- What a revision of the book does to open quotes is the worker's to find out.
grant select on book_head, book_revision, price_entry, quote_document to WORKER;
grant select, insert on impact, impact_chunk, impact_chunk_done, impact_quote, impact_done to SERVICE, WORKER;

grant select, insert on event, event_pending, event_position to SERVICE, WORKER;
-- A row of event_pending is a note that an event has no position yet, and goes
-- when it has.
grant delete on event_pending to SERVICE, WORKER;

grant select, insert on webhook, webhook_secret, webhook_delivery, webhook_attempt to SERVICE;
-- A webhook is paused, taken up again, and deleted; its secrets go with it, so
-- that no key is kept that signs nothing.
grant update (state) on webhook to SERVICE;
grant delete on webhook_secret to SERVICE;
grant select on webhook, webhook_secret to WORKER;
grant select, insert on webhook_delivery, webhook_attempt to WORKER;

-- River's own tables, which belong to no company: its jobs carry the company in
-- their args. The service only adds jobs; on conflict River sets the kind to
-- what it was. The worker takes jobs, marks them, and removes old ones; leaders
-- are elected and queues noted by rows that change.
grant select, insert, update (kind) on river_job to SERVICE;
grant select, insert, update, delete on river_job, river_leader, river_queue, river_notification to WORKER;
grant select on river_migration to WORKER;
grant usage on sequence river_job_id_seq to SERVICE, WORKER;

-- The service sees and adds jobs of its caller's company only; a worker works
-- for all, one at a time.
alter table river_job enable row level security;
drop policy if exists river_job_company on river_job;
create policy river_job_company on river_job to SERVICE
    using (args->>'company' = nullif(current_setting('wattle.company', true), ''));
drop policy if exists river_job_worker on river_job;
create policy river_job_worker on river_job to WORKER using (true);
