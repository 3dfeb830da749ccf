// Package chart draws cost over time, index numbers and what moved, as SVG or
// PNG, for a page of Letter or A4. Every line has its name at its end, so that no
// box of colours has to be read, and lines differ by grey and dash, so that they
// survive a printer without colour. The same input gives the same bytes.
//
// Floats are used for places on paper only; no figure is changed.
package chart

import (
	"errors"
	"io"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

// Format is a kind of file.
type Format int

const (
	SVG Format = iota
	PNG
)

var errUnbuilt = errors.New("not filled in yet")

// Line is one series under the name that stands at its end.
type Line struct {
	Name   string
	Series costindex.Series
}

// Cost is cost per foot over time, a step line for each series: offices side by
// side, or a fence at what is known now and at what was known then. Gaps are
// breaks in the line.
type Cost struct {
	Title    string
	Currency money.Currency
	Lines    []Line
}

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw
// or a series is out of order.
func (c Cost) Draw(w io.Writer, f Format) error { return errUnbuilt }

// Stack is the components of one cost per foot over time, stacked in steps, the
// first part lowest.
type Stack struct {
	Title    string
	Currency money.Currency
	Series   costindex.Series
}

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw,
// a series is out of order, or a part is below 0.
func (s Stack) Draw(w io.Writer, f Format) error { return errUnbuilt }

// IndexLine is an index under the name that stands at its end; Values has one for
// each day of Indices.On.
type IndexLine struct {
	Name   string
	Values []decimal.Decimal
}

// Indices is several indices over the same days, side by side.
type Indices struct {
	Title string
	On    []civil.Date
	// Base is the number of the day (from 0) on which all of them are 100.
	Base  int
	Lines []IndexLine
}

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw,
// days are out of order or a line has too many or too few values.
func (i Indices) Draw(w io.Writer, f Format) error { return errUnbuilt }

// Movers is what moved a cost per foot between two days: a bar for each mover,
// to the right where cost rose and to the left where it fell, and one for the
// rest.
type Movers struct {
	Title  string
	Change costindex.Change
}

// Draw writes the chart. It is an error (Invalid) where nothing moved.
func (m Movers) Draw(w io.Writer, f Format) error { return errUnbuilt }
