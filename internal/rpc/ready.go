package rpc

import (
	"strings"

	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
)

// SetReady tells the health service whether calls can be answered, of the whole
// server and of each service by its name: who calls is read from the database,
// so without it none of them answers. At first they can.
func (s *Server) SetReady(ready bool) {
	state := healthv1.HealthCheckResponse_NOT_SERVING
	if ready {
		state = healthv1.HealthCheckResponse_SERVING
	}
	s.health.SetServingStatus("", state)
	for name := range s.grpc.GetServiceInfo() {
		if !strings.HasPrefix(name, "grpc.") {
			s.health.SetServingStatus(name, state)
		}
	}
}
