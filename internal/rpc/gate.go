package rpc

import (
	"context"
	"crypto/subtle"
	"strings"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Access is who may call a server.
type Access struct {
	// Operator is the SHA-256 of the operator's secret; zero where there is no
	// operator.
	Operator [32]byte
	// Nobody: there are no keys, and every call is let in, reaching no company.
	// Only for a server inside a process that has no store.
	Nobody bool
}

// gate is the interceptor that finds out who calls and whether he may. What he
// reaches is then the store's affair, by row-level security.
type gate struct {
	use *estimating.Service
	Access
}

// open are methods of no company, by prefix: health and the server's own
// description.
const openMethods = "/grpc."

func (g gate) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	ctx, err := g.admit(ctx, info.FullMethod)
	if err != nil {
		return nil, err
	}
	answer, err := next(ctx, req)
	if err == nil {
		hideCost(estimating.CallerOf(ctx), answer)
	}
	return answer, err
}

func (g gate) stream(srv any, s grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	ctx, err := g.admit(s.Context(), info.FullMethod)
	if err != nil {
		return err
	}
	wrapped := middleware.WrapServerStream(s)
	wrapped.WrappedContext = ctx
	return next(srv, hidingStream{wrapped, estimating.CallerOf(ctx)})
}

// admit is ctx with the caller in it.
func (g gate) admit(ctx context.Context, method string) (context.Context, error) {
	if g.Nobody || strings.HasPrefix(method, openMethods) {
		return ctx, nil
	}
	caller, err := g.caller(ctx)
	if err := settle(ctx, caller, err); err != nil {
		return ctx, err
	}
	note(ctx, caller)
	if err := auth.Check(caller.Role, method); err != nil {
		return ctx, err
	}
	return estimating.WithCaller(ctx, caller), nil
}

// operator is who shows the operator's key.
var operator = auth.Caller{Principal: string(auth.Operator), Role: auth.Operator}

func (g gate) caller(ctx context.Context) (auth.Caller, error) {
	secret, err := secretOf(ctx)
	if err != nil {
		return auth.Caller{}, err
	}
	hash := auth.Hash(secret)
	if g.Operator != ([32]byte{}) && subtle.ConstantTimeCompare(hash[:], g.Operator[:]) == 1 {
		return operator, nil
	}
	return g.use.Authenticate(ctx, secret)
}

// secretOf is the key that a call shows.
func secretOf(ctx context.Context) (string, error) {
	values := metadata.ValueFromIncomingContext(ctx, "authorization")
	if len(values) != 1 {
		return "", fault.New(fault.Unauthenticated, "KEY_MISSING", "send your key once, as metadata `authorization: Bearer SECRET`")
	}
	scheme, secret, _ := strings.Cut(values[0], " ")
	if !strings.EqualFold(scheme, "bearer") || secret == "" {
		return "", fault.New(fault.Unauthenticated, "KEY_MISSING", "the metadata authorization holds no key; expected `Bearer SECRET`")
	}
	return secret, nil
}
