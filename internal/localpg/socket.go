package localpg

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// socketPort only names the socket's file; nothing listens on a network.
const socketPort = "5432"

// maxSocketPath is what sockaddr_un.sun_path holds without its closing zero:
// 107 bytes on Linux, 103 on others; the smaller serves both.
const maxSocketPath = 103

// socketFolder is inside root where the path is short enough and has nothing
// that separates hosts in a connection string, else a short one of its own.
func socketFolder(root string) string {
	dir := filepath.Join(root, "s")
	if len(dir+"/.s.PGSQL."+socketPort) <= maxSocketPath && !strings.ContainsAny(root, `,"`) {
		return dir
	}
	return fmt.Sprintf("/tmp/wattle-%x", sha256.Sum256([]byte(root)))[:len("/tmp/wattle-")+16]
}

// makeSocketFolder makes it anew, so that a socket or lock file of a killed
// server is gone. We hold the data lock, so nobody uses the old one. Somebody
// else's folder of that name makes it fail.
func (c *cluster) makeSocketFolder() error {
	err := os.RemoveAll(c.socket)
	if err == nil {
		err = c.who.mkdir(c.socket)
	}
	if err != nil {
		return fmt.Errorf("localpg: make the socket's folder: %w", err)
	}
	return nil
}
