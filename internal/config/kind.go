package config

import (
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"strings"

	"github.com/spf13/pflag"
)

func whole(kind string) bool {
	return strings.HasPrefix(kind, "int") || strings.HasPrefix(kind, "uint") || kind == "count"
}

// text reports a flag that takes words, with no form that a number or a switch
// has as well.
func (s Setting) text() bool {
	switch s.Value.Type() {
	case "string", "stringArray", "stringSlice", "duration":
		return true
	}
	return false
}

// Kind says in words what the setting takes, with its unit.
func (s Setting) Kind() string {
	kind := s.Value.Type()
	switch {
	case kind == "bool":
		return "true or false"
	case whole(kind):
		return "a whole number"
	case kind == "float64":
		return "a number"
	case kind == "string":
		return "text"
	case kind == "duration":
		return "a duration such as 30s or 5m"
	case kind == "stringArray" || kind == "stringSlice":
		return "a text or a list of texts"
	case strings.Contains(kind, "|"): // a choice of words
		return "one of " + strings.ReplaceAll(kind, "|", ", ")
	default:
		return "a " + kind
	}
}

// set gives a flag its values, several to a list in place of what it has.
func set(f *pflag.Flag, values []string) error {
	if list, ok := f.Value.(pflag.SliceValue); ok {
		return list.Replace(values)
	}
	if len(values) != 1 {
		return fmt.Errorf("expected one value, found %d", len(values))
	}
	err := f.Value.Set(values[0])
	if err == nil {
		return nil
	}
	s := Setting{Flag: f}
	if s.Value.Type() == "duration" || s.Value.Type() == "bool" || whole(s.Value.Type()) || s.Value.Type() == "float64" {
		return fmt.Errorf("expected %s, found %s", s.Kind(), values[0]) // the library's words name its functions
	}
	return errors.New(err.Error() + ", found " + values[0])
}

// passwordWord finds a password in the other form of connection strings, and
// among the parameters of a URL.
var passwordWord = regexp.MustCompile(`(?i)(^|[\s?&])(ssl)?password\s*=`)

// holdsPassword reports a connection string with a password in it.
func holdsPassword(value string) bool {
	if passwordWord.MatchString(value) {
		return true
	}
	u, err := url.Parse(value)
	if err != nil { // of a password with odd characters, so look for its place
		_, rest, found := strings.Cut(value, "://")
		authority, _, at := strings.Cut(rest, "@")
		return found && at && strings.Contains(authority, ":")
	}
	_, set := u.User.Password()
	return set
}
