package rpc

import (
	"context"
	"net"
	"net/netip"
	"strings"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/time/rate"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	"wattle/internal/auth"
)

// mostBuckets is how many keys, and how many addresses, are remembered: those
// used last. Who is forgotten has a full bucket again, which by then he would
// have anyway, unless that many others called within a few seconds.
const mostBuckets = 16_384

// rates are the token buckets of keys and of addresses. A key has one once it
// was shown to be good; until then its caller's address pays, so that who
// guesses keys is stopped before the database is asked for them, and who has
// one is not stopped by a guesser behind the same address.
type rates struct {
	keys      *lru.Cache[[32]byte, *acquaintance]
	addresses *lru.Cache[string, *rate.Limiter]
	key       Rate
	address   Rate
}

// acquaintance is a key that was good when it was last used, and whose it was
// then.
type acquaintance struct {
	bucket *rate.Limiter
	caller auth.Caller
}

func newRates(key, address Rate) *rates {
	r := &rates{key: key, address: address}
	// New fails only for a size that is none.
	r.keys, _ = lru.New[[32]byte, *acquaintance](mostBuckets)
	r.addresses, _ = lru.New[string, *rate.Limiter](mostBuckets)
	return r
}

// known is who shows a key, by its hash, if it was good lately.
func (r *rates) known(hash [32]byte) (*acquaintance, bool) { return r.keys.Get(hash) }

// know is told that a key is good.
func (r *rates) know(hash [32]byte, caller auth.Caller) {
	if _, ok := r.keys.Get(hash); !ok {
		r.keys.Add(hash, &acquaintance{newBucket(r.key), caller})
	}
}

// forget is told that a key is not good any more.
func (r *rates) forget(hash [32]byte) { r.keys.Remove(hash) }

// stranger is how long an address has to wait until a call of it may be taken;
// 0 where it is taken.
func (r *rates) stranger(address string) time.Duration {
	if address == "" {
		return 0
	}
	bucket, ok := r.addresses.Get(address)
	if !ok {
		bucket = newBucket(r.address)
		if earlier, ok, _ := r.addresses.PeekOrAdd(address, bucket); ok {
			bucket = earlier
		}
	}
	return spend(bucket)
}

func newBucket(r Rate) *rate.Limiter {
	if r.PerSecond == 0 {
		return rate.NewLimiter(rate.Inf, 0)
	}
	return rate.NewLimiter(rate.Limit(r.PerSecond), r.Burst)
}

// spend takes a token, or says when there will be one.
func spend(bucket *rate.Limiter) time.Duration {
	token := bucket.Reserve()
	wait := token.Delay()
	if wait > 0 {
		token.Cancel()
	}
	return wait
}

// addressOf is whom a stranger's call is counted for: the peer's IP address, of
// IPv6 the /64 that one subscriber has; empty for this process itself. For the
// gateway, which calls from within this process, it is whom it calls for: the
// last address in x-forwarded-for, which the gateway wrote, whatever the caller
// wrote before it.
func addressOf(ctx context.Context) string {
	p, ok := peer.FromContext(ctx)
	if !ok || p.Addr == nil {
		return ""
	}
	text := p.Addr.String()
	if p.Addr.Network() == inMemory {
		from := metadata.ValueFromIncomingContext(ctx, "x-forwarded-for")
		if len(from) == 0 {
			return ""
		}
		text = from[len(from)-1]
		text = strings.TrimSpace(text[strings.LastIndexByte(text, ',')+1:])
	} else if host, _, err := net.SplitHostPort(text); err == nil {
		text = host
	}
	address, err := netip.ParseAddr(text)
	if err != nil {
		return clip(text, mostForwardedBytes)
	}
	address = address.Unmap().WithZone("")
	if address.Is6() {
		if block, err := address.Prefix(64); err == nil {
			return block.String()
		}
	}
	return address.String()
}

// inMemory is the network of a peer in this process.
const inMemory = "bufconn"
