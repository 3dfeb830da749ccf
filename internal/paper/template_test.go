package paper

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"testing"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansregular"

	"wattle/internal/fault"
)

func picture(wide, high int) image.Image {
	m := image.NewNRGBA64(image.Rect(0, 0, wide, high)) // sixteen bits, which PDF has not everywhere
	for y := range high {
		for x := range wide {
			m.Set(x, y, color.NRGBA{uint8(x), 0x4e, 0x79, uint8(255 - y)})
		}
	}
	return m
}

func pngLogo(t testing.TB, wide, high int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, picture(wide, high)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func jpegLogo(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture(120, 40), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// huge is a PNG that says it has more pixels than it may.
func huge(t testing.TB) []byte {
	t.Helper()
	data := pngLogo(t, 3, 3)
	copy(data[16:], []byte{0, 0, 0xff, 0xff, 0, 0, 0xff, 0xff})
	return data
}

func TestTemplateValidate(t *testing.T) {
	var asGIF bytes.Buffer
	if err := gif.Encode(&asGIF, picture(5, 5), nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		change func(*Template)
		want   string // the field, empty where all is well
	}{
		"none":             {func(*Template) {}, ""},
		"PNG":              {func(x *Template) { x.Logo = pngLogo(t, 40, 30) }, ""},
		"JPEG":             {func(x *Template) { x.Logo = jpegLogo(t) }, ""},
		"text for a logo":  {func(x *Template) { x.Logo = []byte("<svg/>") }, "logo"},
		"GIF":              {func(x *Template) { x.Logo = asGIF.Bytes() }, "logo"},
		"half a PNG":       {func(x *Template) { x.Logo = pngLogo(t, 40, 30)[:200] }, "logo"},
		"huge PNG":         {func(x *Template) { x.Logo = huge(t) }, "logo"},
		"heavy logo":       {func(x *Template) { x.Logo = make([]byte, MostLogo+1) }, "logo"},
		"font":             {func(x *Template) { x.Font = dejavusans.TTF }, ""},
		"PNG for a font":   {func(x *Template) { x.Font = pngLogo(t, 4, 4) }, "font"},
		"half a font":      {func(x *Template) { x.Font = dejavusans.TTF[:len(dejavusans.TTF)/2] }, "font"},
		"heavy font":       {func(x *Template) { x.Font = make([]byte, MostFont+1) }, "font"},
		"two lines":        {func(x *Template) { x.Title = "a\nb" }, "title"},
		"long title":       {func(x *Template) { x.Title = strings.Repeat("a", 201) }, "title"},
		"nine lines":       {func(x *Template) { x.Address = make([]string, 9) }, "address_lines"},
		"a bad line":       {func(x *Template) { x.Address = []string{"", "\xff"} }, "address_lines[1]"},
		"long terms":       {func(x *Template) { x.Terms = []string{strings.Repeat("a", MostTermBytes+1)} }, "terms"},
		"terms":            {func(x *Template) { x.Terms = []string{strings.Repeat("a ", MostTermBytes/2)} }, ""},
		"no locale":        {func(x *Template) { x.Locale = "12345678901" }, "locale"},
		"no paper":         {func(x *Template) { x.Paper = "legal" }, "paper"},
		"no such measures": {func(x *Template) { x.Measures = "cubits" }, "measures"},
	} {
		tpl := harrow()
		c.change(&tpl)
		v := &fault.List{}
		tpl.Validate(v)
		var fields []string
		if e, ok := errors.AsType[*fault.Error](v.Err()); ok {
			for _, x := range e.Violations {
				fields = append(fields, x.Field)
			}
		}
		if want := strings.Fields(c.want); !slices.Equal(fields, want) {
			t.Errorf("%s: %q, want %q", name, fields, want)
		}
	}
}

// Every logo that is saved prints.
func TestLogos(t *testing.T) {
	for name, logo := range map[string][]byte{"png": pngLogo(t, 400, 30), "tall": pngLogo(t, 20, 400), "jpeg": jpegLogo(t)} {
		tpl := harrow()
		tpl.Logo = logo
		out := mustMake(t, CutList, input(t, tenBays(), tpl))
		if !bytes.Contains(out.PDF, []byte("/Subtype /Image")) {
			t.Errorf("%s: no image", name)
		}
	}
}

// Terms of 100 kB, in one paragraph or in one word, go over pages.
func TestLongTerms(t *testing.T) {
	for name, term := range map[string]string{"words": strings.Repeat("carefully ", 10_000), "a word": strings.Repeat("x", 100_000), "CJK": strings.Repeat("\u5f35", 40_000)} {
		tpl := harrow()
		tpl.Terms = []string{term}
		in := input(t, tenBays(), tpl)
		out := mustMake(t, Proposal, in)
		if out.Pages < 10 {
			t.Errorf("%s: %d pages", name, out.Pages)
		}
		checkPages(t, Proposal, in, out)
	}
}

// Names in other scripts: what no font has is named and boxed, a template's font
// is asked first, and what runs from the right is put in order.
func TestOtherScripts(t *testing.T) {
	in := input(t, tenBays(), harrow())
	codes := func(out Result) (all []string) {
		for _, c := range out.Cautions {
			all = append(all, c.Code+" "+c.Field)
		}
		return all
	}
	in.Customer.Name = "\u5f35\u5049 \U0001F600"
	out := mustMake(t, Proposal, in)
	if got := codes(out); !slices.Equal(got, []string{"font-lacks-glyphs customer.display_name"}) {
		t.Errorf("CJK: %q", got)
	}
	for _, name := range []string{"U+5049", "U+5F35", "U+1F600"} {
		if !strings.Contains(out.Cautions[0].Text, name) {
			t.Errorf("%s is not named: %s", name, out.Cautions[0].Text)
		}
	}
	in.Customer.Name = "\u0645\u0631\u064a\u0645" // Arabic, which Liberation Sans lacks and DejaVu Sans has
	if got := codes(mustMake(t, Proposal, in)); !slices.Equal(got, []string{"font-lacks-glyphs customer.display_name", "letters-not-joined customer.display_name"}) {
		t.Errorf("Arabic: %q", got)
	}
	in.Template.Font = dejavusans.TTF
	if got := codes(mustMake(t, Proposal, in)); !slices.Equal(got, []string{"letters-not-joined customer.display_name"}) {
		t.Errorf("Arabic in a font that has it: %q", got)
	}
	in.Customer.Name = "\u05d3\u05e0\u05d4 \u05dc\u05d5\u05d9"
	if got := codes(mustMake(t, PriceLetter, in)); len(got) > 0 {
		t.Errorf("Hebrew: %q", got)
	}
}

// [UAX 9], examples of our own: letters from the right turn round, figures among
// them do not, and brackets are mirrored.
func TestVisualOrder(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                    "plain",
		"\u05d0\u05d1\u05d2":       "\u05d2\u05d1\u05d0",
		"\u05d0\u05d1 12 \u05d2":   "\u05d2 12 \u05d1\u05d0",
		"For \u05d0\u05d1 \u05d2.": "For \u05d2 \u05d1\u05d0.",
		"A \u05d0 12 \u05d1 Z":     "A \u05d1 12 \u05d0 Z",
		"\u05d0 (\u05d1)":          "(\u05d1) \u05d0",
		"\u05d0 Pat \u05d1":        "\u05d1 Pat \u05d0",
	} {
		if got := visual(in, rightToLeft(in)); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// FuzzNames: whatever people are called, a paper is made, its order loses no
// character, and what is not printed is told.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"", "Pat", "\u05d0 12)", "\U0001F600\u200d", "\xff\xfe", "\u0645\u0301\u202e abc", strings.Repeat("\u05d0(", 300), "a\x00b\nc"} {
		f.Add(s)
	}
	in := input(f, tenBays(), harrow())
	in.Options = nil
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 4000 {
			return
		}
		in := in
		in.Customer.Name, in.Customer.Lines, in.Request.ExternalRef, in.Template.Title = s, []string{s}, s, s
		out, err := Make(CutList, in)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Make(PriceLetter, in); err != nil {
			t.Fatal(err)
		}
		text := clean(s)
		if a, b := sorted(visual(text, rightToLeft(text))), sorted(text); len(a) != len(b) {
			t.Errorf("%q: %d characters of %d", s, len(a), len(b))
		}
		for _, r := range text {
			if r > 0xFFFF && !unicode.IsSpace(r) && len(out.Cautions) == 0 {
				t.Errorf("%q lost %q silently", s, r)
			}
		}
	})
}

func sorted(s string) []rune { return slices.Sorted(slices.Values([]rune(s))) }

// FuzzFont: a damaged font is refused, or can be used; nothing panics.
func FuzzFont(f *testing.F) {
	f.Add(0, byte(0), 100)
	f.Add(4, byte(255), 50_000)
	f.Add(200, byte(7), 0)
	job := input(f, tenBays(), harrow())
	f.Fuzz(func(t *testing.T, at int, with byte, cut int) {
		data := bytes.Clone(liberationsansregular.TTF)
		data[uint(at)%uint(len(data))] ^= with
		data = data[:len(data)-int(uint(cut)%uint(len(data)))]
		if checkFont(data) != nil {
			return
		}
		tpl := harrow()
		tpl.Font = data
		in := job
		in.Template = tpl
		if _, err := Make(CutList, in); err != nil {
			t.Logf("accepted, and then: %v", err)
		}
	})
}
