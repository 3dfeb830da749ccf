package quote

import (
	"wattle/internal/takeoff"
	"wattle/internal/timber"
)

// What a take-off tells beside its lines: it came with rules version 3, and what
// is not told is left out.

func writeDelivery(c *canon, d takeoff.Delivery) {
	c.unlessEmpty("delivery", func() {
		c.decimalUnlessZero("pounds", d.Pounds)
		if len(d.Unweighed) > 0 {
			c.in("unweighed", '[')
			for _, item := range d.Unweighed {
				c.element(item)
			}
			c.end(']')
		}
	})
}

func readDelivery(t tree) takeoff.Delivery {
	var d takeoff.Delivery
	if t.has("delivery") {
		t = t.at("delivery")
		d.Pounds = t.decimalOrZero("pounds")
		for _, item := range t.allOrNone("unweighed") {
			d.Unweighed = append(d.Unweighed, item.string())
		}
	}
	return d
}

func writeMovement(c *canon, m *takeoff.Movement) {
	if m == nil {
		return
	}
	c.in("movement", '{')
	c.length("advised_gap", m.AdvisedGap)
	c.bool("capped", m.Capped)
	c.length("change", m.Change)
	c.text("form", m.Form)
	c.length("gap", m.Gap)
	c.int("installed", int64(m.Installed))
	c.length("push", m.Push)
	c.int("service", int64(m.Service))
	c.length("service_gap", m.ServiceGap)
	c.text("species", m.Species)
	c.length("width", m.Width)
	c.end('}')
}

func readMovement(t tree) *takeoff.Movement {
	if !t.has("movement") {
		return nil
	}
	t = t.at("movement")
	return &takeoff.Movement{
		Species: t.text("species"), Installed: timber.Moisture(t.int("installed")), Service: timber.Moisture(t.int("service")),
		Form: t.text("form"), Capped: t.bool("capped"), Width: t.length("width"), Change: t.length("change"),
		AdvisedGap: t.length("advised_gap"), Gap: t.length("gap"), ServiceGap: t.length("service_gap"), Push: t.length("push"),
	}
}

func writeWork(c *canon, w *takeoff.Work) {
	if w == nil {
		return
	}
	c.in("work", '{')
	c.int("crew", int64(w.Crew))
	c.decimal("days", w.Days)
	c.decimal("hours", w.Hours)
	c.decimal("hours_per_day", w.HoursPerDay)
	c.in("tasks", '[')
	for _, task := range w.Tasks {
		c.begin('{')
		c.in("factors", '[')
		for _, f := range task.Factors {
			c.begin('{')
			c.text("item", f.Item)
			c.decimal("value", f.Value)
			c.end('}')
		}
		c.end(']')
		c.decimal("hours", task.Hours)
		c.text("item", task.Item)
		c.text("name", task.Name)
		c.decimal("quantity", task.Quantity)
		c.decimal("rate", task.Rate)
		c.text("unit", task.Unit)
		c.end('}')
	}
	c.end(']')
	c.end('}')
}

func readWork(t tree) *takeoff.Work {
	if !t.has("work") {
		return nil
	}
	t = t.at("work")
	w := &takeoff.Work{
		Hours: t.decimal("hours"), Days: t.decimal("days"), Crew: t.int("crew"), HoursPerDay: t.decimal("hours_per_day"),
	}
	for _, x := range t.all("tasks") {
		task := takeoff.Task{
			Name: x.text("name"), Item: x.text("item"), Quantity: x.decimal("quantity"), Unit: x.text("unit"),
			Rate: x.decimal("rate"), Hours: x.decimal("hours"),
		}
		for _, f := range x.all("factors") {
			task.Factors = append(task.Factors, takeoff.Factor{Item: f.text("item"), Value: f.decimal("value")})
		}
		w.Tasks = append(w.Tasks, task)
	}
	return w
}
