package archtest

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// go.mod is the list of what this program is made of: whatever it names directly has
// the reason beside it.
func TestEveryModuleHasItsReason(t *testing.T) {
	text, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	required := regexp.MustCompile(`^\t(\S+) v\S+(?: // (.+))?$`)
	direct := 0
	for line := range strings.Lines(string(text)) {
		m := required.FindStringSubmatch(strings.TrimRight(line, "\n"))
		if m == nil || m[2] == "indirect" {
			continue
		}
		direct++
		if m[2] == "" {
			t.Errorf("go.mod: %s has no reason; write it behind its version, after //", m[1])
		}
	}
	if direct < 40 {
		t.Errorf("found only %d modules", direct)
	}
}
