-- +goose Up

-- The order in which the book is exported and verified: by revision, and within
-- one by what an entry is about. A page of it is one descent and a walk along the
-- index, wherever in a revision of a million rows it begins; the index by
-- revision alone, which this one stands in for, would sort the rest of the
-- revision for every page.
create index price_entry_by_order on price_entry (company, revision, item, office, supplier, effective);
drop index price_entry_by_revision;
