// Drive puts the load of internal/trial/driver on a service for some time, then
// holds the service against the ledger. It prints a line for each second, how
// long the service was not ready, the longest time without an acknowledgement,
// and the comparison; it exits with 1 where a promise is broken.
//
//	wattle serve --local &
//	wattle company create trial --save-key trial.key
//	go run ./internal/trial/drive -server 127.0.0.1:7453 -company trial -key-file trial.key -for 30s
//
// With -only-verify it puts no load on and compares what an earlier run left in
// the ledger.
package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"time"

	"wattle/internal/trial/driver"
)

func main() {
	if err := command(); err != nil {
		fmt.Fprintln(os.Stderr, "drive:", err)
		os.Exit(1)
	}
}

type list []string

func (l *list) String() string { return strings.Join(*l, ",") }

// Set adds what a flag says once more.
func (l *list) Set(s string) error {
	*l = append(*l, s)
	return nil
}

func command() error {
	var c driver.Config
	var servers, keys list
	flag.Var(&servers, "server", "address of the service, or of one of several (repeated)")
	flag.Var(&keys, "key-file", "file with an admin's key of the company (repeated: the clients share them out)")
	flag.StringVar(&c.Company, "company", "trial", "id of a company that nobody else uses")
	ca := flag.String("ca-file", "", "secure the connection, trusting the authorities in this PEM file")
	ledger := flag.String("ledger", "trial.ledger", "file of the ledger; one that is there is gone on with")
	length := flag.Duration("for", 30*time.Second, "how long to put the load on")
	flag.IntVar(&c.Clients, "clients", 4, "concurrent clients")
	flag.DurationVar(&c.Try, "try", 5*time.Second, "deadline of each try of a request")
	flag.DurationVar(&c.Patience, "patience", time.Minute, "how long unanswered requests are repeated after the load")
	flag.DurationVar(&c.Pause, "pause", 0, "how long a client waits between requests")
	readyz := flag.String("readyz", "", "also follow readiness over HTTP at this URL, such as http://127.0.0.1:7454/readyz")
	only := flag.Bool("only-verify", false, "compare only, with what the ledger says already")
	flag.Parse()
	c.Servers = servers
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	for _, path := range keys {
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		c.Keys = append(c.Keys, strings.TrimSpace(string(text)))
	}
	if *ca != "" {
		text, err := os.ReadFile(*ca)
		if err != nil {
			return err
		}
		c.TLS = &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: x509.NewCertPool()}
		if !c.TLS.RootCAs.AppendCertsFromPEM(text) {
			return fmt.Errorf("%s holds no certificate in PEM form", *ca)
		}
	}
	var err error
	if c.Ledger, err = driver.OpenLedger(*ledger); err != nil {
		return err
	}
	d, err := driver.New(c)
	if err != nil {
		return errors.Join(err, c.Ledger.Close())
	}
	err = drive(ctx, d, *length, *readyz, *only)
	return errors.Join(err, d.Close(), c.Ledger.Close())
}

func drive(ctx context.Context, d *driver.Driver, length time.Duration, readyz string, only bool) error {
	if !only {
		if err := d.Prepare(ctx); err != nil {
			return err
		}
		ready := d.WatchReadiness(ctx, readyz)
		timed, cancel := context.WithTimeout(ctx, length)
		err := d.Run(timed)
		cancel()
		ready.Stop()
		if err := d.Timeline().Write(os.Stdout); err != nil {
			return err
		}
		for _, change := range ready.Changes() {
			fmt.Printf("%s ready: %v\n", change.At.Format("15:04:05.000"), change.Ready)
		}
		fmt.Printf("longest time without an acknowledgement: %.2f s\n", d.Timeline().LongestGap().Seconds())
		fmt.Printf("failed tries: %s\n", driver.Codes(d.Timeline().Failed()))
		if err != nil {
			return err
		}
	}
	verdict, err := d.Verify(ctx)
	fmt.Println(verdict)
	switch {
	case err != nil:
		return err
	case len(verdict.Problems) > 0:
		return errors.New("a promise is broken")
	}
	return nil
}
