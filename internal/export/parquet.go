package export

import (
	"errors"
	"io"
	"math/big"
	"slices"
	"strconv"
	"time"

	"github.com/govalues/decimal"
	"github.com/parquet-go/parquet-go"
)

// rowsInGroup bounds a row group, and so what the writer holds in memory.
const rowsInGroup = 50_000

// parquetFile is compressed by zstd. Decimals are DECIMAL, dates DATE, instants
// TIMESTAMP in UTC microseconds, text STRING. Nothing in it tells when or where
// it was written.
type parquetFile struct {
	out     *parquet.GenericWriter[any]
	table   Table
	rows    int64
	pending []parquet.Row
}

func newParquet(w io.Writer, t Table) *parquetFile {
	fields := make(parquet.Group, len(t.Columns))
	for _, c := range t.Columns {
		node := c.Type.node()
		if c.Optional {
			node = parquet.Optional(node)
		}
		fields[c.Name] = node
	}
	schema := parquet.NewSchema(t.Name, inOrder{fields, t.Names()})
	return &parquetFile{
		out: parquet.NewGenericWriter[any](w, schema, parquet.Compression(&parquet.Zstd), parquet.MaxRowsPerRowGroup(rowsInGroup),
			parquet.CreatedBy("wattle", "1", "export")),
		table: t,
	}
}

// inOrder is a group whose fields stand as named and not by the alphabet.
type inOrder struct {
	parquet.Group
	names []string
}

func (g inOrder) Fields() []parquet.Field {
	fields := g.Group.Fields()
	slices.SortFunc(fields, func(a, b parquet.Field) int {
		return slices.Index(g.names, a.Name()) - slices.Index(g.names, b.Name())
	})
	return fields
}

func (t Type) node() parquet.Node {
	switch t {
	case Integer:
		return parquet.Int(64)
	case Price:
		return parquet.Decimal(priceScale, 15, parquet.Int64Type)
	case Amount:
		return parquet.Decimal(amountScale, 38, parquet.FixedLenByteArrayType(amountBytes))
	case Date:
		return parquet.Date()
	case Timestamp:
		return parquet.Timestamp(parquet.Microsecond)
	default:
		return parquet.String()
	}
}

const (
	priceScale  = 6
	amountScale = 19
	amountBytes = 16
)

const rowsAtOnce = 1000

func (f *parquetFile) Write(r Row) error {
	f.rows++
	if err := wrongWidth(f.rows, f.table, r); err != nil {
		return err
	}
	row := make(parquet.Row, len(f.table.Columns))
	for i, c := range f.table.Columns {
		cell, defined := f.table.cell(r, i), 0
		if c.Optional && cell == "" {
			row[i] = parquet.NullValue().Level(0, 0, i)
			continue
		}
		v, err := c.Type.value(cell)
		if err != nil {
			return wrongCell(f.rows, c, cell, err)
		}
		if c.Optional {
			defined = 1
		}
		row[i] = v.Level(0, defined, i)
	}
	if f.pending = append(f.pending, row); len(f.pending) < rowsAtOnce {
		return nil
	}
	return f.flush()
}

func (f *parquetFile) flush() error {
	_, err := f.out.WriteRows(f.pending)
	f.pending = f.pending[:0]
	return err
}

func (f *parquetFile) Close(facts ...Fact) error {
	if err := f.flush(); err != nil {
		return err
	}
	f.out.SetKeyValueMetadata("wattle.table", f.table.Name)
	for _, fact := range facts {
		f.out.SetKeyValueMetadata("wattle."+fact.Name, fact.Value)
	}
	return f.out.Close()
}

func (t Type) value(cell string) (parquet.Value, error) {
	switch t {
	case Integer:
		n, err := strconv.ParseInt(cell, 10, 64)
		return parquet.Int64Value(n), err
	case Price:
		n, err := scaled(cell, priceScale)
		if err == nil && !n.IsInt64() {
			err = errTooWide
		}
		return parquet.Int64Value(n.Int64()), err
	case Amount:
		n, err := scaled(cell, amountScale)
		return parquet.FixedLenByteArrayValue(twosComplement(n)), err
	case Date:
		day, err := time.Parse(time.DateOnly, cell)
		return parquet.Int32Value(int32(day.Unix() / (24 * 60 * 60))), err
	case Timestamp:
		at, err := time.Parse(time.RFC3339Nano, cell)
		return parquet.Int64Value(at.UnixMicro()), err
	default:
		return parquet.ByteArrayValue([]byte(cell)), nil
	}
}

var errTooWide = errors.New("has more decimals or digits than the column")

// scaled is a decimal times ten to the scale, exactly.
func scaled(text string, scale int) (*big.Int, error) {
	d, err := decimal.Parse(text)
	if err != nil {
		return new(big.Int), err
	}
	if d = d.Trim(0); d.Scale() > scale {
		return new(big.Int), errTooWide
	}
	n := new(big.Int).SetUint64(d.Coef())
	n.Mul(n, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale-d.Scale())), nil))
	if d.IsNeg() {
		n.Neg(n)
	}
	return n, nil
}

// twosComplement is a number of at most 127 bits, highest byte first.
func twosComplement(n *big.Int) []byte {
	b := make([]byte, amountBytes)
	if n.Sign() < 0 {
		n = new(big.Int).Add(n, new(big.Int).Lsh(big.NewInt(1), 8*amountBytes))
	}
	return n.FillBytes(b)
}
