package check

import (
	"errors"
	"strings"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/takeoff"
)

// Job is every check that a laid out job gives a reason for: what its site's
// conditions tell of (wind, a pool, a yard, sight triangles, notice), old posts
// that stay, rails and frost. on is the day whose design values hold. Where the
// job says nothing, nothing is asked, so that an answer is about this job.
//
// Fields of results are paths of the request.
func Job(j takeoff.Job, on civil.Date) []Result {
	c := collector{job: j, on: on}
	c.wind()
	c.pool()
	c.town()
	c.notice()
	c.wood()
	return c.all
}

// collector gathers results.
type collector struct {
	job takeoff.Job
	on  civil.Date
	all []Result
}

// add adds results, under the paths of the request that their fields stand for.
// err is what the check of that code refused of its input, which was sound where
// it stood.
func (c *collector) add(code string, err error, results ...Result) {
	if err != nil {
		results = []Result{result(code, NotEnoughData, "", "This cannot be checked here: "+strings.Join(reasons(err), "; ")+".")}
	}
	for _, r := range results {
		r.Field = requestPath(r.Code, r.Field)
		c.all = append(c.all, r)
	}
}

// post is a post that most of the fence stands on: the first new one of the
// lightest role, a terminal one where there is no line post. Nil where all are
// old.
func (c *collector) post() *layout.Post {
	var found *layout.Post
	for i := range c.job.Layout.Posts {
		p := &c.job.Layout.Posts[i]
		if !p.Existing && (found == nil || p.Role < found.Role) {
			found = p
		}
	}
	return found
}

// reasons are the violations of a refusal in words.
func reasons(err error) []string {
	refused, ok := errors.AsType[*fault.Error](err)
	if !ok || len(refused.Violations) == 0 {
		return []string{err.Error()}
	}
	var all []string
	for _, v := range refused.Violations {
		all = append(all, strings.ReplaceAll(v.Field, "_", " ")+": "+v.Description)
	}
	return all
}

// wood is what reveals, old posts, rails and frost give reason for.
func (c *collector) wood() {
	s, l, k := c.job.Spec, c.job.Layout, c.job.Conditions
	if s.HasRails() && (*s.Rails.TopReveal > MaxReveal || *s.Rails.BottomReveal > MaxReveal) {
		c.add(BoardReveal, nil, Reveal(*s.Rails.TopReveal, *s.Rails.BottomReveal, MaxReveal))
	}
	old := 0
	for _, p := range l.Posts {
		if p.Existing {
			old++
		}
	}
	if old > 0 {
		c.add(ReusedPosts, nil, Reused(old))
	}
	if k.RailSpan > 0 && s.HasRails() {
		c.add(RailSpan, nil, Span(widestBay(l.Bays), &k.RailSpan))
	}
	if frost := s.Holes.FrostDepth; frost > 0 {
		if p := c.post(); p != nil {
			c.add(FrostDepth, nil, Frost("bottom of the hole", &p.Hole.Depth, &frost))
		}
	}
}
