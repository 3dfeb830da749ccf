package paper

import (
	"bytes"
	"fmt"

	"codeberg.org/go-pdf/fpdf"
)

// Room for a logo, in points.
const logoWide, logoHigh = 150, 56

// openWith begins a document with the company's head: its name and address, and
// its logo at the right.
func (p *press) openWith(t Template, kind string) error {
	p.letterhead = true
	p.turn()
	p.y = 48
	right := 0.0
	if len(t.Logo) > 0 {
		wide, err := p.logo(t.Logo)
		if err != nil {
			return err
		}
		right = wide + 16
	}
	p.in("template.title")
	for _, l := range p.wrapped(t.Title, 15, true, p.room()-right) {
		p.y += 18
		p.print(side, p.y-4, l, 15, true, deep)
	}
	p.in("template.address_lines")
	for _, l := range t.Address {
		p.y += 11.5
		p.print(side, p.y-2, p.shortened(l, 8.5, false, p.room()-right), 8.5, false, grey)
	}
	if right > 0 {
		p.y = max(p.y, 48+logoHigh)
	}
	p.y += 8
	p.rule(side, p.width-side, p.y, 1.2, deep)
	p.y += 26
	p.in("head")
	p.print(side, p.y, kind, 20, true, black)
	p.y += 10
	return nil
}

// logo prints the logo in the upper right corner, and answers how wide it is.
func (p *press) logo(data []byte) (wide float64, err error) {
	m, err := decodeLogo(data)
	if err != nil {
		return 0, fmt.Errorf("the template's logo: %w", err)
	}
	options := fpdf.ImageOptions{ImageType: "JPEG"}
	if !bytes.HasPrefix(data, []byte("\xff\xd8")) {
		options.ImageType = "PNG"
		if data, err = asPNG(m); err != nil {
			return 0, err
		}
	}
	size := m.Bounds().Size()
	scale := min(logoWide/float64(size.X), logoHigh/float64(size.Y))
	wide, high := float64(size.X)*scale, float64(size.Y)*scale
	p.pdf.RegisterImageOptionsReader("logo", options, bytes.NewReader(data))
	p.pdf.ImageOptions("logo", p.width-side-wide, 48, wide, high, false, options, 0, "")
	return wide, p.pdf.Error()
}

// fact is a name with its value.
type fact struct{ name, value string }

// parties prints whom a document is for at the left, and what it is about at the
// right.
func (p *press) parties(in Input, facts []fact) {
	top := p.y + 8
	half := p.room()*0.44 - 10
	p.y = top
	p.in("head")
	p.y += 11
	if p.customers {
		p.print(side, p.y-2, "For", 8, true, grey)
		p.customer(in, half)
	} else {
		p.print(side, p.y-2, "Job", 8, true, grey)
		p.in("quote.external_reference")
		for _, l := range p.wrapped(in.job(), 10.5, true, half) {
			p.y += 14
			p.print(side, p.y-2, l, 10.5, true, black)
		}
	}
	left := p.y
	p.y = top
	x := side + half + 20
	names := 0.0
	for _, f := range facts {
		names = max(names, p.measure(f.name, 8.5, false))
	}
	for _, f := range facts {
		if f.value == "" {
			continue
		}
		p.in("head")
		for i, l := range p.wrapped(f.value, 8.5, false, p.width-side-x-names-10) {
			p.y += 12
			if i == 0 {
				p.print(x, p.y-2, f.name, 8.5, false, grey)
			}
			p.print(x+names+10, p.y-2, l, 8.5, false, black)
		}
	}
	p.y = max(p.y, left)
}

func (p *press) customer(in Input, wide float64) {
	c := in.Customer
	lines := func(field, text string, size float64, bold bool) {
		p.in(field)
		for _, l := range p.wrapped(text, size, bold, wide) {
			p.y += size * 1.35
			p.printFrom(side, p.y-2, l, rightToLeft(clean(text)), size, bold, black)
		}
	}
	if c.Version == 0 {
		name := in.Request.Customer
		if name == "" {
			name = "-"
		}
		lines("quote.customer", name, 10.5, true)
		return
	}
	if c.Name == "" {
		lines("quote.customer", in.Request.Customer, 10.5, true)
	}
	lines("customer.display_name", c.Name, 10.5, true)
	for _, l := range c.Lines {
		lines("customer.address", l, 9, false)
	}
	lines("customer.email", c.Email, 9, false)
	lines("customer.telephone", c.Telephone, 9, false)
}

// facts are what every document says of its quote.
func (p *press) facts(in Input) []fact {
	return []fact{
		{"Quote", in.Ref},
		{"Your reference", in.Request.ExternalRef},
		{"Date", p.locale.date(in.Made)},
		{"Prices as of", p.locale.date(in.Request.AsOf)},
	}
}
