package quote

import (
	"cmp"
	"crypto/sha256"
	"slices"

	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/money"
	"wattle/internal/spec"
)

// Candidate is a choice with what it comes to.
type Candidate struct {
	Choice
	Figures
}

// Trial is one candidate that was tried.
type Trial struct {
	Candidate
	Spec     spec.Spec // every default filled
	Cautions []layout.Caution
	Checks   []check.Result
	// Given: this is the spec as it was given.
	Given bool
	// Fence is the same for two candidates that are one fence at one cost (see
	// FenceKey). Zero: like no other.
	Fence [sha256.Size]byte
	// Err is why the candidate is left out: it could not be laid out or priced,
	// or it is Broken. Nil for one that passes.
	Err *fault.Error
}

// Broken is the error of a candidate that does not pass a check: the code of
// the check or caution, the path of the request it is about, and its sentence.
func Broken(code, field, text string) *fault.Error {
	e := fault.New(fault.Refused, "NO_CANDIDATE_PASSES", "%s", text).With("check", code)
	e.Violations = []fault.Violation{{Field: field, Description: text}}
	return e
}

// Advice is the cheapest choice that passes every check.
type Advice struct {
	PricedAt PricedAt
	Best     Trial
	// RunnerUp is the next one that is another fence, and ToRunnerUp what it has
	// more; nil where only one passes.
	RunnerUp   *Candidate
	ToRunnerUp *Difference
	// Given is the spec as it was given, and ToGiven what it has more than the
	// best: what the advice saves. Nil where it does not pass.
	Given   *Candidate
	ToGiven *Difference
	// Tried counts all candidates, Refused those that do not pass.
	Tried, Refused int
	Refusals       []Refusal // the most frequent first, of equals the earlier
	// Table has the cheapest candidates that pass, the best first.
	// Candidates that are one fence at one cost are one of them.
	Table []Candidate
}

// Refusal is why some candidates were left out: the same reason about the same
// fields. Violations are those of the first.
type Refusal struct {
	Reason     string // of the error, or the code of the check
	Count      int
	First      Choice
	Violations []fault.Violation
}

// Advise ranks what was tried, and keeps so many for the table. Where nothing
// passes it is Refused (NO_CANDIDATE_PASSES) or, where all fail for one reason,
// that error, with the first violations of each reason.
func Advise(at PricedAt, trials []Trial, table int) (Advice, error) {
	out := Advice{PricedAt: at, Tried: len(trials), Refusals: refusals(trials)}
	var passed []Trial
	for _, t := range trials {
		if t.Err == nil {
			passed = append(passed, t)
		}
	}
	out.Refused = out.Tried - len(passed)
	if len(passed) == 0 {
		return Advice{}, nothingPasses(trials, out.Refusals)
	}
	slices.SortStableFunc(passed, func(a, b Trial) int {
		// What was asked for stays where nothing costs less.
		return cmp.Or(a.Totals.Cost.Cmp(b.Totals.Cost), boolOrder(b.Given, a.Given), cheapestFirst(a.Candidate, b.Candidate))
	})
	given := slices.IndexFunc(passed, func(t Trial) bool { return t.Given })
	if given >= 0 {
		out.Given = &Candidate{passed[given].Choice, passed[given].Figures}
	}
	passed = differing(passed)
	out.Best = passed[0]
	for _, t := range passed[:min(table, len(passed))] {
		out.Table = append(out.Table, t.Candidate)
	}
	var c money.Calc
	if len(passed) > 1 {
		out.RunnerUp = &passed[1].Candidate
		out.ToRunnerUp = out.RunnerUp.less(&c, out.Best.Figures)
	}
	if out.Given != nil {
		out.ToGiven = out.Given.less(&c, out.Best.Figures)
	}
	return out, c.Err()
}

// boolOrder is -1, 0 or 1 as a is before, beside or after b, false before true.
func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	default:
		return 1
	}
}

// differing keeps, of candidates in order that are one fence at one cost, the
// first: what was asked for, else the one of the widest bay.
func differing(passed []Trial) []Trial {
	seen := make(map[[sha256.Size]byte]bool)
	var out []Trial
	for _, t := range passed {
		if seen[t.Fence] {
			continue
		}
		seen[t.Fence] = t.Fence != [sha256.Size]byte{}
		out = append(out, t)
	}
	return out
}

// cheapestFirst orders by cost before overhead; of equals fewer posts come
// first, then the wider bay, then the method as in Methods, then fewer lengths
// of stock.
func cheapestFirst(a, b Candidate) int {
	return cmp.Or(
		a.Totals.Cost.Cmp(b.Totals.Cost),
		cmp.Compare(a.Posts, b.Posts),
		cmp.Compare(b.MaxBay, a.MaxBay),
		cmp.Compare(slices.Index(Methods(), a.Method), slices.Index(Methods(), b.Method)),
		cmp.Compare(len(a.Stock), len(b.Stock)),
		slices.Compare(a.Stock, b.Stock),
	)
}

// refusals groups the trials that do not pass.
func refusals(trials []Trial) []Refusal {
	type group struct{ reason, fields string }
	at := make(map[group]int)
	var all []Refusal
	for _, t := range trials {
		if t.Err == nil {
			continue
		}
		key := group{reason: cmp.Or(t.Err.Meta["check"], t.Err.Reason)}
		violations := distinct(t.Err)
		for _, v := range violations {
			key.fields += v.Field + "\n"
		}
		i, known := at[key]
		if !known {
			i = len(all)
			at[key] = i
			all = append(all, Refusal{Reason: key.reason, First: t.Choice, Violations: violations})
		}
		all[i].Count++
	}
	slices.SortStableFunc(all, func(a, b Refusal) int { return cmp.Compare(b.Count, a.Count) })
	return all
}

// nothingPasses has the violations of the first of each group. Where there is
// more than one group, each says which candidate it is about.
func nothingPasses(trials []Trial, groups []Refusal) error {
	errs := make([]*fault.Error, len(trials))
	for i, t := range trials {
		errs[i] = t.Err
	}
	kind, reason := common(errs, "NO_CANDIDATE_PASSES")
	if len(groups) == 1 && kind == fault.Invalid {
		v := fault.List{}
		for _, violation := range groups[0].Violations {
			v.Add(violation.Field, "%s", violation.Description)
		}
		return v.Err()
	}
	out := fault.New(kind, reason, "none of the %d candidates passes", len(trials))
	for _, g := range groups {
		for _, v := range g.Violations {
			v.Description += " (" + g.First.String() + ")"
			out.Violations = append(out.Violations, v)
		}
	}
	return out
}
