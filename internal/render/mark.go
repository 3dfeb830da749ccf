package render

import (
	"math"
	"strings"
)

// Mark is one thing on a drawing: a shape or a text. Places and sizes are in
// points (1/72 in), x to the right and y down from the sheet's top left corner.
type Mark struct {
	// Path is a shape's SVG path data, of M, L, H, V, h, v, A with one radius, Z
	// and z. Fill is a colour as #rrggbb, "none" for none.
	Path, Fill string
	// Stroke is a colour; Width 0 draws no line. Dashed lines are 2 on, 1.4 off.
	Stroke string
	Width  float64
	Dashed bool

	// Text stands on the baseline through X, Y, turned by Angle (in radians,
	// clockwise): it begins there with FromStart, and has its middle there
	// without.
	Text            string
	X, Y            float64
	Size, Angle     float64
	Bold, FromStart bool

	turn, first, last bool // begins or ends a sheet, at Y
	between           bool // the line between two sheets
}

// IsText tells a text from a shape.
func (m Mark) IsText() bool { return m.Size > 0 }

// marked are marks as SVG.
func marked(marks []Mark) string {
	var b strings.Builder
	for _, m := range marks {
		switch {
		case m.turn:
			m.writeTurn(&b)
		case m.IsText():
			m.writeText(&b)
		default:
			m.writePath(&b)
		}
	}
	return b.String()
}

func (m Mark) writeTurn(b *strings.Builder) {
	if !m.first {
		b.WriteString("</g>\n")
	}
	if !m.last {
		b.WriteString(`<g transform="translate(0 ` + number(m.Y) + `)">` + "\n")
	}
}

func (m Mark) writePath(b *strings.Builder) {
	b.WriteString(`<path d="` + m.Path + `" fill="` + m.Fill + `"`)
	if m.Width > 0 {
		b.WriteString(` stroke="` + m.Stroke + `" stroke-width="` + number(m.Width) + `"`)
	}
	if m.Dashed {
		b.WriteString(` stroke-dasharray="2 1.4"`)
	}
	b.WriteString("/>\n")
}

func (m Mark) writeText(b *strings.Builder) {
	b.WriteString(`<text x="` + number(m.X) + `" y="` + number(m.Y) + `" font-size="` + number(m.Size) + `"`)
	if m.FromStart {
		b.WriteString(` text-anchor="start"`)
	}
	if m.Bold {
		b.WriteString(` font-weight="bold"`)
	}
	if m.Fill != dark {
		b.WriteString(` fill="` + m.Fill + `"`)
	}
	if degrees := number(m.Angle * 180 / math.Pi); degrees != "0.00" {
		b.WriteString(` transform="rotate(` + degrees + " " + pair(vec{m.X, m.Y}) + `)"`)
	}
	b.WriteString(">" + escape(m.Text) + "</text>\n")
}
