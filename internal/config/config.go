// Package config lets what a command takes as flags stand in the environment and
// in a YAML file as well. The flags are the schema: a flag that is added is a key
// of the file and a variable of the environment without a further line.
//
//	--job-timeout 30s          on the command line
//	WATTLE_JOB_TIMEOUT=30s     in the environment
//	job-timeout: 30s           in the file
//
// What stands nearer to the command wins: the command line over the environment,
// the environment over the file. A nearer source also silences what excludes what
// it says (see Exclude).
package config

import (
	"slices"
	"strings"

	"github.com/spf13/pflag"
)

// FileFlag is the flag that names the file. It is a variable of the environment,
// but no key.
const FileFlag = "config"

// Setting is one thing that can be set, under the name of its flag.
type Setting struct {
	*pflag.Flag
	// Commands that take it, by name.
	Commands []string
}

// Settings are those of several commands, by name: what one file may say.
type Settings []Setting

// Of collects the flags of commands. A flag of one name means the same in each,
// so the first stands for all.
func Of(commands map[string]*pflag.FlagSet) Settings {
	var all Settings
	names := make([]string, 0, len(commands))
	for name := range commands {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, command := range names {
		commands[command].VisitAll(func(f *pflag.Flag) {
			if f.Name == FileFlag || f.Name == "help" || f.Hidden {
				return
			}
			if s := all.find(f.Name); s != nil {
				s.Commands = append(s.Commands, command)
				return
			}
			all = append(all, Setting{f, []string{command}})
		})
	}
	slices.SortFunc(all, func(a, b Setting) int { return strings.Compare(a.Name, b.Name) })
	return all
}

func (s Settings) find(name string) *Setting {
	for i := range s {
		if s[i].Name == name {
			return &s[i]
		}
	}
	return nil
}

// Names of all settings.
func (s Settings) Names() []string {
	names := make([]string, len(s))
	for i := range s {
		names[i] = s[i].Name
	}
	return names
}

const prefix = "WATTLE_"

// Variable is the environment's name of a setting.
func Variable(name string) string {
	return prefix + strings.ToUpper(strings.ReplaceAll(name, "-", "_"))
}

const excludes = "wattle_excludes"

// Exclude says that a command takes one of these flags or another, not both.
// The command still has to refuse them where they stand side by side; where one
// stands nearer than the other, the other does not count.
func Exclude(fs *pflag.FlagSet, one string, others ...string) {
	note := func(name, other string) {
		f := fs.Lookup(name)
		if f.Annotations == nil {
			f.Annotations = map[string][]string{}
		}
		f.Annotations[excludes] = append(f.Annotations[excludes], other)
	}
	for _, other := range others {
		note(one, other)
		note(other, one)
	}
}
