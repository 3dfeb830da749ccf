-- +goose Up

-- The first release is of this schema. Programs of before it made quotes that
-- no event told of and no price list found, so they are let in no more, and
-- what stood in for the lives of their quotes goes.
update schema_meta set oldest_program = 13;
drop trigger quote_begins on quote;
drop function quote_begins();
