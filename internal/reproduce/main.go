// Reproduce computes generated quotes and prints their digests, so that two
// machines, or two builds for one, can be held against each other. Jobs are
// drawn from a seed: every family, sites as coordinates, traverses, arcs and
// maps, slopes, gates, keep-outs, options, moistures, suppliers, breaks, units,
// discounts and currencies, by every version of the rules. A job that cannot be
// built counts by the text of its error.
//
//	go run ./internal/reproduce                       a digest a hundred, and one of all
//	go run ./internal/reproduce -everywhere           amd64 v1, amd64 v3 and arm64, compared quote by quote
//	go run ./internal/reproduce -first 4711 -n 1 -documents   the document of one, to be compared with another machine's
package main

import (
	"bufio"
	"context"
	"crypto/sha256"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
)

// leastQuotes is the percentage of jobs that must be quotes and not refusals:
// with fewer the digests would say little.
const leastQuotes = 80

// jobs say which quotes are computed and what is printed of each.
type jobs struct {
	seed, first, n uint64
	block          uint64
	each           bool
	documents      bool
}

func main() {
	if err := command(); err != nil {
		fmt.Fprintln(os.Stderr, "reproduce: "+err.Error())
		os.Exit(1)
	}
}

func command() error {
	var j jobs
	flag.Uint64Var(&j.seed, "seed", 1, "seed that jobs are drawn from")
	flag.Uint64Var(&j.first, "first", 0, "number of the first job")
	flag.Uint64Var(&j.n, "n", 10_000, "how many jobs")
	flag.Uint64Var(&j.block, "block", 100, "jobs to a digest")
	flag.BoolVar(&j.each, "each", false, "print a line for every job instead")
	flag.BoolVar(&j.documents, "documents", false, "print the documents, or why there is none, instead")
	everywhere := flag.Bool("everywhere", false, "build this program for each target, run it, and compare what they say of every job")
	emulator := flag.String("arm64", "qemu-aarch64-static", "program that runs one of arm64 where the machine is another")
	flag.Parse()
	if flag.NArg() > 0 || j.n == 0 || j.block == 0 {
		flag.Usage()
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if *everywhere {
		return compareAll(ctx, os.Stdout, j, targets(*emulator))
	}
	return j.print(ctx, os.Stdout)
}

// print computes the jobs on every processor and prints them in order.
func (j jobs) print(ctx context.Context, to io.Writer) error {
	w := bufio.NewWriter(to)
	total, block := sha256.New(), sha256.New()
	var quotes, inBlock uint64
	for a := range j.answers(ctx) {
		if !a.refused {
			quotes++
		}
		digest := a.digest()
		for _, h := range []io.Writer{total, block} {
			_, _ = h.Write(digest[:]) // a hash takes all
		}
		switch inBlock++; {
		case j.documents:
			fmt.Fprintf(w, "%s\n", a.document)
		case j.each:
			fmt.Fprintln(w, a.line())
		case inBlock == j.block || a.number == j.first+j.n-1:
			fmt.Fprintf(w, "%06d-%06d %x\n", a.number+1-inBlock, a.number, block.Sum(nil))
			block.Reset()
			inBlock = 0
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if !j.documents {
		fmt.Fprintf(w, "total %x: %d jobs of seed %d, %d of them quotes\n", total.Sum(nil), j.n, j.seed, quotes)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if !j.documents && quotes*100 < j.n*leastQuotes {
		return fmt.Errorf("only %d of %d jobs are quotes; at least %d %% are expected", quotes, j.n, leastQuotes)
	}
	return nil
}

// answers come in order; jobs are computed on every processor, since no quote
// depends on another.
func (j jobs) answers(ctx context.Context) <-chan answer {
	waiting := make(chan chan answer, 4*runtime.GOMAXPROCS(0))
	out := make(chan answer)
	go func() {
		defer close(waiting)
		for number := j.first; number < j.first+j.n && ctx.Err() == nil; number++ {
			slot := make(chan answer, 1)
			waiting <- slot
			go func() { slot <- compute(j.seed, number) }()
		}
	}()
	go func() {
		defer close(out)
		for slot := range waiting {
			out <- <-slot
		}
	}()
	return out
}
