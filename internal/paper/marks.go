package paper

import (
	"math"
	"strconv"

	"codeberg.org/go-pdf/fpdf"

	"wattle/internal/render"
)

// sheet is a page that holds a drawing, of the drawing's own size. With framed
// it has the running head and the foot of the other pages, for which drawings
// leave their margins free.
func (p *press) sheet(s render.Sheet, framed bool) {
	p.pdf.AddPageFormat("P", fpdf.SizeType{Wd: s.Width, Ht: s.Height})
	if framed {
		p.in("head")
		p.print(36, 24, p.head+" - "+p.title, 7.5, false, grey)
		words := "page " + strconv.Itoa(p.pdf.PageNo())
		if p.total > 0 {
			words += " of " + strconv.Itoa(p.total)
		}
		p.print(s.Width-36-p.measure(words, 7.5, false), 24, words, 7.5, false, grey)
	}
	p.in("drawing")
	for _, m := range s.Marks {
		if m.IsText() {
			p.markText(m)
		} else {
			p.markPath(m)
		}
	}
}

func (p *press) markText(m render.Mark) {
	s := clean(m.Text)
	x := m.X
	if !m.FromStart {
		x -= p.measure(s, m.Size, m.Bold) / 2
	}
	if math.Abs(m.Angle) > 1e-4 {
		p.pdf.TransformBegin()
		p.pdf.TransformRotate(-m.Angle*180/math.Pi, m.X, m.Y)
		defer p.pdf.TransformEnd()
	}
	p.print(x, m.Y, s, m.Size, m.Bold, m.Fill)
}

func (p *press) markPath(m render.Mark) {
	if m.Path == "" {
		return
	}
	style := ""
	if m.Fill != "none" && m.Fill != "" {
		style = "F"
		p.pdf.SetFillColor(rgb(m.Fill))
	}
	if m.Width > 0 {
		style += "D"
		p.pdf.SetDrawColor(rgb(m.Stroke))
		p.pdf.SetLineWidth(m.Width)
	}
	if style == "" {
		return
	}
	if m.Dashed {
		p.pdf.SetDashPattern([]float64{2, 1.4}, 0)
		defer p.pdf.SetDashPattern(nil, 0)
	}
	p.trace(m.Path)
	p.pdf.DrawPath(style)
}

// trace draws SVG path data of the commands that render uses.
func (p *press) trace(data string) {
	r := pathReader{data: data}
	var x, y, startX, startY float64
	for {
		command, ok := r.command()
		if !ok {
			return
		}
		switch command {
		case 'M':
			x, y = r.number(), r.number()
			startX, startY = x, y
			p.pdf.MoveTo(x, y)
		case 'L':
			x, y = r.number(), r.number()
			p.pdf.LineTo(x, y)
		case 'H':
			x = r.number()
			p.pdf.LineTo(x, y)
		case 'V':
			y = r.number()
			p.pdf.LineTo(x, y)
		case 'h':
			x += r.number()
			p.pdf.LineTo(x, y)
		case 'v':
			y += r.number()
			p.pdf.LineTo(x, y)
		case 'A':
			radius := r.number()
			_, _, large, sweep := r.number(), r.number(), r.number(), r.number()
			endX, endY := r.number(), r.number()
			p.arc(x, y, endX, endY, radius, large != 0, sweep != 0)
			x, y = endX, endY
		case 'Z', 'z':
			p.pdf.ClosePath()
			x, y = startX, startY
		}
	}
}

// arc draws an arc of a circle as curves of at most a quarter turn each. Sweep
// is clockwise, as y goes down [SVG 1.1, F.6].
func (p *press) arc(x0, y0, x1, y1, radius float64, large, sweep bool) {
	dx, dy := x1-x0, y1-y0
	chord := math.Hypot(dx, dy)
	if chord == 0 || radius == 0 {
		p.pdf.LineTo(x1, y1)
		return
	}
	radius = max(radius, chord/2)
	off := math.Sqrt(max(0, radius*radius-chord*chord/4))
	if large == sweep {
		off = -off
	}
	cx, cy := (x0+x1)/2-dy/chord*off, (y0+y1)/2+dx/chord*off
	from := math.Atan2(y0-cy, x0-cx)
	turn := math.Atan2(y1-cy, x1-cx) - from
	if sweep && turn < 0 {
		turn += 2 * math.Pi
	}
	if !sweep && turn > 0 {
		turn -= 2 * math.Pi
	}
	parts := max(1, int(math.Ceil(math.Abs(turn)/(math.Pi/2)-1e-9)))
	step := turn / float64(parts)
	pull := 4.0 / 3 * math.Tan(step/4) * radius
	for i := range parts {
		a, b := from+float64(i)*step, from+float64(i+1)*step
		sinA, cosA := math.Sincos(a)
		sinB, cosB := math.Sincos(b)
		p.pdf.CurveBezierCubicTo(cx+radius*cosA-pull*sinA, cy+radius*sinA+pull*cosA,
			cx+radius*cosB+pull*sinB, cy+radius*sinB-pull*cosB, cx+radius*cosB, cy+radius*sinB)
	}
}

// pathReader reads commands and numbers of path data that we wrote.
type pathReader struct {
	data string
	at   int
}

func (r *pathReader) command() (byte, bool) {
	for r.at < len(r.data) {
		c := r.data[r.at]
		r.at++
		if c >= 'A' {
			return c, true
		}
	}
	return 0, false
}

func (r *pathReader) number() float64 {
	for r.at < len(r.data) && (r.data[r.at] == ' ' || r.data[r.at] == ',') {
		r.at++
	}
	from := r.at
	for r.at < len(r.data) {
		c := r.data[r.at]
		if c >= '0' && c <= '9' || c == '.' || c == '-' && r.at == from {
			r.at++
			continue
		}
		break
	}
	v, _ := strconv.ParseFloat(r.data[from:r.at], 64)
	return v
}
