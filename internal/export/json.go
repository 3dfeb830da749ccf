package export

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"strconv"
)

// jsonFile is an object for each row, its members in the order of the columns.
// Integers are numbers; decimals are strings, since JSON's readers take numbers
// for floating point; what is empty and no text is null.
type jsonFile struct {
	out    *bufio.Writer
	table  Table
	array  bool
	names  [][]byte
	line   bytes.Buffer
	encode *json.Encoder
	rows   int64
}

func newJSON(w io.Writer, t Table, f Format) *jsonFile {
	j := &jsonFile{out: bufio.NewWriterSize(w, 64<<10), table: t, array: f == JSON}
	j.encode = json.NewEncoder(&j.line)
	j.encode.SetEscapeHTML(false)
	for i, name := range t.Names() {
		before := "{"
		if i > 0 {
			before = ","
		}
		j.names = append(j.names, []byte(before+`"`+name+`":`)) // names are plain words
	}
	return j
}

func (j *jsonFile) Write(r Row) error {
	j.rows++
	if err := wrongWidth(j.rows, j.table, r); err != nil {
		return err
	}
	j.line.Reset()
	switch {
	case j.array && j.rows == 1:
		j.line.WriteString("[\n")
	case j.array:
		j.line.WriteString(",\n")
	}
	for i, c := range j.table.Columns {
		j.line.Write(j.names[i])
		cell := j.table.cell(r, i)
		switch {
		case c.Type == Integer && cell != "":
			if _, err := strconv.ParseInt(cell, 10, 64); err != nil {
				return wrongCell(j.rows, c, cell, err)
			}
			j.line.WriteString(cell)
		case c.Type != Text && cell == "":
			j.line.WriteString("null")
		default:
			if err := j.encode.Encode(cell); err != nil {
				return err
			}
			j.line.Truncate(j.line.Len() - 1) // Encode ends with a line break
		}
	}
	j.line.WriteByte('}')
	if !j.array {
		j.line.WriteByte('\n')
	}
	_, err := j.out.Write(j.line.Bytes())
	return err
}

func (j *jsonFile) Close(...Fact) error {
	end := ""
	switch {
	case j.array && j.rows == 0:
		end = "[]\n"
	case j.array:
		end = "\n]\n"
	}
	if _, err := j.out.WriteString(end); err != nil {
		return err
	}
	return j.out.Flush()
}
