package paper

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// face is a font that characters are looked for in.
type face struct {
	family string // as the PDF knows it
	style  string // "" or "B"
	font   *sfnt.Font
	buffer sfnt.Buffer
	// advances are widths by character, in units of the font's size; under 0
	// where it lacks the character.
	advances map[rune]float64
}

// fonts are, plain and bold, the faces that are asked one after the other.
type fonts [2][]*face

// loadFonts embeds the template's font, where it has one, and the built-in ones
// (Liberation Sans, SIL Open Font License 1.1).
func loadFonts(pdf *fpdf.Fpdf, own []byte) (fonts, error) {
	var all fonts
	add := func(family, style string, data []byte) (*face, error) {
		f, err := sfnt.Parse(data)
		if err != nil {
			return nil, err
		}
		// Subsets are written into the very bytes.
		pdf.AddUTF8FontFromBytes(family, style, bytes.Clone(data))
		return &face{family: family, style: style, font: f, advances: make(map[rune]float64)}, pdf.Error()
	}
	if len(own) > 0 {
		f, err := add("own", "", own)
		if err != nil {
			return all, err
		}
		all[0], all[1] = []*face{f}, []*face{f}
	}
	for i, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		f, err := add("sans", []string{"", "B"}[i], data)
		if err != nil {
			return all, err
		}
		all[i] = append(all[i], f)
	}
	return all, nil
}

// advance is how wide a character is at size 1, negative where the face lacks
// it. Characters past the basic plane cannot be embedded.
func (f *face) advance(r rune) float64 {
	if a, known := f.advances[r]; known {
		return a
	}
	a := -1.0
	if r <= 0xFFFF {
		if g, err := f.font.GlyphIndex(&f.buffer, r); err == nil && g != 0 {
			units := f.font.UnitsPerEm()
			if w, err := f.font.GlyphAdvance(&f.buffer, g, fixed.I(int(units)), font.HintingNone); err == nil {
				a = float64(w) / 64 / float64(units)
			}
		}
	}
	f.advances[r] = a
	return a
}

// stand-ins for characters that no face has.
var standIns = []rune{'\u25A1', '\uFFFD', '?'}

// find is the face of a character and what is printed for it; missing where no
// face has it.
func (all fonts) find(r rune, bold bool) (f *face, printed rune, missing bool) {
	faces := all[0]
	if bold {
		faces = all[1]
	}
	for _, f := range faces {
		if f.advance(r) >= 0 {
			return f, r, false
		}
	}
	for _, stand := range standIns {
		for _, f := range faces {
			if f.advance(stand) >= 0 {
				return f, stand, true
			}
		}
	}
	return faces[len(faces)-1], '?', true
}

// checkFont reports why a font cannot be embedded. Fonts are a format with
// offsets and recursion in it, and whoever saves one may have made it: every
// table and glyph that embedding follows is followed here, within limits.
func checkFont(data []byte) (err error) {
	if len(data) > MostFont {
		return fmt.Errorf("at most %d bytes are expected, found %d", MostFont, len(data))
	}
	wrong := errors.New("a TrueType font is expected (with glyf outlines; no collection, no CFF), and this is none")
	defer func() {
		if recover() != nil {
			err = wrong
		}
	}()
	tables, ok := tablesOf(data)
	if !ok {
		return wrong
	}
	for _, name := range []string{"cmap", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "name", "OS/2", "post"} {
		if tables[name] == nil {
			return fmt.Errorf("a TrueType font with outlines is expected; this one has no table %q", name)
		}
	}
	if !mapsOnce(tables["cmap"]) {
		return errors.New("a font is expected that maps each character once, as the format asks")
	}
	f, err := sfnt.Parse(data)
	if err != nil {
		return wrong
	}
	var b sfnt.Buffer
	for g := range f.NumGlyphs() {
		if _, err := f.LoadGlyph(&b, sfnt.GlyphIndex(g), fixed.I(64), nil); err != nil {
			return fmt.Errorf("a whole font is expected, and glyph %d of this one is damaged", g)
		}
	}
	return tryFont(data)
}

// tryFont embeds a font in a page that is thrown away.
func tryFont(data []byte) error {
	pdf := fpdf.New("P", "pt", "Letter", "")
	pdf.AddUTF8FontFromBytes("own", "", bytes.Clone(data))
	pdf.AddPage()
	pdf.SetFont("own", "", 10)
	pdf.Text(72, 72, "Wattle")
	var out bytes.Buffer
	if err := pdf.Output(&out); err != nil || out.Len() == 0 {
		return errors.New("this font cannot be embedded in a PDF")
	}
	return nil
}

// tablesOf are the tables of a TrueType file by name.
func tablesOf(data []byte) (map[string][]byte, bool) {
	if len(data) < 12 || (!bytes.Equal(data[:4], []byte{0, 1, 0, 0}) && string(data[:4]) != "true") {
		return nil, false
	}
	n := int(binary.BigEndian.Uint16(data[4:]))
	if len(data) < 12+16*n {
		return nil, false
	}
	tables := make(map[string][]byte)
	for i := range n {
		entry := data[12+16*i:]
		from, long := uint64(binary.BigEndian.Uint32(entry[8:])), uint64(binary.BigEndian.Uint32(entry[12:]))
		if from+long > uint64(len(data)) {
			return nil, false
		}
		tables[string(entry[:4])] = data[from : from+long]
	}
	return tables, true
}

// mapsOnce reports whether the segments of every format 4 subtable go upwards
// without overlapping [OpenType, cmap, format 4], so that a small font cannot
// ask for a huge map.
func mapsOnce(cmap []byte) bool {
	u16 := func(at int) int { return int(binary.BigEndian.Uint16(cmap[at:])) }
	for i := range u16(2) {
		at := int(binary.BigEndian.Uint32(cmap[4+8*i+4:]))
		if u16(at) != 4 {
			continue
		}
		segments := u16(at+6) / 2
		ends, starts := at+14, at+16+2*segments
		last := -1
		for s := range segments {
			from, to := u16(starts+2*s), u16(ends+2*s)
			if from <= last || to < from {
				return false
			}
			last = to
		}
	}
	return true
}
