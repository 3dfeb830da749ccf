package catalog

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"wattle/internal/fault"
)

// MostName is the longest name of an entry, in bytes, without the name space.
const MostName = 64

// StandardSpace is the name space of the built-in entries.
const StandardSpace = "standard/"

// Ref names an entry of the catalogue, and one version of it.
type Ref struct {
	// Name is lower-case words joined by hyphens, such as cedar-privacy; a
	// built-in one has StandardSpace before it.
	Name string
	// Version counts from 1; 0 is the newest.
	Version int
}

// ParseRef reads "cedar-privacy", "cedar-privacy@3" or
// "standard/vertical-boards-6ft".
func ParseRef(text string) (Ref, error) {
	name, version, versioned := strings.Cut(text, "@")
	r := Ref{Name: name}
	if versioned {
		n, err := strconv.ParseInt(version, 10, 32)
		if err != nil || n < 1 || strconv.FormatInt(n, 10) != version {
			return Ref{}, fmt.Errorf("%q is not a version; expected a whole number from 1 after the @, such as cedar-privacy@3", version)
		}
		r.Version = int(n)
	}
	if bare := strings.TrimPrefix(name, StandardSpace); len(bare) > MostName || !kebab.MatchString(bare) {
		return Ref{}, fmt.Errorf("%q does not name a spec; expected lower-case words joined by hyphens, at most %d bytes, such as cedar-privacy, cedar-privacy@3 or %svertical-boards-6ft", text, MostName, StandardSpace)
	}
	return r, nil
}

// String is the text that ParseRef reads.
func (r Ref) String() string {
	if r.Version == 0 {
		return r.Name
	}
	return r.Name + "@" + strconv.Itoa(r.Version)
}

// Standard reports whether the entry is a built-in one.
func (r Ref) Standard() bool { return strings.HasPrefix(r.Name, StandardSpace) }

var kebab = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// CheckName notes, under field, what is wrong with the name of a company's
// entry.
func CheckName(v *fault.List, field, name string) {
	if len(name) > MostName {
		v.Add(field, "expected a name of at most %d bytes, found %d", MostName, len(name))
		return
	}
	v.Require(kebab.MatchString(name), field, "%q is not a name; expected lower-case words joined by hyphens, such as cedar-privacy", name)
}
