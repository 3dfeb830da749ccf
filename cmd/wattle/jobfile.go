package main

import (
	"fmt"
	"io"
	"os"
	"slices"

	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
)

// jobHelp says what a job file is, for every command that takes one.
const jobHelp = `A job file is a CreateQuoteRequest as YAML or JSON. Layout and take-off need only
its site and spec. In place of a spec it may name one of the catalogue, as in
saved_spec: standard/vertical-boards-6ft; those of a company are known to its
service only. "-" reads the file from standard input.`

// maxJobBytes is the largest job file that is read; a site of the largest size
// the service takes is smaller.
const maxJobBytes = 64 << 20

// readJob reads a job file. Errors name line and column. The fields that only
// a quote needs are checked by the service, which also knows the flags' part.
func readJob(stdin io.Reader, path string) (*wattlev1.CreateQuoteRequest, error) {
	data, err := readFile(stdin, path, maxJobBytes)
	if err != nil {
		return nil, err
	}
	return parseJob(path, data)
}

func parseJob(path string, data []byte) (*wattlev1.CreateQuoteRequest, error) {
	job, err := decodeJob(path, data, measured{"site", "spec", "saved_spec"})
	switch {
	case err != nil:
		return nil, err
	case job.GetSite() == nil: // of an empty file protoyaml says nothing
		return nil, fmt.Errorf("%s: expected a job with a site and a spec, found neither", path)
	}
	return job, hasSpec(path, job)
}

// hasSpec is an error where a job neither has a spec nor names one.
func hasSpec(path string, job *wattlev1.CreateQuoteRequest) error {
	if job.GetSpec() == nil && job.GetSavedSpec() == "" {
		return fmt.Errorf("%s: expected a job with a spec, found none", path)
	}
	return nil
}

// decodeJob reads a job and checks the named parts of it.
func decodeJob(path string, data []byte, parts measured) (*wattlev1.CreateQuoteRequest, error) {
	job := &wattlev1.CreateQuoteRequest{}
	return job, decodeYAML(path, data, parts, job)
}

// decodeSpecJob reads a job whose site may be in other files altogether.
func decodeSpecJob(path string, data []byte) (*wattlev1.CreateQuoteRequest, error) {
	parts := measured{"site", "spec", "saved_spec"}
	if job, err := decodeJob(path, data, nil); err == nil && job.GetSite() == nil {
		parts = parts[1:]
	}
	return decodeJob(path, data, parts)
}

// measured checks the named parts of a job, and nothing else of it: the rest
// may come from flags, and the service checks the whole.
type measured []protoreflect.Name

func (parts measured) Validate(m proto.Message) error {
	return protovalidate.Validate(m, protovalidate.WithFilter(protovalidate.FilterFunc(
		func(holder protoreflect.Message, part protoreflect.Descriptor) bool {
			if holder.Interface() != m { // a part of it
				return true
			}
			return slices.Contains(parts, part.Name())
		})))
}

// readFile reads a file, or standard input where the path is "-".
func readFile(stdin io.Reader, path string, limit int64) ([]byte, error) {
	in := stdin
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return nil, err
		}
		defer func() { _ = f.Close() }() // it was only read
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, limit+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s is larger than %d bytes", path, limit)
	}
	return data, nil
}
