package postgres_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// There is one way to a query: the pool is used in scope.go, and in store.go to
// open and close it.
func TestThePoolIsUsedInOnePlace(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	uses := map[string]int{}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok && s.Sel.Name == "pool" {
				uses[name]++
			}
			return true
		})
	}
	if uses["scope.go"] == 0 {
		t.Error("scope.go does not use the pool: has the field another name?")
	}
	for name := range uses {
		if name != "scope.go" && name != "store.go" {
			t.Errorf("%s uses the pool; run queries through Store.within", name)
		}
	}
	if uses["store.go"] > 1 {
		t.Error("store.go does more with the pool than close it")
	}
}
