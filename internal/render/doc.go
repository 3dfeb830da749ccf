// Package render draws and writes out what the other packages worked out: the
// plan of a layout, the lists for the crew, the take-off, the quote. Every
// function writes to an io.Writer, changes no number, and writes the same bytes
// for the same arguments. Floats are used for places on paper only.
//
// Text that people gave (names, descriptions) is printed without control
// characters, so that it stays on its line.
package render
