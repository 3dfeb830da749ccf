package config

import (
	"errors"
	"slices"
	"strings"

	"github.com/spf13/pflag"
)

// Lookup finds a variable of the environment, as os.LookupEnv does.
type Lookup func(name string) (string, bool)

// Apply sets what the command line left out from the environment, and what that
// left out from the file. Empty variables count as absent. The error lists every
// variable that cannot be read.
func Apply(fs *pflag.FlagSet, env Lookup, file File) error {
	faults := &Faults{In: "the environment"}
	var nearer []string // what is set by now, and what that silences
	note := func() {
		fs.VisitAll(func(f *pflag.Flag) {
			if f.Changed {
				nearer = append(nearer, f.Name)
				if f.Value.String() != f.DefValue { // what is as it were not given silences nothing
					nearer = append(nearer, f.Annotations[excludes]...)
				}
			}
		})
	}
	give := func(name string, values []string) error {
		f := fs.Lookup(name)
		// A flag's old name, which Lookup may know too, is no name of a setting.
		if f == nil || f.Name != name || slices.Contains(nearer, name) {
			return nil // another command's, or said nearer
		}
		if err := set(f, values); err != nil {
			return err
		}
		f.Changed = true
		return nil
	}
	note()
	fs.VisitAll(func(f *pflag.Flag) {
		value, _ := env(Variable(f.Name))
		if value == "" || f.Name == "help" {
			return
		}
		values := []string{value}
		if _, list := f.Value.(pflag.SliceValue); list {
			values = strings.FieldsFunc(value, func(r rune) bool { return r == ',' || r == ' ' })
		}
		if err := give(f.Name, values); err != nil {
			faults.add("%s: %s", Variable(f.Name), err)
		}
	})
	note()
	var errs []error
	for _, e := range file.entries {
		errs = append(errs, give(e.name, e.values)) // tried already, when the file was read
	}
	return errors.Join(append(errs, faults.err())...)
}

// FilePath is the file that the command line, or else the environment, names;
// empty where none is.
func FilePath(fs *pflag.FlagSet, env Lookup) string {
	f := fs.Lookup(FileFlag)
	if f == nil {
		return ""
	}
	if value, _ := env(Variable(FileFlag)); !f.Changed && value != "" {
		return value
	}
	return f.Value.String()
}

// ignored are the variables of the project's own tests.
var ignored = []string{"WATTLE_TEST_", "WATTLE_BENCH_", "WATTLE_PGTEST_"}

// Unknown says of each variable of ours that nothing reads, with the known one
// that is nearest. environ is as os.Environ gives it.
func Unknown(environ, known []string) []string {
	var told []string
	for _, pair := range environ {
		name, _, _ := strings.Cut(pair, "=")
		ours := strings.HasPrefix(name, prefix) && !slices.ContainsFunc(ignored, func(p string) bool { return strings.HasPrefix(name, p) })
		if ours && !slices.Contains(known, name) {
			told = append(told, "nothing reads the variable "+name+didYouMean(name, known))
		}
	}
	slices.Sort(told)
	return told
}
