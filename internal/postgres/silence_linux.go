package postgres

import (
	"errors"
	"strings"
	"syscall"
)

// userTimeout is TCP_USER_TIMEOUT, which package syscall does not name [tcp(7)].
const userTimeout = 0x12

// endSilence has the kernel give a TCP connection up once what was sent has not
// been acknowledged for that long; by default it tries for a quarter of an hour.
func endSilence(network, _ string, c syscall.RawConn) error {
	if !strings.HasPrefix(network, "tcp") {
		return nil
	}
	var failed error
	err := c.Control(func(fd uintptr) {
		failed = syscall.SetsockoptInt(int(fd), syscall.IPPROTO_TCP, userTimeout, int(silence.Milliseconds()))
	})
	return errors.Join(err, failed)
}
