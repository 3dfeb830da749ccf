-- +goose Up

-- What a program must know before it touches the database. One row. A
-- migration that older programs cannot work with raises oldest_program; the
-- number of a program is the number of the newest migration it carries.
create table schema_meta (
    one            boolean not null default true,
    oldest_program bigint  not null,
    constraint schema_meta_pkey primary key (one),
    constraint schema_meta_one_row check (one)
);
insert into schema_meta (oldest_program) values (1);
