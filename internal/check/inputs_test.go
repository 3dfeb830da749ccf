package check_test

import (
	"errors"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/measure"
)

var must = measure.Must

func num(s string) decimal.Decimal { return decimal.MustParse(s) }

// dec and long are optional inputs.
func dec(s string) *decimal.Decimal { return new(num(s)) }
func long(s string) *measure.Length { return new(must(s)) }

// figure is a result's figure by name, "" where there is none.
func figure(r check.Result, name string) string {
	i := slices.IndexFunc(r.Figures, func(f check.Figure) bool { return f.Name == name })
	if i < 0 {
		return ""
	}
	return r.Figures[i].Value
}

// sound holds a result against what every result keeps.
func sound(t interface {
	Helper()
	Errorf(string, ...any)
}, results ...check.Result) {
	t.Helper()
	for _, r := range results {
		known := slices.ContainsFunc(check.Codes(), func(c check.Code) bool { return c.Code == r.Code && c.Title == r.Title })
		switch {
		case !known:
			t.Errorf("code %q is not in the table", r.Code)
		case !slices.Contains(check.Outcomes(), r.Outcome):
			t.Errorf("%s: outcome %q", r.Code, r.Outcome)
		case r.Source == "" || r.Edition == "":
			t.Errorf("%s: source %q, edition %q", r.Code, r.Source, r.Edition)
		case !strings.HasPrefix(r.Decides, "Advisory only: ") || !strings.HasSuffix(r.Text, " "+r.Decides):
			t.Errorf("%s does not say who decides: %q", r.Code, r.Text)
		case strings.Count(r.Text, ". ") != 1:
			t.Errorf("%s is not two sentences: %q", r.Code, r.Text)
		}
		for _, f := range r.Figures {
			if f.Name == "" || f.Value == "" {
				t.Errorf("%s: an empty figure %+v", r.Code, f)
			}
		}
	}
}

// fields are the paths of an Invalid error's violations, in order.
func fields(err error) string {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Kind != fault.Invalid {
		return "not an Invalid error"
	}
	var paths []string
	for _, v := range e.Violations {
		if !strings.Contains(v.Description, "expected") || !strings.Contains(v.Description, "found") {
			paths = append(paths, "?"+v.Description)
		}
		paths = append(paths, v.Field)
	}
	return strings.Join(paths, " ")
}
