package archtest

import (
	"cmp"
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "wattle"

// graph maps a package's path below the module to what its files import.
type graph map[string][]string

func TestImports(t *testing.T) {
	g, err := read(os.DirFS("../.."))
	if err != nil {
		t.Fatal(err)
	}
	if len(g["internal/fault"]) == 0 {
		t.Fatal("internal/fault was not found: this test reads the wrong folder and proves nothing")
	}
	for _, v := range violations(g) {
		t.Error(v)
	}
}

// read parses the imports of every file that goes into a build on some
// platform; tests may import what they like. It reads the files itself rather
// than ask `go list`, so that the test cache notices when one changes.
func read(root fs.FS) (graph, error) {
	g := graph{}
	return g, fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || name == "." {
			return err
		}
		hidden := strings.HasPrefix(d.Name(), ".") || strings.HasPrefix(d.Name(), "_")
		if d.IsDir() {
			_, nested := fs.Stat(root, path.Join(name, "go.mod"))
			if hidden || d.Name() == "testdata" || nested == nil {
				return fs.SkipDir
			}
			return nil
		}
		if hidden || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		text, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ImportsOnly)
		if err != nil {
			return err
		}
		pkg := path.Dir(name)
		imports := g[pkg] // a package without imports is a package all the same
		for _, spec := range file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			imports = append(imports, imported)
		}
		slices.Sort(imports)
		g[pkg] = slices.Compact(imports)
		return nil
	})
}

// violations lists what in g breaks a rule, a sentence each, in a fixed order.
func violations(g graph) (found []string) {
	for _, pkg := range slices.Sorted(maps.Keys(g)) {
		if name := path.Base(pkg); slices.Contains(strings.Fields(vague), name) {
			found = append(found, fmt.Sprintf("%s: a package called %s collects what has no home; name it after the thing it holds", pkg, name))
		}
		rule, ok := rowOf(pkg)
		if !ok {
			found = append(found, fmt.Sprintf("%s: is in no row; add it to rows in internal/archtest/rules_test.go, and to the table in DEVELOPERS.md, with what it may import and why", pkg))
		}
		for _, imported := range g[pkg] {
			if why, banned := bannedIn(pkg, imported); banned {
				found = append(found, fmt.Sprintf("%s: must not import %s: %s", pkg, imported, why))
			} else if ok && !standard(imported) && !matches(rule.may, imported) {
				may := cmp.Or(strings.Join(strings.Fields(rule.may), ", "), "nothing")
				found = append(found, fmt.Sprintf("%s: must not import %s: besides std it may import %s, because %s", pkg, imported, may, rule.why))
			}
		}
	}
	return found
}

// rowOf is the row that covers a package.
func rowOf(pkg string) (row, bool) {
	i := slices.IndexFunc(rows, func(r row) bool { return covers(r.pkg, pkg) })
	if i < 0 {
		return row{}, false
	}
	return rows[i], true
}

// bannedIn is why a package must not import a path, if a ban says so.
func bannedIn(pkg, imported string) (why string, banned bool) {
	for _, b := range bans {
		in := b.in == "" || matches(b.in, module+"/"+pkg)
		if in && !matches(b.unless, module+"/"+pkg) &&
			slices.ContainsFunc(strings.Fields(b.imports), func(p string) bool { return covers(p+"/...", imported) }) {
			return b.why, true
		}
	}
	return "", false
}

// matches reports whether an import path is in a list as row.may has it.
func matches(list, imported string) bool {
	return slices.ContainsFunc(strings.Fields(list), func(word string) bool {
		switch {
		case word == "anything":
			return true
		case word == "pure":
			return matches(pure, imported)
		case strings.Contains(word, "."):
			return covers(word+"/...", imported)
		default:
			return imported == module+"/internal/"+word || imported == module+"/"+word
		}
	})
}

// covers reports whether a path is the pattern's or, where the pattern ends in
// /..., below it.
func covers(pattern, p string) bool {
	folder, whole := strings.CutSuffix(pattern, "/...")
	return p == folder || whole && strings.HasPrefix(p, folder+"/")
}

// standard reports whether an import path is the standard library's: no dot in
// its first element, and not ours.
func standard(imported string) bool {
	first, _, _ := strings.Cut(imported, "/")
	return !strings.Contains(first, ".") && first != module
}
