package render

import (
	"slices"
	"strconv"

	"wattle/internal/quote"
)

// shared is texts with the options that each is about.
type shared struct {
	texts []string
	about map[string][]int
}

func (s *shared) add(option int, text string) {
	if s.about == nil {
		s.about = make(map[string][]int)
	}
	if s.about[text] == nil {
		s.texts = append(s.texts, text)
	}
	if !slices.Contains(s.about[text], option) {
		s.about[text] = append(s.about[text], option)
	}
}

func (s *shared) write(p page, heading string, all []quote.Option) {
	if len(s.texts) == 0 {
		return
	}
	standing := 0
	for _, o := range all {
		if o.Err == nil {
			standing++
		}
	}
	p.line("")
	p.heading(heading)
	for _, text := range s.texts {
		var numbers []string
		for _, i := range s.about[text] {
			numbers = append(numbers, strconv.Itoa(i+1))
		}
		of := "Option " + list(numbers)
		switch n := len(numbers); {
		case n == standing:
			of = "All"
		case n > 1:
			of = "Options " + list(numbers)
		}
		p.paragraph("* ", of+": "+text)
	}
}
