package paper

import "wattle/internal/render"

// crewSheet is what the crew marks and sets posts by. Its pages have heads and
// numbers of their own.
func (p *press) crewSheet(in Input) error {
	r, q, t := in.Request, in.Quote, in.Template
	title := "Crew sheet: " + in.job()
	if t.Title != "" {
		title = t.Title + " - " + in.job()
	}
	sheets, err := render.CrewSheets(r.Site, q.Layout, render.CrewOptions{
		Title: title, Paper: t.Paper, Spec: r.Spec, Cuts: q.Takeoff.Cuts, Measures: t.Measures,
	})
	if err != nil {
		return err
	}
	for _, s := range sheets {
		p.sheet(s, false)
	}
	return nil
}
