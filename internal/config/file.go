package config

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"
	"go.yaml.in/yaml/v3"
)

// mostBytes of a file; one that is longer is some other file.
const mostBytes = 1 << 20

// File is what a file sets, checked, in its order.
type File struct {
	entries []entry
}

// entry is one line of a file: the values are the flag's, several of a list.
type entry struct {
	line   int
	name   string
	values []string
}

// Faults are all that is wrong, each with its place.
type Faults struct {
	In  string // what the faults are in
	All []string
}

func (f *Faults) Error() string {
	things := "things"
	if len(f.All) == 1 {
		things = "thing"
	}
	return fmt.Sprintf("%s has %d %s to put right\n  %s", f.In, len(f.All), things, strings.Join(f.All, "\n  "))
}

func (f *Faults) add(format string, args ...any) { f.All = append(f.All, fmt.Sprintf(format, args...)) }

func (f *Faults) err() error {
	if len(f.All) == 0 {
		return nil
	}
	return f
}

// ReadFile is Parse of a file.
func ReadFile(path string, s Settings) (File, error) {
	f, err := os.Open(path)
	if err != nil {
		return File{}, fmt.Errorf("read the configuration: %w", err)
	}
	defer func() { _ = f.Close() }() // it was only read
	text, err := io.ReadAll(io.LimitReader(f, mostBytes+1))
	if err != nil {
		return File{}, fmt.Errorf("read the configuration: %w", err)
	}
	if len(text) > mostBytes {
		return File{}, fmt.Errorf("%s is longer than 1 MiB, so it is no configuration", path)
	}
	return Parse(path, text, s)
}

// Parse reads a file. The error, a *Faults where the text is YAML at all, lists
// everything wrong with it: keys that no command has, given twice, or of another
// kind than the flag, and values that are secrets.
func Parse(path string, text []byte, s Settings) (File, error) {
	dec := yaml.NewDecoder(bytes.NewReader(text))
	var doc yaml.Node
	err := dec.Decode(&doc)
	if errors.Is(err, io.EOF) { // empty, or comments alone
		return File{}, nil
	}
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", path, err)
	}
	faults := &Faults{In: path}
	if err := dec.Decode(&yaml.Node{}); !errors.Is(err, io.EOF) {
		faults.add("expected one document, found more after `---`")
		return File{}, faults
	}
	top := doc.Content[0]
	switch {
	case top.ShortTag() == "!!null":
		return File{}, nil
	case top.Kind != yaml.MappingNode:
		faults.add("line %d: expected keys and values, such as `listen: 127.0.0.1:7453`", top.Line)
		return File{}, faults
	}
	var f File
	first := map[string]int{}
	for i := 0; i+1 < len(top.Content); i += 2 {
		key, value := top.Content[i], top.Content[i+1]
		name := key.Value
		if line, again := first[name]; again {
			faults.add("line %d: %s is given again; it stands on line %d", key.Line, name, line)
			continue
		}
		first[name] = key.Line
		setting := s.find(name)
		if setting == nil {
			faults.add("line %d: there is no setting %q%s", key.Line, name, didYouMean(strings.ReplaceAll(name, "_", "-"), s.Names()))
			continue
		}
		values, problems := setting.read(value)
		for _, problem := range problems {
			faults.add("line %d: %s: %s", value.Line, name, problem)
		}
		f.entries = append(f.entries, entry{key.Line, name, values})
	}
	return f, faults.err()
}

// read takes a value and tries it on the setting's own flag.
func (s Setting) read(value *yaml.Node) (values, problems []string) {
	value = meant(value)
	_, list := s.Value.(pflag.SliceValue)
	items := []*yaml.Node{value}
	if list && value.Kind == yaml.SequenceNode {
		items = value.Content
	}
	for _, item := range items {
		item = meant(item)
		if problem := s.unlike(item); problem != "" {
			problems = append(problems, problem)
			continue
		}
		values = append(values, item.Value)
	}
	if len(problems) > 0 {
		return nil, problems
	}
	if err := set(s.Flag, values); err != nil {
		problems = append(problems, err.Error())
	}
	return values, problems
}

// meant is the value that an alias stands for.
func meant(value *yaml.Node) *yaml.Node {
	for value.Kind == yaml.AliasNode {
		value = value.Alias
	}
	return value
}

// unlike says why a value is not of the setting's kind; empty where it is.
func (s Setting) unlike(v *yaml.Node) string {
	expected := "expected " + s.Kind()
	switch {
	case v.Kind == yaml.SequenceNode:
		return expected + ", found a list"
	case v.Kind == yaml.MappingNode:
		return expected + ", found keys and values"
	case v.ShortTag() == "!!null":
		return expected + ", found nothing; leave the line out for the default"
	case s.Value.Type() == "bool" && v.ShortTag() != "!!bool",
		whole(s.Value.Type()) && v.ShortTag() != "!!int",
		s.Value.Type() == "float64" && v.ShortTag() != "!!int" && v.ShortTag() != "!!float":
		return fmt.Sprintf("%s, found %s", expected, v.Value)
	case s.text() && v.ShortTag() != "!!str":
		return fmt.Sprintf("%s, found %s; put it in quotes if it is meant", expected, v.Value)
	case holdsPassword(v.Value):
		return "it holds a password, and this file is for no secrets; take it out, and name a file of passwords in the URL: ?passfile=/etc/wattle/pgpass"
	default:
		return ""
	}
}
