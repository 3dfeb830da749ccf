package paper

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/language"

	"wattle/internal/fault"
	"wattle/internal/render"
)

// Template is what a company's papers have in common. The zero Template is the
// built-in one, with every default.
type Template struct {
	// Title is the company as it calls itself, Address the lines under it.
	Title   string
	Address []string
	// Logo is a PNG or JPEG image; none where empty.
	Logo []byte
	// Terms are the paragraphs that stand before the signatures.
	Terms []string
	// Locale is a BCP 47 tag. Default en-US.
	Locale string
	// Paper is "letter" (the default) or "a4".
	Paper    string
	Measures render.Measures // default imperial
	// Font is a TrueType font that is asked for each character before the
	// built-in one; none where empty.
	Font []byte
}

// Limits of a template, in characters and bytes.
const (
	mostTitle     = 200
	mostLines     = 8
	mostTerms     = 200
	MostTermBytes = 128 << 10 // all paragraphs together
	MostLogo      = 512 << 10
	MostFont      = 4000 << 10
	mostPixels    = 4 << 20
)

// Papers are the sizes of paper.
func Papers() []string { return []string{"letter", "a4"} }

// WithDefaults fills what is left out but the title, which is the company's.
func (t Template) WithDefaults() Template {
	t.Locale = cmp.Or(t.Locale, "en-US")
	t.Paper = cmp.Or(t.Paper, "letter")
	t.Measures = cmp.Or(t.Measures, render.ImperialMeasures)
	if len(t.Terms) == 0 {
		t.Terms = standardTerms
	}
	return t
}

// standardTerms are common practice and no lawyer's.
var standardTerms = []string{
	"The price is for the work described above and holds until the last day named. Changes that the customer asks for, and rock, roots or other " +
		"obstructions underground that were not known, are agreed in writing before they are built and priced apart.",
	"The customer says where the property line runs and has private lines underground marked. We have public utilities located before we dig.",
	"Local codes and licensed people decide what may be built. Where a permit is needed, work begins when it is given.",
}

// Validate adds what is wrong with a template, by field.
func (t Template) Validate(v *fault.List) {
	line(v, "title", t.Title)
	v.Require(len(t.Address) <= mostLines, "address_lines", "at most %d lines are expected, found %d", mostLines, len(t.Address))
	for i, l := range t.Address {
		line(v.At("address_lines").Index(i), "", l)
	}
	t.validateTerms(v)
	t.validateForm(v)
	if len(t.Logo) > 0 {
		if _, err := decodeLogo(t.Logo); err != nil {
			v.Add("logo", "%v", err)
		}
	}
	if len(t.Font) > 0 {
		if err := checkFont(t.Font); err != nil {
			v.Add("font", "%v", err)
		}
	}
}

// validateForm checks how papers are written.
func (t Template) validateForm(v *fault.List) {
	if _, err := language.Parse(t.Locale); t.Locale != "" && err != nil {
		v.Add("locale", "%q is not a locale; expected a BCP 47 tag such as en-US or de-CH", t.Locale)
	}
	v.Require(t.Paper == "" || slices.Contains(Papers(), t.Paper), "paper", "%q is not a paper known here; expected one of %v", t.Paper, Papers())
	v.Require(t.Measures == "" || slices.Contains(render.AllMeasures(), t.Measures), "measures", "%q are no measures; expected one of %v", t.Measures, render.AllMeasures())
}

func (t Template) validateTerms(v *fault.List) {
	v.Require(len(t.Terms) <= mostTerms, "terms", "at most %d paragraphs are expected, found %d", mostTerms, len(t.Terms))
	total := 0
	for i, p := range t.Terms {
		total += len(p)
		v.At("terms").Index(i).Require(utf8.ValidString(p), "", "text in UTF-8 is expected")
	}
	v.Require(total <= MostTermBytes, "terms", "at most %d bytes are expected in all, found %d", MostTermBytes, total)
}

// line checks a text that stands on one line.
func line(v *fault.List, field, s string) {
	switch {
	case !utf8.ValidString(s):
		v.Add(field, "text in UTF-8 is expected")
	case utf8.RuneCountInString(s) > mostTitle:
		v.Add(field, "at most %d characters are expected, found %d", mostTitle, utf8.RuneCountInString(s))
	case strings.ContainsFunc(s, unicode.IsControl):
		v.Add(field, "a text on one line is expected, without control characters")
	}
}
