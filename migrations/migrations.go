// Package migrations holds the database schema: numbered SQL files for goose,
// each applied once, and the grants, applied after them every time. There are
// no files for the way back: a change expands first, and contracts a release
// later.
package migrations

import (
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

// Files are the numbered migrations.
//
//go:embed 0*.sql
var Files embed.FS

// Grants are the statements that say which role may do what, with SERVICE and
// WORKER for the names of the roles.
//
//go:embed grants.sql
var Grants string

// Latest is the number of the newest migration, which is also the number that
// schema_meta.oldest_program compares with.
func Latest() int64 {
	var latest int64
	for _, name := range names() {
		number, _, _ := strings.Cut(name, "_")
		if n, err := strconv.ParseInt(number, 10, 64); err == nil {
			latest = max(latest, n)
		}
	}
	return latest
}

// Hash names the schema: it changes with any byte of any file.
func Hash() string {
	all := []byte(Grants)
	for _, name := range names() {
		text, _ := fs.ReadFile(Files, name) // embedded, so it can be read
		all = fmt.Appendf(all, "%s %d\n%s", name, len(text), text)
	}
	return fmt.Sprintf("%x", sha256.Sum256(all))
}

// names are the files, in order.
func names() []string {
	found, _ := fs.Glob(Files, "*.sql") // the pattern is well formed
	return found
}
