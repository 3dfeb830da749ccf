package section

import "testing"

// A section that is read has a kind and measures something across.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{"4x4", "2.375od", "2sq", "5vinyl", "4rd", "tee", "", "od", "1e9od", ".sq", "0.0000001sq", "99999999999999999999od"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(text)
		if err != nil {
			return
		}
		if string(s) != text || s.Kind() == None || s.Width() <= 0 || s.Width() > widest {
			t.Fatalf("Parse(%q) is %q, of kind %v, %v across", text, s, s.Kind(), s.Width())
		}
	})
}
