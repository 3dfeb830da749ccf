package main

import (
	"fmt"
	"slices"
)

// row is one promise: the work, what it is measured against, what is wanted, and
// how that follows from figures.
type row struct {
	work, against, wanted string
	of                    []suite
	// got says what was measured, and whether that is what is wanted; empty where
	// the figures lack it.
	got func(f figures) (text string, holds bool)
}

// asServe is how serve has Go collect its garbage (cmd/wattle/memory.go); the echo
// server is in the same process, so it is its way too.
const asServe = "GOGC=400"

// The benchmarks that rows are made of.
var (
	edge     = suite{pkg: "./internal/bench", bench: "^BenchmarkPlanAndCount$", times: "60x", shortTimes: "8x", env: asServe, shortEnv: asServe}
	bays     = suite{pkg: "./internal/takeoff", bench: "^BenchmarkFences$/^line$/^vertical$", times: "1s", shortTimes: "2x", env: asServe, shortEnv: asServe, count: 7}
	quotes   = suite{pkg: "./internal/bench", bench: "^BenchmarkCreateQuote$", times: "7x", shortTimes: "1x", env: asServe, shortEnv: asServe}
	resolved = suite{pkg: "./internal/postgres", bench: "^BenchmarkResolve$", times: "2000x", shortTimes: "100x", env: "WATTLE_BENCH_REVISIONS=1000"}
	imported = suite{pkg: "./cmd/wattle", bench: "^BenchmarkPriceImport$", times: "3x", shortTimes: "1x", shortEnv: "WATTLE_BENCH_ROWS=100000"}
	followed = suite{pkg: "./internal/estimating", bench: "^BenchmarkCostPerFoot$", times: "500x", shortTimes: "50x"}
	public   = suite{pkg: "./internal/cutting", bench: "^BenchmarkPublicInstances$", times: "1x", shortTimes: "1x"}
	jobs     = suite{pkg: "./internal/cutting", bench: "^BenchmarkJobs$", times: "1x", shortTimes: "1x"}
	memory   = suite{pkg: "./internal/bench", bench: "^BenchmarkMemory$", times: "1x", shortTimes: "1x"}
	capacity = suite{pkg: "./internal/bench", bench: "^BenchmarkCapacity$", times: "2x", shortTimes: "1x", env: asServe, shortEnv: asServe}
)

// rows are the table, in the order of the design.
var rows = []row{
	{"PlanLayout and ComputeTakeoff of 20 bays over gRPC, 8 clients", "an echo server that unmarshals the same and answers what was made before", "0.5 x its requests/s",
		[]suite{edge}, ratio("PlanAndCount", "requests/s", "echo-requests/s", 0.5)},
	{"layout and take-off, 100 to 100,000 bays", "itself at 100 bays; 2 us", "time a bay within 1.5 x, under 2 us", []suite{bays}, linear},
	{"CreateQuote of 60 lines over gRPC, 8 clients", "pgbench sending the same statements", "0.25 x its tps",
		[]suite{quotes}, ratio("CreateQuote/statements", "quotes/s", "pgbench-tps", 0.25)},
	{"the same", "pgbench doing the least in one transaction: as-of query, inserts, event's job", "0.25 x its tps",
		[]suite{quotes}, ratio("CreateQuote/least", "quotes/s", "pgbench-tps", 0.25)},
	{"60 items resolved in a book of 10,000 items and many revisions, warm", "10,000 items of 1 revision", "p99 within 2 x, at the newest and the first", []suite{resolved}, resolution},
	{"price import into an empty book over gRPC", "COPY and INSERT ... SELECT on a bare connection", "0.5 x its rows/s",
		[]suite{imported}, ratio("PriceImport/empty", "service-rows/s", "postgres-rows/s", 0.5)},
	{"the same into a book that holds as many, every price changed", "the same", "0.5 x its rows/s",
		[]suite{imported}, ratio("PriceImport/full", "service-rows/s", "postgres-rows/s", 0.5)},
	{"cost per foot, 20 items, 5 years of monthly lists", "one SELECT of the same rows", "within 3 x its time", []suite{followed}, costPerFoot},
	{"cut plans of the public instances", "their optima", "95 % proven, 95 % within 100 ms", []suite{public}, plans("PublicInstances")},
	{"cut plans of generated jobs", "their bounds", "95 % proven, 95 % within 100 ms", []suite{jobs}, plans("Jobs")},
	{"serve --local at rest, Postgres apart", "60 MiB", "less", []suite{memory}, below("Memory", "serve-MiB", "MiB", 60)},
	{"a job of 100,000 bays", "500 MiB", "less", []suite{memory}, below("Memory", "job-MiB", "MiB", 500)},
	{"capacity: quotes of 60 lines, 8 clients and Postgres on the machine", "-", "-", []suite{capacity}, func(f figures) (string, bool) {
		rate, ok := f.of("Capacity", "quotes/s")
		size, _ := f.of("Capacity", "GB/million-quotes")
		return told(ok, "%.0f quotes/s, %.1f GB a million", rate, size), true
	}},
}

func ratio(bench, ours, theirs string, least float64) func(figures) (string, bool) {
	return func(f figures) (string, bool) {
		r, ok := f.of(bench, "ratio")
		a, _ := f.of(bench, ours)
		z, _ := f.of(bench, theirs)
		return told(ok, "%.2f x, %.0f against %.0f", r, a, z), r >= least
	}
}

func below(bench, unit, shown string, most float64) func(figures) (string, bool) {
	return func(f figures) (string, bool) {
		v, ok := f.of(bench, unit)
		return told(ok, "%.0f %s", v, shown), v < most
	}
}

func plans(bench string) func(figures) (string, bool) {
	return func(f figures) (string, bool) {
		proven, ok := f.of(bench, "proven-%")
		quick, _ := f.of(bench, "within-100ms-%")
		p95, _ := f.of(bench, "p95-ms")
		return told(ok, "%.1f %% proven, %.1f %% within 100 ms, p95 %.1f ms", proven, quick, p95), proven >= 95 && quick >= 95
	}
}

// linear holds where no job of 100 bays or more takes much longer a bay than one of
// 100, and each bay is short.
func linear(f figures) (string, bool) {
	at := func(n string) float64 { v, _ := f.least("Fences/line/vertical/"+n, "ns/bay"); return v }
	first := at("100")
	var each []float64
	for _, n := range []string{"100", "1000", "10000", "100000"} {
		each = append(each, at(n))
	}
	most := slices.Max(each)
	return told(first > 0, "%.2f, %.2f, %.2f, %.2f us a bay of 100, 1,000, 10,000, 100,000, least of %d runs", each[0]/1e3, each[1]/1e3, each[2]/1e3, each[3]/1e3, len(f["Fences/line/vertical/100"]["ns/bay"])),
		most <= 1.5*first && most < 2000
}

// resolution compares p99 in the largest book that was measured with that of one
// revision, asked by turns with it.
func resolution(f figures) (string, bool) {
	for _, revisions := range []string{"1000", "20"} {
		at := func(when, unit string) float64 {
			v, _ := f.of("Resolve/10000x"+revisions+"/"+when, unit)
			return v
		}
		newest, first := at("newest", "ratio"), at("first", "ratio")
		if newest == 0 || first == 0 {
			continue
		}
		return fmt.Sprintf("%.2f x at the newest, %.2f x at the first of %s revisions (%.1f against %.1f ms, %.1f against %.1f)", newest, first, revisions,
			at("newest", "p99-us")/1e3, at("newest", "one-p99-us")/1e3, at("first", "p99-us")/1e3, at("first", "one-p99-us")/1e3), max(newest, first) <= 2
	}
	return "", false
}

func costPerFoot(f figures) (string, bool) {
	r, ok := f.of("CostPerFoot", "ratio")
	ours, _ := f.of("CostPerFoot", "follow-us")
	theirs, _ := f.of("CostPerFoot", "select-us")
	return told(ok, "%.1f x, %.1f ms against %.1f ms", r, ours/1e3, theirs/1e3), r <= 3
}

// told is empty where there is nothing to tell.
func told(has bool, format string, args ...any) string {
	if !has {
		return ""
	}
	return fmt.Sprintf(format, args...)
}
