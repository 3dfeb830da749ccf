package webhook

import (
	"net/netip"
	"net/url"
	"strings"
	"syscall"

	"code.dny.dev/ssrf"

	"wattle/internal/fault"
)

// longestURL is what servers take without complaint.
const longestURL = 2048

// Targets says which addresses messages may go to. The zero value allows https
// to public addresses.
type Targets struct {
	// AllowHTTP: messages may go unencrypted. AllowPrivate: addresses of the
	// machine and of private networks are reached.
	AllowHTTP, AllowPrivate bool
}

// public knows the registries of special addresses [IANA IPv4 and IPv6
// Special-Purpose Address Registry]: loopback, private, shared, link local (with
// the metadata services of most clouds), multicast, translated and mapped ones.
// 168.63.129.16 looks public and answers inside a cloud's machines only.
var public = ssrf.New(ssrf.WithAnyPort(), ssrf.WithDeniedV4Prefixes(netip.MustParsePrefix("168.63.129.16/32")))

// control is asked by the dialer about each address that a name has resolved
// to, just before it connects. A check any earlier could be told another
// address than the dialer is.
func (t Targets) control(network, address string, c syscall.RawConn) error {
	if t.AllowPrivate {
		return nil
	}
	return public.Safe(network, address, c)
}

// CheckURL adds what is wrong with an address. That it passes does not mean it
// is reached: names are looked up when a message is sent.
func (t Targets) CheckURL(v *fault.List, text string) {
	u, err := url.Parse(text)
	if err != nil || len(text) > longestURL || u.Hostname() == "" || u.Opaque != "" {
		v.Add("", "expected an address such as https://crm.example.com/hooks/wattle, of at most %d bytes", longestURL)
		return
	}
	switch {
	case u.Scheme != "https" && !t.AllowHTTP:
		v.Add("", "expected https, found %q", u.Scheme)
	case u.Scheme != "https" && u.Scheme != "http":
		v.Add("", "expected https or http, found %q", u.Scheme)
	}
	v.Require(u.User == nil, "", "expected no user name or password in it; messages are signed instead")
	v.Require(u.Fragment == "" && !strings.Contains(text, "#"), "", "expected no #fragment, which is never sent")
	if ip, err := netip.ParseAddr(u.Hostname()); err == nil && !t.AllowPrivate && public.SafeAddr(ip) != nil {
		v.Add("", "%s is an address of this machine, a private network or one with a special use; messages go to public addresses only", ip)
	}
}

// Guard is what the use cases ask: targets and keys together.
type Guard struct {
	Targets
	*Keyring
}
