package main

import (
	"context"
	"errors"
	"os"
	"time"

	"wattle/internal/fetchpg"
	"wattle/internal/localpg"
)

// privatePostgres starts one: nothing less shows that it can run here. Where the
// service has a database of its own, nobody needs it.
func (d *doctor) privatePostgres(ctx context.Context) []finding {
	const what = "private Postgres (demo, serve --local)"
	if !d.local && d.databaseURL != "" {
		return []finding{found(what, unused, "the service has a database of its own")}
	}
	bin, told := d.fetched(what)
	if told != nil {
		return []finding{*told}
	}
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	start := time.Now()
	db, err := openLocal(ctx, "", bin)
	if err != nil {
		f := found(what, missing, "%v", err)
		switch {
		case errors.Is(err, localpg.ErrNoPostgres):
			f = f.but("install one (on Debian and its kin: apt-get install postgresql), or name a database with --database-url")
		case os.Geteuid() == 0:
			f = f.but("try as an ordinary user, or see that the user postgres may enter the temporary folder")
		default:
			f = f.but("the last lines of Postgres's own words say why; WATTLE_POSTGRES_BIN names another folder of initdb and postgres")
		}
		return []finding{f}
	}
	took := time.Since(start).Round(100 * time.Millisecond)
	version := db.store.ServerVersion(ctx)
	if err := db.Close(); err != nil {
		return []finding{found(what, missing, "%v", err)}
	}
	dir, err := d.folder()
	if err != nil {
		return []finding{found(what, missing, "%v", err).but("name a folder with --data-dir")}
	}
	return []finding{found(what, fine, "Postgres %s starts with its schema in %s; serve --local keeps its data in %s", version, took, dir)}
}

// fetched is the folder of a Postgres that was fetched before; a finding where
// serve would fetch it first, as doctor changes nothing.
func (d *doctor) fetched(what string) (string, *finding) {
	if d.fetch.Repository == "" {
		return "", nil
	}
	var f finding
	bin, cached, err := d.fetch.Cached()
	switch {
	case os.Geteuid() == 0:
		f = found(what, missing, "%v", fetchpg.ErrRoot)
	case err != nil:
		f = found(what, missing, "%v", err)
	case !cached:
		f = found(what, unused, "Postgres %s will be fetched when the service starts", fetchpg.Version)
	default:
		return bin, nil
	}
	return "", &f
}

// folder is where serve --local keeps its data.
func (d *doctor) folder() (string, error) {
	if d.dataDir != "" {
		return d.dataDir, nil
	}
	return localpg.DefaultDir()
}
