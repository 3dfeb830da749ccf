package timber

import "wattle/internal/measure"

const in = measure.Inch

// sizes is every size, in the order a lumber list gives them.
//
// Dressed dry sizes: American Softwood Lumber Standard (PS 20), as listed by
// engineeringtoolbox.com, softwood-lumber-dimensions [LUM-1]; the rows marked
// so are from memory.
var sizes = []sizeRow{
	{"1x3", 1 * in, 3 * in, in * 3 / 4, in * 5 / 2}, // from memory
	{"1x4", 1 * in, 4 * in, in * 3 / 4, in * 7 / 2},
	{"1x6", 1 * in, 6 * in, in * 3 / 4, in * 11 / 2},
	{"1x8", 1 * in, 8 * in, in * 3 / 4, in * 29 / 4},   // from memory
	{"5/4x6", in * 5 / 4, 6 * in, 1 * in, in * 11 / 2}, // from memory
	{"2x4", 2 * in, 4 * in, in * 3 / 2, in * 7 / 2},
	{"2x6", 2 * in, 6 * in, in * 3 / 2, in * 11 / 2},
	{"2x8", 2 * in, 8 * in, in * 3 / 2, in * 29 / 4},
	{"4x4", 4 * in, 4 * in, in * 7 / 2, in * 7 / 2},
	{"4x6", 4 * in, 6 * in, in * 7 / 2, in * 11 / 2},
	{"6x6", 6 * in, 6 * in, in * 11 / 2, in * 11 / 2},
}

type sizeRow struct {
	size                           Size
	nominalThickness, nominalWidth measure.Length
	dressedThickness, dressedWidth measure.Length
}

var sizeNamed = func() map[Size]sizeRow {
	named := make(map[Size]sizeRow, len(sizes))
	for _, row := range sizes {
		named[row.size] = row
	}
	return named
}()
