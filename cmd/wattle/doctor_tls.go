package main

import (
	"context"
	"crypto/tls"
	"strings"
	"time"
)

// renewBefore is how long before its end a certificate should have a successor.
const renewBefore = 21 * 24 * time.Hour

// certificate reads certificate and key as serve will.
func (d *doctor) certificate(context.Context) []finding {
	const what = "TLS certificate"
	switch {
	case d.tlsCert == "" && d.tlsKey == "":
		return []finding{found(what, unused, "--tls-cert and --tls-key are not given, so the service listens on loopback only")}
	case d.tlsCert == "" || d.tlsKey == "":
		return []finding{found(what, missing, "--tls-cert and --tls-key go together").but("give both")}
	}
	var all []finding
	if f, bad := secretFile("TLS key", d.tlsKey); bad {
		all = append(all, f)
		if f.State == missing {
			return all
		}
	}
	pair, err := tls.LoadX509KeyPair(d.tlsCert, d.tlsKey)
	if err != nil {
		return append(all, found(what, missing, "%s and %s: %v", d.tlsCert, d.tlsKey, err).but("give a certificate in PEM form, and the key that belongs to it"))
	}
	return append(all, validity(what, d.tlsCert, &pair, time.Now()))
}

// validity says for how long and for which names a certificate holds.
func validity(what, path string, pair *tls.Certificate, now time.Time) finding {
	c := pair.Leaf
	names := c.DNSNames
	for _, ip := range c.IPAddresses {
		names = append(names, ip.String())
	}
	whom := "for " + strings.Join(names, ", ")
	left := c.NotAfter.Sub(now)
	days := int(left.Hours() / 24)
	until := c.NotAfter.UTC().Format(time.DateOnly)
	const renew = "renew it; serve reads replaced files by itself"
	switch {
	case now.Before(c.NotBefore):
		return found(what, missing, "%s holds from %s on", path, c.NotBefore.UTC().Format(time.DateTime)).but("wait, or set this machine's clock")
	case left <= 0:
		return found(what, missing, "%s ended on %s", path, until).but(renew)
	case len(names) == 0:
		return found(what, warning, "%s names no host, so clients refuse it; %d days left", path, days).but("make one with the service's name as a subject alternative name")
	case left < renewBefore:
		return found(what, warning, "%s, %s, ends on %s, in %d days", path, whom, until, days).but(renew)
	default:
		return found(what, fine, "%s, %s, holds until %s, %d days more, and the key belongs to it", path, whom, until, days)
	}
}
