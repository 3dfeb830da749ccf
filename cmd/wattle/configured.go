package main

import (
	"log/slog"
	"os"
	"regexp"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wattle/internal/config"
)

// settings are what a configuration file may say: the flags of whoever runs the
// service.
func settings() config.Settings {
	of := map[string]*pflag.FlagSet{}
	for _, cmd := range []*cobra.Command{newServe(), newWork(), newMigrate()} {
		of[cmd.Name()] = cmd.Flags()
	}
	return config.Of(of)
}

// configured lets every flag of a command stand in the environment and in a file
// as well. It is called once the flags are there.
func configured(cmd *cobra.Command) *cobra.Command {
	cmd.Long += `

Each flag may also be a variable, as WATTLE_ and its name in capitals, or stand
in a file that --config names; see ` + "`wattle config`" + `.`
	configFlag(cmd)
	cmd.PreRunE = func(cmd *cobra.Command, _ []string) error {
		for _, told := range config.Unknown(os.Environ(), variables()) {
			slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), nil)).Warn("a variable has no effect", "why", told)
		}
		if err := configure(cmd.Flags()); err != nil {
			return wrongUse(cmd, err)
		}
		return nil
	}
	return cmd
}

func configFlag(cmd *cobra.Command) {
	cmd.Flags().String(config.FileFlag, "", "file of settings (WATTLE_CONFIG)")
	_ = cmd.MarkFlagFilename(config.FileFlag, "yaml", "yml") // the flag exists
}

// configure sets what the command line left out.
func configure(fs *pflag.FlagSet) error {
	var file config.File
	if path := config.FilePath(fs, os.LookupEnv); path != "" {
		var err error
		if file, err = config.ReadFile(path, settings()); err != nil {
			return err
		}
	}
	return config.Apply(fs, os.LookupEnv, file)
}

// postgresBin is the one variable that is no flag: it is of the machine.
const postgresBin = "WATTLE_POSTGRES_BIN"

var variableName = regexp.MustCompile(`WATTLE_[A-Z_]+`)

// variables are all that the program reads: of each setting, and those that a
// flag's help names.
func variables() []string {
	known := []string{postgresBin, config.Variable(config.FileFlag)}
	for _, name := range settings().Names() {
		known = append(known, config.Variable(name))
	}
	var visit func(*cobra.Command)
	visit = func(cmd *cobra.Command) {
		note := func(f *pflag.Flag) { known = append(known, variableName.FindAllString(f.Usage, -1)...) }
		cmd.Flags().VisitAll(note)
		cmd.PersistentFlags().VisitAll(note)
		for _, sub := range cmd.Commands() {
			visit(sub)
		}
	}
	visit(newRoot())
	return known
}
