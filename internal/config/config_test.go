package config_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"wattle/internal/config"
)

// flags are those of a command that listens, with one of each kind.
type flags struct {
	*pflag.FlagSet
	listen, url string
	local       bool
	workers     int
	wait        time.Duration
	rate        float64
	origins     []string
}

func serve() *flags {
	f := &flags{FlagSet: pflag.NewFlagSet("serve", pflag.ContinueOnError)}
	f.SetOutput(io.Discard)
	f.StringVar(&f.listen, "listen", "127.0.0.1:7453", "where to listen")
	f.StringVar(&f.url, "database-url", "", "database (WATTLE_DATABASE_URL; not of the owner)")
	f.BoolVar(&f.local, "local", false, "a private one")
	f.IntVar(&f.workers, "workers", 4, "how many")
	f.DurationVar(&f.wait, "job-timeout", 30*time.Second, "how long")
	f.Float64Var(&f.rate, "rate", 1.5, "calls a second")
	f.StringArrayVar(&f.origins, "http-allow-origin", nil, "origins")
	f.String(config.FileFlag, "", "file")
	config.Exclude(f.FlagSet, "local", "database-url")
	return f
}

// migrate has an old name of a flag that another command has under that name.
func migrate() *pflag.FlagSet {
	f := pflag.NewFlagSet("migrate", pflag.ContinueOnError)
	f.SetNormalizeFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		return pflag.NormalizedName(strings.Replace(name, "database-url", "owner-url", 1))
	})
	f.String("owner-url", "", "owner's")
	return f
}

func known() config.Settings {
	return config.Of(map[string]*pflag.FlagSet{"serve": serve().FlagSet, "migrate": migrate()})
}

func env(pairs ...string) config.Lookup {
	return func(name string) (string, bool) {
		for _, p := range pairs {
			if key, value, _ := strings.Cut(p, "="); key == name {
				return value, true
			}
		}
		return "", false
	}
}

func parse(t *testing.T, text string) config.File {
	t.Helper()
	f, err := config.Parse("wattle.yaml", []byte(text), known())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFlagsWinOverVariablesOverTheFile(t *testing.T) {
	file := parse(t, `# all of one machine
listen: 10.0.0.1:1
workers: 2
job-timeout: 5m
rate: 2
http-allow-origin: [&one https://a.example, https://b.example, *one]
owner-url: postgres://owner@db/wattle?passfile=/etc/wattle/pgpass
`)
	f := serve()
	if err := f.Parse([]string{"--listen", "10.0.0.3:3"}); err != nil {
		t.Fatal(err)
	}
	if err := config.Apply(f.FlagSet, env("WATTLE_LISTEN=10.0.0.2:2", "WATTLE_WORKERS=3", "WATTLE_RATE="), file); err != nil {
		t.Fatal(err)
	}
	if f.listen != "10.0.0.3:3" || f.workers != 3 || f.wait != 5*time.Minute || f.rate != 2 || !slices.Equal(f.origins, []string{"https://a.example", "https://b.example", "https://a.example"}) {
		t.Errorf("%+v", f)
	}
	if !f.Changed("workers") || !f.Changed("job-timeout") || f.Changed("local") {
		t.Error("what was set does not count as given, or the other way round")
	}
	f = serve()
	if err := config.Apply(f.FlagSet, env("WATTLE_HTTP_ALLOW_ORIGIN=https://c.example, https://d.example"), file); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(f.origins, []string{"https://c.example", "https://d.example"}) || f.listen != "10.0.0.1:1" {
		t.Errorf("%+v", f)
	}
}

func TestANearerSourceSilencesWhatItExcludes(t *testing.T) {
	const url = "database-url: postgres://s@db/wattle"
	for _, c := range []struct {
		args, env  []string
		file       string
		local, url bool
	}{
		{[]string{"--local"}, []string{"WATTLE_DATABASE_URL=postgres://x"}, url, true, false},
		{[]string{"--local=false"}, nil, url, false, true},
		{[]string{"--database-url", "postgres://x"}, nil, "local: true", false, true},
		{nil, []string{"WATTLE_LOCAL=true"}, url, true, false},
		{nil, nil, "local: true\n" + url, true, true}, // side by side: the command refuses them
	} {
		f := serve()
		if err := f.Parse(c.args); err != nil {
			t.Fatal(err)
		}
		if err := config.Apply(f.FlagSet, env(c.env...), parse(t, c.file)); err != nil {
			t.Fatal(err)
		}
		if f.local != c.local || (f.url != "") != c.url {
			t.Errorf("%v %v %q: local %t, database %q", c.args, c.env, c.file, f.local, f.url)
		}
	}
}

// A key goes to the flag of that name, not to one that was called so once.
func TestAKeyIsNoOldName(t *testing.T) {
	m := migrate()
	if err := config.Apply(m, env("WATTLE_DATABASE_URL=postgres://service@db"), parse(t, "database-url: postgres://service@db")); err != nil {
		t.Fatal(err)
	}
	if url := m.Lookup("owner-url").Value.String(); url != "" {
		t.Errorf("the owner connects as %s", url)
	}
}

func TestEverythingWrongIsToldAtOnce(t *testing.T) {
	_, err := config.Parse("wattle.yaml", []byte(`lisen: 127.0.0.1:1
workers: four
job-timeout: 30
local: yes
workers: 5
rate: fast
listen: 7453
database-url: postgres://s:hunter2@db/wattle
owner-url: host=db user=o password=hunter2
http_allow_origin: [https://a.example]
http-allow-origin: [1, {a: b}]
zzz:
job_timeot: 3s
`), known())
	want := `wattle.yaml has 13 things to put right
  line 1: there is no setting "lisen"; did you mean listen?
  line 2: workers: expected a whole number, found four
  line 3: job-timeout: expected a duration such as 30s or 5m, found 30; put it in quotes if it is meant
  line 4: local: expected true or false, found yes
  line 5: workers is given again; it stands on line 2
  line 6: rate: expected a number, found fast
  line 7: listen: expected text, found 7453; put it in quotes if it is meant
  line 8: database-url: it holds a password, and this file is for no secrets; take it out, and name a file of passwords in the URL: ?passfile=/etc/wattle/pgpass
  line 9: owner-url: it holds a password, and this file is for no secrets; take it out, and name a file of passwords in the URL: ?passfile=/etc/wattle/pgpass
  line 10: there is no setting "http_allow_origin"; did you mean http-allow-origin?
  line 11: http-allow-origin: expected a text or a list of texts, found 1; put it in quotes if it is meant
  line 11: http-allow-origin: expected a text or a list of texts, found keys and values
  line 12: there is no setting "zzz"
  line 13: there is no setting "job_timeot"; did you mean job-timeout?`
	want = strings.Replace(want, "13 things", "14 things", 1)
	if err == nil || err.Error() != want {
		t.Errorf("%v\nexpected\n%s", err, want)
	}
}

func TestOddFiles(t *testing.T) {
	for text, want := range map[string]string{
		"":                                    "",
		"# nothing\n":                         "",
		"---\n":                               "",
		"a: [":                                "line 1",
		"- listen":                            "line 1: expected keys and values",
		"listen":                              "line 1: expected keys and values",
		"listen: a:1\n---\nworkers: 1":        "expected one document",
		"workers: 99999999999999999999":       "line 1: workers: expected a whole number",
		"workers: -1\n":                       "", // for the command to judge
		"listen:\n":                           "found nothing; leave the line out",
		"listen: [a:1]":                       "expected text, found a list",
		"job-timeout: 30 seconds":             "line 1: job-timeout: expected a duration such as 30s or 5m, found 30 seconds",
		"config: other.yaml":                  `there is no setting "config"`,
		"x: &a 1\nworkers: *a":                `there is no setting "x"`,
		"database-url: 'postgres://s:p%w@db'": "it holds a password",
		"database-url: postgres://db/w?sslpassword=x": "it holds a password",
		"? [a]\n: b": `there is no setting`,
	} {
		_, err := config.Parse("f", []byte(text), known())
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", text, err, want)
		}
		if err != nil && strings.Contains(err.Error(), "p%w") {
			t.Errorf("%q: the password is told", text)
		}
	}
	path := filepath.Join(t.TempDir(), "long.yaml")
	if err := os.WriteFile(path, make([]byte, 1<<20+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := config.ReadFile(path, known()); err == nil || !strings.Contains(err.Error(), "longer than 1 MiB") {
		t.Errorf("%v", err)
	}
	if _, err := config.ReadFile(path+"x", known()); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%v", err)
	}
}

func TestVariablesThatCannotBeRead(t *testing.T) {
	err := config.Apply(serve().FlagSet, env("WATTLE_WORKERS=many", "WATTLE_JOB_TIMEOUT=5", "WATTLE_LOCAL=perhaps"), config.File{})
	want := `the environment has 3 things to put right
  WATTLE_JOB_TIMEOUT: expected a duration such as 30s or 5m, found 5
  WATTLE_LOCAL: expected true or false, found perhaps
  WATTLE_WORKERS: expected a whole number, found many`
	if err == nil || err.Error() != want {
		t.Errorf("%v", err)
	}
}

func TestUnknownVariables(t *testing.T) {
	got := config.Unknown([]string{"WATTLE_LISEN=1", "WATTLE_TEST_X=1", "PATH=/bin", "WATTLE_LISTEN=1", "WATTLE_ODD=secret"},
		[]string{"WATTLE_LISTEN", "WATTLE_WORKERS"})
	want := []string{"nothing reads the variable WATTLE_LISEN; did you mean WATTLE_LISTEN?", "nothing reads the variable WATTLE_ODD"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

func TestFilePath(t *testing.T) {
	f := serve()
	if got := config.FilePath(f.FlagSet, env("WATTLE_CONFIG=/a.yaml")); got != "/a.yaml" {
		t.Error(got)
	}
	if err := f.Parse([]string{"--config", "/b.yaml"}); err != nil {
		t.Fatal(err)
	}
	if got := config.FilePath(f.FlagSet, env("WATTLE_CONFIG=/a.yaml")); got != "/b.yaml" {
		t.Error(got)
	}
	if got := config.FilePath(migrate(), env()); got != "" {
		t.Error(got)
	}
}

func TestReference(t *testing.T) {
	page := known().Reference()
	for _, row := range []string{
		"| `database-url` | `WATTLE_DATABASE_URL` | text | - | serve | database (not of the owner) |\n",
		"| `job-timeout` | `WATTLE_JOB_TIMEOUT` | a duration such as 30s or 5m | `30s` | serve | how long |\n",
		"| `owner-url` | `WATTLE_OWNER_URL` | text | - | migrate | owner's |\n",
	} {
		if !strings.Contains(page, row) {
			t.Errorf("no %s in\n%s", row, page)
		}
	}
	if strings.Contains(page, "`config`") {
		t.Error("the file's own flag is a key")
	}
}

// No file makes it panic, and one that is taken can be taken again.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{"listen: a\nworkers: 3\n", "a: *b", "workers: [1]\n---\n", "? {a: b}\n: c", "http-allow-origin: [a, b]", "<<: {listen: a}"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		file, err := config.Parse("f", []byte(text), known())
		if err != nil {
			return
		}
		if err := config.Apply(serve().FlagSet, env(), file); err != nil {
			t.Errorf("%q was read, and then: %v", text, err)
		}
	})
}
