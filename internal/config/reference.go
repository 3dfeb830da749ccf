package config

import (
	"fmt"
	"regexp"
	"strings"
)

// named finds a variable that a flag's help repeats.
var named = regexp.MustCompile(`\s*\(WATTLE_[A-Z_]+(; ([^)]*))?\)`)

// Reference is a table of the settings in Markdown.
func (s Settings) Reference() string {
	var b strings.Builder
	b.WriteString("| key and flag | variable | takes | default | of | what it is |\n|---|---|---|---|---|---|\n")
	for _, x := range s {
		fmt.Fprintf(&b, "| `%s` | `%s` | %s | %s | %s | %s |\n",
			x.Name, Variable(x.Name), x.Kind(), x.shownDefault(), strings.Join(x.Commands, ", "), x.meaning())
	}
	return b.String()
}

func (s Setting) shownDefault() string {
	switch s.DefValue {
	case "", "[]", "false":
		return "-"
	default:
		return "`" + s.DefValue + "`"
	}
}

// meaning is the flag's help, without the variable that stands in a column of
// its own.
func (s Setting) meaning() string {
	text := named.ReplaceAllStringFunc(s.Usage, func(match string) string {
		if rest := named.FindStringSubmatch(match)[2]; rest != "" {
			return " (" + rest + ")"
		}
		return ""
	})
	return strings.ReplaceAll(strings.ReplaceAll(text, "`", ""), "|", "\\|")
}
