// Package check holds advisory checks and cautions. They change no number: an
// estimate is no engineer's design, and each says which local rule or licensed
// person decides.
package check

import (
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// Always is what every estimate says whatever the job, and what wood and boards
// add to it: safety, and what only
// the owner and the town can answer. Whoever hands an estimate out adds it to
// the cautions of the layout and the take-off. The slice is the caller's own.
func Always(s spec.Spec) []layout.Caution {
	all := []layout.Caution{
		{Code: "locate-utilities", Text: "Have buried utilities located before digging; the locating service says how many working days ahead it needs notice."},
		{Code: "confirm-boundary", Text: "Confirm the property boundary before setting posts; the measurements given here do not decide where it runs."},
		{Code: "check-permits", Text: "Check the town's permit, height and setback rules and any owners' association rules before ordering."},
		{Code: "dust-and-eyes", Text: "Wear eye protection, and a dust mask when cutting wood or mixing concrete."},
	}
	if s.HasBoards() || s.HasRails() || s.Posts.Size.Wood() || s.Posts.TerminalSize.Wood() {
		all = append(all, layout.Caution{Code: "treated-wood", Text: "Handle treated wood with gloves, do not burn off-cuts, and use fasteners rated for it."})
	}
	if s.HasBoards() {
		all = append(all, layout.Caution{Code: "rip-on-table-saw", Text: "Rip narrow boards on a guarded table saw rather than free-hand."})
	}
	return all
}
