package paper

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"testing"
)

// A damaged logo is refused, or is an image that can be printed.
func FuzzLogo(f *testing.F) {
	for _, m := range []image.Image{image.NewRGBA(image.Rect(0, 0, 9, 5)), image.NewGray16(image.Rect(0, 0, 3, 3))} {
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			f.Fatal(err)
		}
		f.Add(bytes.Clone(b.Bytes()))
		b.Reset()
		if err := jpeg.Encode(&b, m, nil); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := decodeLogo(data)
		if err != nil {
			return
		}
		if size := m.Bounds(); size.Dx() <= 0 || size.Dy() <= 0 || size.Dx()*size.Dy() > mostPixels {
			t.Fatalf("%v is taken", size)
		}
		if _, err := asPNG(m); err != nil {
			t.Fatal(err)
		}
	})
}
