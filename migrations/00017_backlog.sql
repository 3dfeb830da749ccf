-- +goose Up

-- wattle_backlog says how much waits to be done, of all companies together, and
-- for how long the oldest of it has: numbers for who runs the service, and no
-- company's rows. It runs as the owner of the tables, since the service sees one
-- company at a time. No count goes past 10,000, so that to ask stays cheap
-- however much there is. It is PL/pgSQL, whose body is not looked at here, as the
-- queue's table comes after the numbered migrations.
-- +goose StatementBegin
create function wattle_backlog(queues text[])
    returns table (what text, part text, waiting bigint, oldest_seconds double precision)
    language plpgsql stable security definer set search_path = pg_catalog, public, pg_temp
as $$
begin
    -- Jobs that could run now. One that is to be tried again is among them once
    -- its time has come, so that a queue without any worker is seen too.
    return query
        select 'jobs', q.queue, count(j.since), coalesce(extract(epoch from now() - min(j.since)), 0)::double precision
        from unnest(queues) q (queue)
        left join lateral (
            select r.scheduled_at as since from public.river_job r
            where r.state in ('available', 'retryable', 'scheduled') and r.queue = q.queue and r.scheduled_at <= now()
            limit 10000
        ) j on true
        group by q.queue;
    -- Events that no reader can see yet.
    return query
        select 'events', '', count(e.since), coalesce(extract(epoch from now() - min(e.since)), 0)::double precision
        from (
            select v.created_at as since
            from (select company, event_id from public.event_pending limit 10000) p
            join public.event v on v.company = p.company and v.id = p.event_id
        ) e;
    -- Deliveries that have not arrived and will be tried (again).
    return query
        select 'deliveries', 'waiting', count(d.since), coalesce(extract(epoch from now() - min(d.since)), 0)::double precision
        from (
            select r.created_at as since from public.river_job r
            where r.state in ('available', 'retryable', 'scheduled', 'running') and r.queue = 'webhooks'
            limit 10000
        ) d;
    -- Deliveries that were given up within the last day, and that nobody has
    -- asked for again.
    return query
        select 'deliveries', 'dead', count(d.since), coalesce(extract(epoch from now() - min(d.since)), 0)::double precision
        from (
            select a.at as since
            from public.webhook w
            join public.webhook_attempt a on a.company = w.company and a.webhook = w.id
            where w.state <> 'deleted' and a.outcome = 'dead' and a.at > now() - interval '1 day'
                and not exists (
                    select from public.webhook_attempt b
                    where b.company = a.company and b.webhook = a.webhook and b.event_id = a.event_id and b.number > a.number)
            limit 10000
        ) d;
    -- Imports in parts that nobody has committed.
    return query
        select 'imports', '', count(i.since), coalesce(extract(epoch from now() - min(i.since)), 0)::double precision
        from (select p.started_at as since from public.price_import p limit 10000) i;
end
$$;
-- +goose StatementEnd
revoke all on function wattle_backlog(text[]) from public;
