package rpc

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"time"

	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/recovery"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/health"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/correlate"
	"wattle/internal/estimating"
)

// Config bounds what a caller may ask for. Zero fields take the default named.
type Config struct {
	Log *slog.Logger // slog.Default()
	// MaxRequest and MaxAnswer bound one message, in bytes. The answer stays
	// below the 4 MiB that clients take by default.
	MaxRequest int // 4 MiB
	MaxAnswer  int // 4,000,000
	// Deadline and StreamDeadline are for calls that come without one.
	Deadline       time.Duration // 30 s
	StreamDeadline time.Duration // 10 min
	// Streams is how many calls one connection may have open at once.
	Streams uint32 // 250
	// Drain is how long Serve waits for open calls when it ends.
	Drain time.Duration // 20 s
	// Limits are how often and how much at once may be called; none by default.
	Limits Limits
	// Access is who may call.
	Access Access
	// Security is how connections are secured; none by default.
	Security credentials.TransportCredentials
	// Watch is how long a caller may watch events before he comes back.
	Watch time.Duration // 10 min
	// Telemetry is where traces and metrics go.
	Telemetry Telemetry
	// CSV bounds an imported price list; see book.CSVOptions for the defaults.
	CSV book.CSVOptions
}

func (c Config) withDefaults() Config {
	c.Log = correlate.Logger(cmp.Or(c.Log, slog.Default()))
	c.Telemetry = c.Telemetry.withDefaults()
	c.MaxRequest = cmp.Or(c.MaxRequest, 4<<20)
	c.MaxAnswer = cmp.Or(c.MaxAnswer, 4_000_000)
	c.Deadline = cmp.Or(c.Deadline, 30*time.Second)
	c.StreamDeadline = cmp.Or(c.StreamDeadline, 10*time.Minute)
	c.Streams = cmp.Or(c.Streams, 250)
	c.Drain = cmp.Or(c.Drain, 20*time.Second)
	c.Watch = cmp.Or(c.Watch, 10*time.Minute)
	return c
}

// mostHeaderBytes is more metadata than any of our callers needs.
const mostHeaderBytes = 16 << 10

// Server answers the API, the standard health service and reflection.
type Server struct {
	grpc   *grpc.Server
	health *health.Server
	drain  time.Duration
	// stopping is closed when Serve ends: those who watch are told to come back.
	stopping chan struct{}
}

// NewServer makes a server of the use cases. Without stores it can plan and
// count; calls that need a book then fail as Internal.
func NewServer(use *estimating.Service, config Config) (*Server, error) {
	config = config.withDefaults()
	if use.Offices == nil && !config.Access.Nobody {
		return nil, errors.New("a server without a store of keys lets nobody in")
	}
	meter, err := newMeter(config.Telemetry.Meters)
	if err != nil {
		return nil, fmt.Errorf("make the metrics: %w", err)
	}
	observe := newObserver(config.Log, meter)
	door := newDoor(config.Limits, config.Access)
	end := deadlines{config.Deadline, config.StreamDeadline}
	limit := answerLimit(config.MaxAnswer)
	validate, err := newValidation()
	if err != nil {
		return nil, err
	}
	gate := gate{use, config.Access}
	rescue := recovery.WithRecoveryHandlerContext(recovered)
	methods := make(map[string]bool) // filled below, before any call
	s := &Server{
		grpc: grpc.NewServer(append(connections(),
			config.Telemetry.stats(func(method string) bool { return methods[method] }, observe),
			grpc.UnknownServiceHandler(answerUnknown),
			grpc.ForceServerCodecV2(newCodec()),
			// Outermost first. See registrar for what stands before unary calls.
			grpc.ChainUnaryInterceptor(observe.unary, recovery.UnaryServerInterceptor(rescue), end.unary, limit.unary, door.unary, gate.unary, validate.unary),
			grpc.ChainStreamInterceptor(observe.stream, recovery.StreamServerInterceptor(rescue), door.stream, end.stream, gate.stream, validate.stream),
			grpc.Creds(cmp.Or(config.Security, insecure.NewCredentials())),
			grpc.MaxRecvMsgSize(config.MaxRequest),
			grpc.MaxHeaderListSize(mostHeaderBytes),
			grpc.MaxConcurrentStreams(config.Streams),
		)...),
		health:   health.NewServer(),
		drain:    config.Drain,
		stopping: make(chan struct{}),
	}
	services := registrar{s.grpc, door, observe}
	wattlev1.RegisterLayoutServiceServer(services, layoutService{use})
	wattlev1.RegisterTakeoffServiceServer(services, takeoffService{use})
	wattlev1.RegisterPriceBookServiceServer(services, priceBookService{use, config.CSV})
	wattlev1.RegisterImpactServiceServer(services, impactService{use})
	wattlev1.RegisterCostServiceServer(services, costService{use})
	wattlev1.RegisterExportServiceServer(services, exportService{use, limit})
	wattlev1.RegisterQuoteServiceServer(services, quoteService{use, limit})
	wattlev1.RegisterCatalogServiceServer(services, catalogService{use})
	wattlev1.RegisterTemplateServiceServer(services, templateService{use})
	wattlev1.RegisterCustomerServiceServer(services, customerService{use})
	wattlev1.RegisterActualsServiceServer(services, actualsService{use})
	wattlev1.RegisterAdviceServiceServer(services, adviceService{use})
	wattlev1.RegisterOfficeServiceServer(services, officeService{use})
	wattlev1.RegisterEventServiceServer(services, eventService{use, config.Watch, s.stopping})
	wattlev1.RegisterWebhookServiceServer(services, webhookService{use})
	healthv1.RegisterHealthServer(services, s.health)
	reflection.Register(services)
	for service, info := range s.grpc.GetServiceInfo() {
		for _, method := range info.Methods {
			methods["/"+service+"/"+method.Name] = true
		}
	}
	s.SetReady(true)
	return s, nil
}

// Serve answers on all of the listeners until ctx ends, or one of them does; it
// is called once. Then the health service says so, no new call is taken, and
// open calls get the drain time to finish.
func (s *Server) Serve(ctx context.Context, listeners ...net.Listener) error {
	stopped := make(chan struct{})
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		defer close(stopped)
		<-ctx.Done()
		s.health.Shutdown()
		close(s.stopping)
		cut := time.AfterFunc(s.drain, s.grpc.Stop)
		defer cut.Stop()
		s.grpc.GracefulStop()
	}()
	served := make(chan error)
	for _, lis := range listeners {
		go func() {
			err := s.grpc.Serve(lis)
			if errors.Is(err, grpc.ErrServerStopped) { // which it was told to before it began
				err = nil
			}
			served <- err
		}()
	}
	var err error
	for range listeners {
		err = errors.Join(err, <-served)
		cancel()
	}
	<-stopped
	return err
}
