package takeoff

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// slatMesh is the least mesh that slats go into (from memory).
const slatMesh = measure.Inch * 7 / 4

func checkChainLink(s *spec.Spec, v *fault.List) {
	d, at := s.Details, v.At("details")
	room := s.Height - value(s.GroundClearance)
	high := d.Length("fabric_height")
	at.Require(room <= 0 || high <= room, "fabric_height", "%s is more than the height leaves over the ground clearance, %s", high.Imperial(), room.Imperial())
	at.Require(!d.On("slats") || d.Length("mesh") >= slatMesh, "slats", "slats need a mesh of at least %s, found %s", slatMesh.Imperial(), d.Length("mesh").Imperial())
	arms := d["barb_arms"] != edgeNone
	at.Require(!arms || d["top"] != edgeNone, "barb_arms", "arms need a rail or a tension wire to hold the top of the fabric under them; found top none")
	at.Require(arms || d.Count("barb_strands") == 0, "barb_strands", "strands need arms; expected barb_arms single or double")
	at.Require(!arms || d.Count("barb_strands") > 0, "barb_strands", "arms without wire; expected 1 strand or more")
	at.Require(d.Section("rail_size").Kind() == section.Pipe, "rail_size", "rails are pipe; expected one such as 1.66od, found %q", d["rail_size"])
	pipe := func(field string, size section.Section) {
		v.At("posts").Require(size == "" || !size.Known() || size.Kind() == section.Pipe, field, "the bands and caps of chain link go around pipe; expected one such as 2.375od, found %q", size)
	}
	pipe("size", s.Posts.Size)
	if s.Posts.TerminalSize != s.Posts.Size {
		pipe("terminal_size", s.Posts.TerminalSize)
	}
	pipe("gate_size", s.Posts.GateSize)
	goesThrough(s, v)
}

// goesThrough notes what only fences have that are hung bay by bay: fabric and
// wire pass the posts, and carry no boards.
func goesThrough(s *spec.Spec, v *fault.List) {
	title := s.Family.Title()
	v.At("layout").Require(s.Layout.Hang == spec.Free, "hang", "%s runs on past its posts; expected %s, found %s", title, spec.Free, s.Layout.Hang)
	checkBare(s, v, "cap_board", "cap board")
	checkBare(s, v, "kick_board", "kick board")
	fill := s.Slope.Fill
	v.At("slope").Require(fill != spec.LongerBoards && fill != spec.KickBoard, "fill", "%s has no boards to fill a gap with; expected %s or %s, found %s", title, spec.LeaveOpen, spec.Refuse, fill)
}
