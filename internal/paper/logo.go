package paper

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // logos are JPEG
	"image/png"    // or PNG
)

// decodeLogo is the image of a logo. Its size is looked at before it is decoded,
// since a small file may hold a huge image.
func decodeLogo(data []byte) (image.Image, error) {
	if len(data) > MostLogo {
		return nil, fmt.Errorf("at most %d bytes are expected, found %d", MostLogo, len(data))
	}
	c, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || format != "png" && format != "jpeg" { // the PDF library knows more
		return nil, errors.New("a PNG or JPEG image is expected, and this is none")
	}
	if c.Width <= 0 || c.Height <= 0 || c.Width > mostPixels/c.Height {
		return nil, fmt.Errorf("an image of at most %d pixels is expected, found %d x %d", mostPixels, c.Width, c.Height)
	}
	m, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, errors.New("a whole PNG or JPEG image is expected, and this one is damaged")
	}
	return m, nil
}

// asPNG is the logo as a PNG that every reader of PDF takes: eight bits to a
// channel, whatever the file had.
func asPNG(m image.Image) ([]byte, error) {
	b := m.Bounds()
	plain := image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			plain.Set(x, y, m.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	var out bytes.Buffer
	err := png.Encode(&out, plain)
	return out.Bytes(), err
}
