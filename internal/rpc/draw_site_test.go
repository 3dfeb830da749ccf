package rpc

import (
	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/site"
)

func drawLength(t *rapid.T) measure.Length {
	return measure.Length(rapid.Int64Range(-int64(measure.MaxSiteTotal), int64(measure.MaxSiteTotal)).Draw(t, "length"))
}

func drawOptional[T any](t *rapid.T, draw func(*rapid.T) T) *T {
	if rapid.Bool().Draw(t, "absent") {
		return nil
	}
	v := draw(t)
	return &v
}

func drawLengths(t *rapid.T) []measure.Length {
	var all []measure.Length
	for range rapid.IntRange(0, 3).Draw(t, "lengths") {
		all = append(all, drawLength(t))
	}
	return all
}

func drawDecimal(t *rapid.T) decimal.Decimal {
	return decimal.MustNew(rapid.Int64().Draw(t, "coefficient"), rapid.IntRange(0, 9).Draw(t, "scale")).Trim(0)
}

func drawBool(t *rapid.T) bool { return rapid.Bool().Draw(t, "bool") }

func drawCount(t *rapid.T) int { return rapid.IntRange(0, 1000).Draw(t, "count") }

func drawText(t *rapid.T) string { return rapid.String().Draw(t, "text") }

func drawOf[T any](t *rapid.T, values ...T) T { return rapid.SampledFrom(values).Draw(t, "value") }

func drawSite(t *rapid.T) site.Site {
	side := func() site.Side { return drawOf(t, site.Left, site.Right) }
	terminus := func() site.Terminus {
		end := site.Terminus{TieIn: drawBool(t), LinePostOf: drawText(t)}
		if end.TieIn { // without a wall there is no gap to it
			end.WallGap = drawLength(t)
		}
		return end
	}
	return site.Site{
		Runs: some(t, 0, func() site.Run {
			return site.Run{
				ID: drawText(t), Vertices: some(t, 1, func() measure.Point { return drawPoint(t) }),
				Chords: some(t, 0, func() int { return drawCount(t) }), Closed: drawBool(t),
				Start: terminus(), End: terminus(), Face: side(),
				Gates: some(t, 0, func() site.Gate {
					return site.Gate{
						ID: drawText(t), Station: drawLength(t), Width: drawLength(t), Leaves: drawOf(t, 1, 2),
						Hinge: drawOf(t, site.HingeStart, site.HingeFinish), Swing: side(), Slides: drawBool(t),
					}
				}),
				Ground: some(t, 0, func() site.GroundPoint { return site.GroundPoint{Station: drawLength(t), Elevation: drawLength(t)} }),
				KeepOuts: some(t, 0, func() site.KeepOut {
					return site.KeepOut{ID: drawText(t), From: drawLength(t), To: drawLength(t)}
				}),
				Pins: some(t, 0, func() site.Pin { return site.Pin{Station: drawLength(t), Existing: drawBool(t)} }),
				Slopes: some(t, 0, func() site.SlopePart {
					return site.SlopePart{From: drawLength(t), To: drawLength(t), Stepped: drawBool(t)}
				}),
				Neighbours: some(t, 0, func() site.Neighbour {
					return site.Neighbour{From: drawLength(t), To: drawLength(t), Side: side(), Gap: drawLength(t)}
				}),
			}
		}),
		Obstacles: some(t, 0, func() site.Obstacle {
			return site.Obstacle{ID: drawText(t), Path: some(t, 1, func() measure.Point { return drawPoint(t) }), Clearance: drawLength(t)}
		}),
		Conditions: drawConditions(t),
	}
}

func drawDate(t *rapid.T) civil.Date {
	return civil.Must("2026-03-01").AddDays(rapid.IntRange(0, 1000).Draw(t, "days"))
}

func drawConditions(t *rapid.T) site.Conditions {
	return site.Conditions{
		SoilClass: drawCount(t), Unsuitable: drawBool(t),
		Digging: drawText(t), Access: drawText(t), Grade: drawText(t), Season: drawText(t),
		Wind: site.Wind{Speed: drawCount(t), Exposure: drawText(t), Topography: drawDecimal(t), Flat: drawDecimal(t)},
		TearOut: some(t, 0, func() site.OldFence {
			return site.OldFence{
				Length: drawLength(t), Height: drawLength(t), Footings: drawCount(t), PoundsPerFoot: drawDecimal(t),
				CubicFeetPerFoot: drawDecimal(t), FootingPounds: drawDecimal(t), FootingCubicFeet: drawDecimal(t),
			}
		}),
		Pool: drawOptional(t, func(t *rapid.T) site.Pool {
			return site.Pool{
				BottomGap: drawOptional(t, drawLength), OverDeck: drawBool(t), LargestGap: drawOptional(t, drawLength),
				RailsInside: drawOptional(t, drawBool), RailsApart: drawOptional(t, drawLength),
				Mesh: drawOptional(t, drawLength), Slatted: drawBool(t), OpensOutward: drawOptional(t, drawBool),
				SelfClosing: drawOptional(t, drawBool), SelfLatching: drawOptional(t, drawBool),
				LatchHeight: drawOptional(t, drawLength), LatchInside: drawOptional(t, drawBool),
				LatchBelowTop: drawOptional(t, drawLength), LatchOpening: drawOptional(t, drawLength),
				MinHeight: drawLength(t), MaxMesh: drawLength(t),
			}
		}),
		Footing:      site.Footing{PoleFactor: drawBool(t), Bearing: drawDecimal(t), FixedS1: drawDecimal(t)},
		PostStrength: site.PostStrength{Species: drawText(t), Grade: drawText(t), Fb: drawDecimal(t), Source: drawText(t)},
		RailSpan:     drawLength(t),
		Sights: some(t, 0, func() site.Sight {
			return site.Sight{
				Name: drawText(t), Corners: [3]measure.Point{drawPoint(t), drawPoint(t), drawPoint(t)}, MaxHeight: drawLength(t),
			}
		}),
		Yard: site.Yard{Name: drawText(t), MaxHeight: drawLength(t), PermitOver: drawLength(t)},
		Notice: drawOptional(t, func(t *rapid.T) site.Notice {
			return site.Notice{Rule: drawText(t), Given: drawDate(t), Hour: new(drawCount(t)), Holidays: some(t, 0, func() civil.Date { return drawDate(t) })}
		}),
	}
}

func drawPoint(t *rapid.T) measure.Point {
	return measure.Point{East: drawLength(t), North: drawLength(t)}
}

// some draws from least to three more of a thing; nil for none.
func some[T any](t *rapid.T, least int, draw func() T) []T {
	var all []T
	for range rapid.IntRange(least, least+3).Draw(t, "some") {
		all = append(all, draw())
	}
	return all
}
