package main

import (
	"bytes"
	"fmt"

	"buf.build/go/protoyaml"
	"google.golang.org/protobuf/proto"
)

// decodeYAML reads a file that is one message; what is wrong names line and
// column. Where validator is not nil it has its say too.
//
// YAML ends lines by more characters than the decoder counts, which would look for
// a line that is not there; so a file has line feeds, with carriage returns or
// without.
func decodeYAML(path string, data []byte, validator protoyaml.Validator, m proto.Message) error {
	data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
	if i := bytes.IndexAny(data, "\r\u0085\u2028\u2029"); i >= 0 {
		r := []rune(string(data[i:min(len(data), i+4)]))[0]
		return fmt.Errorf("%s:%d: U+%04X ends a line here; save the file with line feeds", path, 1+bytes.Count(data[:i], []byte("\n")), r)
	}
	return protoyaml.UnmarshalOptions{Path: path, Validator: validator}.Unmarshal(data, m)
}
