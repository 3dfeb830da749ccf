package archtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// SQL is constant text; values travel as $1. What a statement cannot take as a
// parameter, the name of a role or a table, goes through
// pgx.Identifier.Sanitize. (gosec has a rule of this kind, which does not know
// pgx; this one sees a statement put together in one expression, not one that
// grows over several.) internal/postgres/pgtest is left out: no caller's text
// reaches it.
func TestSQLIsNotPutTogether(t *testing.T) {
	files, err := filepath.Glob("../postgres/*.go")
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(text))
	}
	found, err := builtSQL(texts)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		t.Errorf("internal/postgres puts SQL together at run time: %s: pass values as $1, names through pgx.Identifier.Sanitize", f)
	}
}

func TestBuiltSQLIsCaught(t *testing.T) {
	for _, c := range []struct {
		code string
		want int
	}{
		{`db.Exec(ctx, "select 1 from quote where id = $1", id)`, 0},
		{`db.Exec(ctx, "select " + columns + " from quote")`, 0},
		{`db.Exec(ctx, "set role " + pgx.Identifier{role}.Sanitize())`, 0},
		{`db.Exec(ctx, fmt.Sprintf("grant select on %s to %s", pgx.Identifier{a}.Sanitize(), pgx.Identifier{b}.Sanitize()))`, 0},
		{`return fmt.Sprintf("found %s", id)`, 0},
		{`log("row " + id)`, 0},

		{`db.Exec(ctx, "select 1 from quote where id = '" + id + "'")`, 1},
		{"sql := `\n  SELECT 1 FROM ` + table; db.Exec(ctx, sql)", 1},
		{`db.Exec(ctx, fmt.Sprintf("delete from %s where id = $1", table), id)`, 1},
	} {
		text := "package postgres\nconst columns = `id, total`\nfunc f() {" + c.code + "}"
		found, err := builtSQL([]string{text})
		if err != nil || len(found) != c.want {
			t.Errorf("%s: found %v, %v; want %d", c.code, found, err, c.want)
		}
	}
}

var statement = regexp.MustCompile(`(?i)^\s*(select|insert|update|delete|with|copy|create|alter|drop|truncate|grant|revoke|set|lock|listen|notify)\s`)

// builtSQL lists the expressions, in the files of one package, that join a
// statement with something that is neither constant nor sanitised.
func builtSQL(texts []string) (found []string, err error) {
	fset := token.NewFileSet()
	var files []*ast.File
	constant := map[string]bool{}
	for _, text := range texts {
		file, err := parser.ParseFile(fset, "", text, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, file)
		ast.Inspect(file, func(n ast.Node) bool {
			if d, ok := n.(*ast.GenDecl); ok && d.Tok == token.CONST {
				for _, spec := range d.Specs {
					for _, name := range spec.(*ast.ValueSpec).Names {
						constant[name.Name] = true
					}
				}
			}
			return true
		})
	}
	for _, file := range files {
		ast.Inspect(file, func(n ast.Node) bool {
			parts := joined(n)
			if len(parts) < 2 || !statement.MatchString(literal(parts[0])) {
				return true
			}
			for _, part := range parts[1:] {
				id, _ := part.(*ast.Ident)
				if literal(part) == "" && !calls(part, "Sanitize") && (id == nil || !constant[id.Name]) {
					found = append(found, literal(parts[0])+" ...")
					break
				}
			}
			return false // the parts of a sum are sums themselves
		})
	}
	return found, nil
}

// joined is the operands of a sum, or the arguments of a Sprintf.
func joined(n ast.Node) []ast.Expr {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if n.Op == token.ADD {
			if left := joined(n.X); left != nil {
				return append(left, n.Y)
			}
			return []ast.Expr{n.X, n.Y}
		}
	case *ast.CallExpr:
		if calls(n, "Sprintf") {
			return n.Args
		}
	}
	return nil
}

// calls reports whether e calls a method or function of a package by name.
func calls(e ast.Expr, name string) bool {
	call, ok := e.(*ast.CallExpr)
	if !ok {
		return false
	}
	f, ok := call.Fun.(*ast.SelectorExpr)
	return ok && f.Sel.Name == name
}

// literal is the text of a string literal; "" of anything else.
func literal(e ast.Expr) string {
	if l, ok := e.(*ast.BasicLit); ok && l.Kind == token.STRING {
		if s, err := strconv.Unquote(l.Value); err == nil {
			return s
		}
	}
	return ""
}
