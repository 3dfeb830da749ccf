package render

import "wattle/internal/measure"

// Measures are the units in which a paper tells lengths. What people gave,
// the sizes that stock is called by (4x4, 5 in round, bags of 80 lb) and the texts
// of cautions stay as they are.
type Measures string

const (
	// ImperialMeasures are feet and inches to 1/16 in, the default.
	ImperialMeasures Measures = "imperial"
	// MetricMeasures are metres and millimetres, to 1 mm.
	MetricMeasures Measures = "metric"
	// BothMeasures are feet and inches with millimetres in brackets.
	BothMeasures Measures = "both"
)

// AllMeasures lists them.
func AllMeasures() []Measures {
	return []Measures{ImperialMeasures, MetricMeasures, BothMeasures}
}

// Words is a length in running text: "7 ft 9-7/16 in", "2.373 m".
func (m Measures) Words(l measure.Length) string {
	switch m {
	case MetricMeasures:
		return l.Metric()
	case BothMeasures:
		return l.Imperial() + " (" + l.Metric() + ")"
	default:
		return l.Imperial()
	}
}

// tape is a length as a tape shows it, which is shorter than words: 7' 9-7/16",
// 2373 mm.
func (m Measures) tape(l measure.Length) string {
	switch m {
	case MetricMeasures:
		return millimetres(l)
	case BothMeasures:
		return tape(l) + " (" + millimetres(l) + ")"
	default:
		return tape(l)
	}
}

func millimetres(l measure.Length) string {
	return measure.RoundTo(l, measure.Millimetre).In(measure.Millimetre, 0)
}

// finest is to what lengths on a tape are rounded, in words.
func (m Measures) finest() string {
	switch m {
	case MetricMeasures:
		return "1 mm"
	case BothMeasures:
		return "1/16 in and 1 mm"
	default:
		return "1/16 in"
	}
}
