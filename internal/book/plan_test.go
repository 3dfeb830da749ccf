package book

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
)

func TestPlan(t *testing.T) {
	now := entries(
		"post 2026-01-01#1 10.00",
		"post 2026-06-01#1 10.50",
		"rail 2026-01-01#1 5.00",
		"rail 2026-01-01#2 6.00",
		"cap 2026-01-01#1 2.00",
		"cap 2026-09-01#1 2.20",
		"old 2026-01-01#1 withdrawn",
		"rail/acre 2026-01-01#1 5.80",
		"rail@west 2026-01-01#1 inherit",
	)
	for _, c := range []struct {
		name string
		mode Mode
		in   []string
		want []string // "KIND PERCENT: OLD -> NEW"
		same int
	}{
		{"equal to the current state", Patch, []string{"post 2026-01-01 10.0", "rail 2026-01-01 6"}, nil, 2},
		{"what was superseded is a change again", Patch, []string{"rail 2026-01-01 5.00"}, []string{
			"repriced -16.67: rail 2026-01-01#2 6.00 -> rail 2026-01-01 5.00"}, 0},
		{"new, and a new price from a date", Patch, []string{"gate 2026-01-01 99", "post 2026-03-01 11.00"}, []string{
			"added 0: - -> gate 2026-01-01 99",
			"repriced 10.00: post 2026-01-01#1 10.00 -> post 2026-03-01 11.00"}, 0},
		{"one step after another within a file", Patch, []string{"post 2026-08-01 12.60", "post 2026-07-01 12.00"}, []string{
			"repriced 14.29: post 2026-06-01#1 10.50 -> post 2026-07-01 12.00",
			"repriced 5.00: post 2026-07-01 12.00 -> post 2026-08-01 12.60"}, 0},
		{"before everything known", Patch, []string{"post 2025-01-01 9.00"}, []string{"added 0: - -> post 2025-01-01 9.00"}, 0},
		{"the same price from another date", Patch, []string{"post 2026-02-01 10.00"}, []string{
			"confirmed 0: post 2026-01-01#1 10.00 -> post 2026-02-01 10.00"}, 0},
		{"a later break", Patch, []string{"post 2026-02-01 10.00,50:9.00"}, []string{
			"altered 0: post 2026-01-01#1 10.00 -> post 2026-02-01 10.00,50:9.00"}, 0},
		{"withdrawn, back again, inherited", Patch, []string{"cap 2026-02-01 withdrawn", "old 2026-02-01 4.00", "post 2026-02-01 inherit"}, []string{
			"withdrawn 0: cap 2026-01-01#1 2.00 -> cap 2026-02-01 withdrawn",
			"added 0: old 2026-01-01#1 withdrawn -> old 2026-02-01 4.00",
			"altered 0: post 2026-01-01#1 10.00 -> post 2026-02-01 inherit"}, 0},
		// From 2026-07-01 on: cap, and what was announced for it later. Not the
		// other supplier's list, not the other office's, not what is gone.
		{"replace", Replace, []string{"post 2026-01-01 10.00", "rail 2026-07-01 6.30"}, []string{
			"withdrawn 0: cap 2026-01-01#1 2.00 -> cap 2026-07-01 withdrawn",
			"withdrawn 0: cap 2026-09-01#1 2.20 -> cap 2026-09-01 withdrawn",
			"repriced 5.00: rail 2026-01-01#2 6.00 -> rail 2026-07-01 6.30"}, 1},
		{"replace before the first price", Replace, []string{"post 2025-01-01 10.00"}, []string{
			"withdrawn 0: cap 2026-01-01#1 2.00 -> cap 2026-01-01 withdrawn",
			"withdrawn 0: cap 2026-09-01#1 2.20 -> cap 2026-09-01 withdrawn",
			"added 0: - -> post 2025-01-01 10.00",
			"withdrawn 0: rail 2026-01-01#2 6.00 -> rail 2026-01-01 withdrawn"}, 0},
		{"replace one supplier's list", Replace, []string{"post/acre 2026-02-01 9.90"}, []string{
			"added 0: - -> post/acre 2026-02-01 9.90",
			"withdrawn 0: rail/acre 2026-01-01#1 5.80 -> rail/acre 2026-02-01 withdrawn"}, 0},
		{"replace leaves what inherits", Replace, []string{"post@west 2026-02-01 9.90"}, []string{
			"added 0: - -> post@west 2026-02-01 9.90"}, 0},
	} {
		changes, same := Plan(now, Import{Mode: c.mode, Entries: entries(c.in...)})
		var got []string
		for _, ch := range changes {
			got = append(got, fmt.Sprintf("%s %v: %s -> %s", ch.Kind, ch.Percent, line(ch.Old), line(ch.New)))
		}
		if !slices.Equal(got, c.want) || same != c.same {
			t.Errorf("%s: %d unchanged and\n  %s\nwant %d and\n  %s", c.name, same, strings.Join(got, "\n  "), c.same, strings.Join(c.want, "\n  "))
		}
	}
}

// apply adds what an import changes to a history, as the next revision.
func apply(history []Entry, r Revision, in Import) []Entry {
	changes, _ := Plan(history, in)
	for _, c := range changes {
		e := *c.New
		e.Revision = r
		history = append(history, e)
	}
	return history
}

func TestPlanLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var history []Entry
		for r := range rapid.IntRange(0, 4).Draw(t, "imports") {
			history = apply(history, Revision(r+1), anyImport(t))
		}
		in := anyImport(t)
		changes, unchanged := Plan(history, in)
		shuffled := Import{Mode: in.Mode, Entries: rapid.Permutation(in.Entries).Draw(t, "shuffled")}
		if again, _ := Plan(rapid.Permutation(history).Draw(t, "history"), shuffled); !reflect.DeepEqual(again, changes) {
			t.Fatalf("the order of rows changed the plan: %v, %v", changes, again)
		}
		removed := 0
		for _, c := range changes {
			if c.Kind == Removed {
				removed++
			}
		}
		if n := len(changes) + unchanged; n < len(in.Entries) || n > len(in.Entries)+removed {
			t.Fatalf("%d entries became %d changes and %d unchanged", len(in.Entries), len(changes), unchanged)
		}
		after := apply(slices.Clone(history), 9, in)
		// The same list again changes nothing.
		if twice, n := Plan(after, in); len(twice) != 0 || n != len(in.Entries) {
			t.Fatalf("the same list again: %v, %d unchanged", twice, n)
		}
		// Each entry of the list holds on its date, and as a patch the changes
		// are the same: what an import did can be told from its rows.
		for _, e := range in.Entries {
			e = e.normal("")
			if got := timelines(after)[e.series()].at(e.Effective); got == nil || !got.SameContent(e) {
				t.Fatalf("imported %v, holds %v", e, got)
			}
		}
		patch := Import{Mode: Patch}
		for _, c := range changes {
			patch.Entries = append(patch.Entries, *c.New)
		}
		if again, _ := Plan(history, patch); !reflect.DeepEqual(again, changes) && len(changes) > 0 {
			t.Fatalf("as a patch: %v, was %v", again, changes)
		}
		// What a replacement does not mention has no price from its date on.
		if in.Mode != Replace {
			return
		}
		mentioned, latest := map[series]bool{}, map[list]Entry{}
		for _, e := range in.Entries {
			e = e.normal("")
			mentioned[e.series()] = true
			if of := (list{e.Office, e.Supplier}); latest[of].Item == "" || e.Effective.Compare(latest[of].Effective) > 0 {
				latest[of] = e
			}
		}
		for s, line := range timelines(after) {
			last, ok := latest[list{s.office, s.supplier}]
			if !ok || mentioned[s] {
				continue
			}
			for _, e := range line {
				if e.State == Priced && e.Effective.Compare(last.Effective) >= 0 {
					t.Fatalf("%v still holds after %v", e, in)
				}
			}
			if e := line.inForce(last.Effective); e != nil && e.State == Priced {
				t.Fatalf("%v still holds after %v", e, in)
			}
		}
	})
}

func anyImport(t *rapid.T) Import {
	return Import{
		Mode:    rapid.SampledFrom([]Mode{Patch, Replace}).Draw(t, "mode"),
		Entries: rapid.SliceOfNDistinct(rapid.Custom(anyEntry), 1, 6, Entry.slot).Draw(t, "entries"),
	}
}

func TestValidateListsEverything(t *testing.T) {
	good := Import{Mode: Patch, Entries: entries("post 2026-01-01 10.00,5:9", "post 2026-02-01 withdrawn")}
	if err := good.Validate(); err != nil {
		t.Errorf("good: %v", err)
	}
	bad := Import{Mode: "merge", Entries: entries("post 2026-01-01 10.00,5:9,5:0", "post 2026-01-01 10.00", "rail 2026-01-01 6", "cap 2026-01-01 2", "gate 2026-01-01 1")}
	bad.Entries[2].State = "sold"
	bad.Entries[3].State, bad.Entries[3].Item, bad.Entries[3].Supplier = Withdrawn, "", " x"
	bad.Entries[4].Currency, bad.Entries[4].Unit, bad.Entries[4].Breaks, bad.Entries[4].Effective = "usd", "", nil, bad.Entries[4].Effective.AddDays(-99999)
	err := bad.Validate()
	var got []string
	if f, ok := errors.AsType[*fault.Error](err); ok {
		for _, v := range f.Violations {
			got = append(got, v.Field)
		}
	}
	want := []string{
		"mode", "entries[0].breaks[2].price", "entries[0].breaks[2].min_quantity", "entries[1]", "entries[2].state",
		"entries[3].item", "entries[3].supplier", "entries[3].breaks",
		"entries[4].effective", "entries[4].currency", "entries[4].unit", "entries[4].breaks",
	}
	if !slices.Equal(got, want) {
		t.Errorf("violations\n%v\nwant\n%v\n%v", got, want, err)
	}
	if err := (Import{Mode: Patch}).Validate(); fault.KindOf(err) != fault.Invalid {
		t.Errorf("an empty list: %v", err)
	}
}
