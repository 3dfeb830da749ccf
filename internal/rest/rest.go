package rest

import (
	"cmp"
	"context"
	_ "embed"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/rs/cors"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/admission"
	"wattle/internal/correlate"
)

// Config bounds what a caller may ask for. Zero fields take the default named.
type Config struct {
	Log *slog.Logger // slog.Default()
	// MaxBody bounds a request's body, in bytes.
	MaxBody int64 // 4 MiB
	// Calls is how many calls may be open at once, and how many bodies may be
	// coming in, half of them from one address; one more is refused. It stays below
	// what the service takes on one connection.
	Calls int // 200
	// Patience is how long a caller may take to send its body, and to take in each
	// piece of an answer; an answer that comes in pieces may go on for longer.
	Patience time.Duration // 30 s
	// Origins are the web origins whose pages may call, such as
	// https://crm.example. Without any, no page of another origin may.
	Origins []string
	// Telemetry is where traces and metrics go.
	Telemetry Telemetry
}

func (c Config) withDefaults() Config {
	c.Log = correlate.Logger(cmp.Or(c.Log, slog.Default()))
	c.MaxBody = cmp.Or(c.MaxBody, 4<<20)
	c.Calls = cmp.Or(c.Calls, 200)
	c.Patience = cmp.Or(c.Patience, 30*time.Second)
	return c
}

// document is the OpenAPI 3 document of the whole API.
//
//go:embed openapi.json
var document []byte

// services are all of the API's.
var services = []func(context.Context, *runtime.ServeMux, grpc.ClientConnInterface) error{
	register(wattlev1.NewLayoutServiceClient, wattlev1.RegisterLayoutServiceHandlerClient),
	register(wattlev1.NewTakeoffServiceClient, wattlev1.RegisterTakeoffServiceHandlerClient),
	register(wattlev1.NewPriceBookServiceClient, wattlev1.RegisterPriceBookServiceHandlerClient),
	register(wattlev1.NewCatalogServiceClient, wattlev1.RegisterCatalogServiceHandlerClient),
	register(wattlev1.NewAdviceServiceClient, wattlev1.RegisterAdviceServiceHandlerClient),
	register(wattlev1.NewQuoteServiceClient, wattlev1.RegisterQuoteServiceHandlerClient),
	register(wattlev1.NewTemplateServiceClient, wattlev1.RegisterTemplateServiceHandlerClient),
	register(wattlev1.NewCustomerServiceClient, wattlev1.RegisterCustomerServiceHandlerClient),
	register(wattlev1.NewCostServiceClient, wattlev1.RegisterCostServiceHandlerClient),
	register(wattlev1.NewImpactServiceClient, wattlev1.RegisterImpactServiceHandlerClient),
	register(wattlev1.NewActualsServiceClient, wattlev1.RegisterActualsServiceHandlerClient),
	register(wattlev1.NewExportServiceClient, wattlev1.RegisterExportServiceHandlerClient),
	register(wattlev1.NewOfficeServiceClient, wattlev1.RegisterOfficeServiceHandlerClient),
	register(wattlev1.NewEventServiceClient, wattlev1.RegisterEventServiceHandlerClient),
	register(wattlev1.NewWebhookServiceClient, wattlev1.RegisterWebhookServiceHandlerClient),
}

func register[C any](client func(grpc.ClientConnInterface) C, handler func(context.Context, *runtime.ServeMux, C) error) func(context.Context, *runtime.ServeMux, grpc.ClientConnInterface) error {
	return func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
		return handler(ctx, mux, client(conn))
	}
}

// New answers HTTP requests with what the service at the other end of the
// connection says. Beside the API it has /openapi.json, /healthz (this process
// answers) and /readyz (the service can).
func New(conn grpc.ClientConnInterface, config Config) (http.Handler, error) {
	config = config.withDefaults()
	allow, err := crossOrigin(config.Origins)
	if err != nil {
		return nil, err
	}
	mux := runtime.NewServeMux(
		runtime.WithMarshalerOption(runtime.MIMEWildcard, newJSON()),
		runtime.WithIncomingHeaderMatcher(takenHeader),
		runtime.WithOutgoingHeaderMatcher(func(string) (string, bool) { return "", false }),
		runtime.WithOutgoingTrailerMatcher(func(string) (string, bool) { return "", false }),
		runtime.WithErrorHandler(answerError),
		runtime.WithRoutingErrorHandler(answerNoRoute),
		runtime.WithForwardResponseOption(fileHeaders),
		runtime.WithForwardResponseRewriter(fileContent),
		runtime.WithWriteContentLength(),
		runtime.WithDisablePathLengthFallback(), // nor X-HTTP-Method-Override, which goes with it
		runtime.WithMiddlewares(probed, routed, reader{config.MaxBody, admission.NewPlaces(config.Calls)}.middleware),
	)
	api := calls{conn, make(chan struct{}, config.Calls)}
	for _, service := range services {
		if err := service(context.Background(), mux, api); err != nil {
			return nil, err
		}
	}
	for path, handler := range map[string]runtime.HandlerFunc{
		"/openapi.json": openAPI, "/healthz": alive, "/readyz": ready(mux, conn),
	} {
		if err := mux.HandlePath(http.MethodGet, path, handler); err != nil {
			return nil, err
		}
	}
	return config.Telemetry.traced(observed(config.Log, config.Patience, rescued(config.Log, allow(mux)))), nil
}

// takenHeader says what of a request's headers the service is told, besides
// Authorization and the caller's address: names and nothing else, so that no
// header can pose as metadata.
func takenHeader(name string) (string, bool) {
	return requestIDKey, name == requestIDHeader
}

// crossOrigin lets pages of the origins call, by the CORS protocol.
func crossOrigin(origins []string) (func(http.Handler) http.Handler, error) {
	if len(origins) == 0 {
		return func(next http.Handler) http.Handler { return next }, nil
	}
	for _, origin := range origins {
		u, err := url.Parse(origin)
		if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.Scheme+"://"+u.Host != origin || strings.Contains(origin, "*") {
			return nil, fmt.Errorf("expected a web origin such as https://crm.example, without a path or *, found %q", origin)
		}
	}
	return cors.New(cors.Options{
		AllowedOrigins: origins,
		AllowedMethods: []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete},
		AllowedHeaders: []string{"Authorization", "Content-Type", "Grpc-Timeout", requestIDHeader},
		ExposedHeaders: []string{requestIDHeader},
		MaxAge:         600, // seconds
	}).Handler, nil
}

func openAPI(w http.ResponseWriter, _ *http.Request, _ map[string]string) {
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(document) // a reader that went away needs no answer
}
