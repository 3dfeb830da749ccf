package quote

import (
	"wattle/internal/fault"
	"wattle/internal/spec"
)

// SpecDocument is the canonical document of a spec by itself, every default
// filled: {"rules_version":...,"spec":...}, the latter as in the document of a
// quote by this program's rules. Equal specs have equal documents.
func SpecDocument(s spec.Spec) []byte {
	s = Request{Spec: s.WithDefaults()}.Normalised().Spec
	c := &canon{b: make([]byte, 0, 4<<10)}
	c.begin('{')
	c.int("rules_version", RulesVersion)
	writeSpec(c, s, RulesVersion)
	c.end('}')
	return c.b
}

// ParseSpecDocument reads what SpecDocument wrote, under the rules it was
// written by; a document of rules that this program cannot run is Refused
// (RULES_UNSUPPORTED).
func ParseSpecDocument(document []byte) (spec.Spec, error) {
	t, err := parseTree(document)
	if err != nil {
		return spec.Spec{}, err
	}
	rules := t.int("rules_version")
	if *t.err == nil && (rules < MinRulesVersion || rules > RulesVersion) {
		return spec.Spec{}, fault.New(fault.Refused, "RULES_UNSUPPORTED",
			"the spec was saved by rules version %d; this program can run %d to %d", rules, MinRulesVersion, RulesVersion)
	}
	s := readSpec(t.at("spec"), rules)
	return s, *t.err
}
