package quote

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wattle/internal/fault"
)

// OptionError is an option's error as the caller reads it: what is wrong with
// its spec stands under options[i].spec.
func OptionError(i int, err error) *fault.Error {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok {
		e = fault.Wrap(err, fault.Internal, "INTERNAL", "the option could not be priced")
	}
	told := *e
	told.Violations = slices.Clone(e.Violations)
	for j, v := range told.Violations {
		if v.Field == "spec" || strings.HasPrefix(v.Field, "spec.") {
			told.Violations[j].Field = optionPath(i) + "." + v.Field
		}
	}
	return &told
}

func optionPath(i int) string { return fmt.Sprintf("options[%d]", i) }

// noOption is the error of a call none of whose options stands. What is wrong
// with all of them alike (the site, the pricing, an item that has no price) is
// told once; all else under its option.
func noOption(all []Option) error {
	errs := make([]*fault.Error, len(all))
	for i, o := range all {
		errs[i] = o.Err
	}
	kind, reason := common(errs, "NO_OPTION_STANDS")
	out := fault.New(kind, reason, "none of the %d options can be planned and priced", len(all))
	alike := make(map[fault.Violation]int)
	for _, e := range errs {
		for _, v := range distinct(e) {
			alike[v]++
		}
	}
	for i, e := range errs {
		for _, v := range distinct(e) {
			switch own := optionPath(i); {
			case alike[v] == len(errs) && i > 0: // told by the first
				continue
			case alike[v] == len(errs), strings.HasPrefix(v.Field, own):
			case v.Field == "":
				v.Field = own
			default:
				v.Field = own + "." + v.Field
			}
			out.Violations = append(out.Violations, v)
		}
	}
	return out
}

// common is the kind and the reason of errors that share them; otherwise, and
// for none, a refusal for the reason given.
func common(errs []*fault.Error, otherwise string) (fault.Kind, string) {
	if len(errs) == 0 {
		return fault.Refused, otherwise
	}
	for _, e := range errs {
		if e.Kind != errs[0].Kind || e.Reason != errs[0].Reason {
			return fault.Refused, otherwise
		}
	}
	return errs[0].Kind, errs[0].Reason
}

// distinct are the violations of an error, each once; an error without any
// stands for one.
func distinct(e *fault.Error) []fault.Violation {
	var out []fault.Violation
	for _, v := range e.Violations {
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	if out == nil {
		out = []fault.Violation{{Description: e.Message}}
	}
	return out
}
