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

-- The worker has no work yet.
