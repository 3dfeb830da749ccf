package telemetry

import (
	"github.com/riverqueue/river/rivertype"
	"github.com/riverqueue/rivercontrib/otelriver"
)

// Jobs is around each job that is worked on: a span of its own, with a link to
// the one that left the job behind, and how it ended and how long it took as
// metrics.
func (t *Telemetry) Jobs() []rivertype.Middleware {
	return []rivertype.Middleware{otelriver.NewMiddleware(&otelriver.MiddlewareConfig{
		EnableTracePropagation: true, EnableWorkSpanJobKindSuffix: true,
		MeterProvider: t.Meters, TracerProvider: t.Traces,
	})}
}
