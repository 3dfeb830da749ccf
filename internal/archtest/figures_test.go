package archtest

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// figures are the sections of the outside figures that the program is held
// against.
var figures = []string{"Lumber", "Layout", "Holes and concrete", "Footing embedment", "Wind", "Wood posts", "Pool barriers",
	"Locating utilities", "Wood movement", "Fasteners", "Bills and prices", "Surveying"}

var figureID = regexp.MustCompile(`\b(LUM|LAY|CHN|AS|DT|CON|LA|FT|WL|WD|PB|PZ|WOOD|FAS|BOM|SUR|TAX|IDX|PRC)-\d+[a-z]?\b`)

// Every outside figure is named by a test, which is where its source stands.
func TestEveryOutsideFigureIsTested(t *testing.T) {
	text, err := os.ReadFile("../../../shared/reference/checks.md")
	if err != nil {
		t.Skipf("the outside figures are not here: %v", err)
	}
	var tests strings.Builder
	root := "../.."
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "figures_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		tests.Write(source)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	named := make(map[string]bool)
	for _, id := range figureID.FindAllString(tests.String(), -1) {
		named[id] = true
	}
	sections := 0
	for _, section := range strings.Split(string(text), "\n## ")[1:] {
		title, body, _ := strings.Cut(section, "\n")
		for _, want := range figures {
			if !strings.HasPrefix(title, want) {
				continue
			}
			sections++
			for _, id := range figureID.FindAllString(body, -1) {
				if !named[id] && !coveredByRange(tests.String(), id) {
					t.Errorf("%s (%s) is named by no test", id, want)
					named[id] = true
				}
			}
		}
	}
	if sections != len(figures) {
		t.Errorf("%d of %d sections found", sections, len(figures))
	}
}

var figureRange = regexp.MustCompile(`\b([A-Z]+)-(\d+)(?:\.\.| to )(?:[A-Z]+-)?(\d+)\b`)

// coveredByRange reports whether a test names the figure in a range: "PB-10..12".
func coveredByRange(tests, id string) bool {
	word, number, _ := strings.Cut(id, "-")
	for _, m := range figureRange.FindAllStringSubmatch(tests, -1) {
		if m[1] == word && atoi(number) >= atoi(m[2]) && atoi(number) <= atoi(m[3]) {
			return true
		}
	}
	return false
}

func atoi(s string) int {
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			return n
		}
		n = 10*n + int(c-'0')
	}
	return n
}
