package render

import (
	"fmt"
	"strings"

	"wattle/internal/takeoff"
)

// writeWork is the labour by tasks: hours of each, what made it longer, and the
// crew's days.
func writeWork(p page, w *takeoff.Work) {
	if w == nil {
		return
	}
	p.line("")
	p.heading("Labour")
	t := newTable("lrlrlr", "task", "quantity", "unit", "rate", "factors", "hours")
	for _, task := range w.Tasks {
		var factors []string
		for _, f := range task.Factors {
			factors = append(factors, strings.TrimPrefix(f.Item, "factor-")+" "+f.Value.Trim(0).String())
		}
		t.row(task.Name, task.Quantity.Trim(0).String(), task.Unit, task.Rate.Trim(0).String(), strings.Join(factors, ", "), task.Hours.String())
	}
	t.row("together", "", "", "", "", w.Hours.String())
	t.write(p)
	p.line("Hours are those of one person. A crew of %d takes %s crew-hours, at %s hours a day %s days.", w.Crew, w.CrewHours(), w.HoursPerDay.Trim(0), w.Days.Trim(0))
}

// writeDelivery is the weight on the truck.
func writeDelivery(p page, d takeoff.Delivery) {
	if d.Pounds.IsZero() {
		return
	}
	text := fmt.Sprintf("The order weighs about %s lb, wood taken as dry.", amount(d.Pounds.String()))
	if len(d.Unweighed) > 0 {
		text += " Not weighed: " + list(d.Unweighed) + "."
	}
	p.line("")
	p.paragraph("", text)
}

// writeMovement says what the boards do after they are hung, in both states.
func writeMovement(p page, m *takeoff.Movement) {
	if m == nil {
		return
	}
	does := "swells by " + m.Change.Inches(3)
	switch {
	case m.Change < 0:
		does = "shrinks by " + (-m.Change).Inches(3)
	case m.Change == 0:
		does = "keeps its width"
	}
	text := fmt.Sprintf("A board of %s, %s, hung at %s of moisture and in service at %s, %s (the %s form). ",
		m.Width.Imperial(), m.Species, m.Installed, m.Service, does, m.Form)
	if m.Capped {
		text += "Moisture above fibre saturation counts as that. "
	}
	text += fmt.Sprintf("Advised gap at least %s. Installed: gaps of %s. In service: ", m.AdvisedGap.Imperial(), m.Gap.Imperial())
	if m.ServiceGap < 0 {
		text += fmt.Sprintf("no gaps; each board pushes by %s, those of the widest face by %s together.", (-m.ServiceGap).Inches(3), m.Push.Inches(3))
	} else {
		text += fmt.Sprintf("gaps of %s.", m.ServiceGap.Inches(3))
	}
	p.line("")
	p.heading("The boards' movement")
	p.paragraph("", text)
}
