package rest

import (
	"io"
	"net/http"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
)

// alive says that this process answers, whatever the service can do.
func alive(w http.ResponseWriter, _ *http.Request, _ map[string]string) {
	writeState(w, `{"status":"alive"}`)
}

// ready says whether the service can answer calls, by its own health service.
func ready(mux *runtime.ServeMux, conn grpc.ClientConnInterface) runtime.HandlerFunc {
	health := healthv1.NewHealthClient(conn)
	return func(w http.ResponseWriter, r *http.Request, _ map[string]string) {
		answer, err := health.Check(r.Context(), &healthv1.HealthCheckRequest{})
		switch {
		case err != nil:
			answerError(r.Context(), mux, nil, w, r, err)
		case answer.GetStatus() != healthv1.HealthCheckResponse_SERVING:
			writeError(w, http.StatusServiceUnavailable, ownError(codes.Unavailable, "NOT_READY", "the service cannot answer calls now"))
		default:
			writeState(w, `{"status":"ready"}`)
		}
	}
}

func writeState(w http.ResponseWriter, state string) {
	w.Header().Set("Content-Type", "application/json")
	_, _ = io.WriteString(w, state+"\n") // a reader that went away needs no answer
}
