package quote

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

func TestSpecDocument(t *testing.T) {
	brief := spec.Spec{Name: "Cedar, cafe\u0301", Height: measure.Must("6 ft"), Items: map[string]string{"cap-4x4": "house cap"}}
	full := brief.WithDefaults()
	document := SpecDocument(brief)
	if !bytes.Equal(document, SpecDocument(full)) {
		t.Error("a spec and the same with its defaults have two documents")
	}
	if text := string(document); !strings.HasPrefix(text, `{"rules_version":"`) || !strings.Contains(text, `"name":"Cedar, café"`) || !strings.Contains(text, `"height":"1828800000"`) {
		t.Errorf("document %s", text)
	}
	read, err := ParseSpecDocument(document)
	full.Name = "Cedar, café" // NFC
	if err != nil || !reflect.DeepEqual(read, full) {
		t.Errorf("read back %+v, %v\nwant %+v", read, err, full)
	}
	if again := SpecDocument(read); !bytes.Equal(again, document) {
		t.Errorf("written again\n%s\nwas\n%s", again, document)
	}
	brief.Height = measure.Must("5 ft")
	if bytes.Equal(SpecDocument(brief), document) {
		t.Error("another height has the same document")
	}
}

func TestSpecDocumentOfOtherRules(t *testing.T) {
	full := spec.Spec{Height: measure.Must("6 ft")}.WithDefaults()
	c := &canon{}
	c.begin('{')
	c.int("rules_version", levelVersion)
	writeSpec(c, full, levelVersion)
	c.end('}')
	read, err := ParseSpecDocument(c.b)
	if err != nil || read.Height != full.Height || !reflect.DeepEqual(read.Slope, levelSpec(full).Slope) {
		t.Errorf("of version %d: %+v, %v", levelVersion, read, err)
	}
	for version, kind := range map[string]fault.Kind{"0": fault.Refused, "1000": fault.Refused, "x": fault.Internal} {
		if _, err := ParseSpecDocument([]byte(`{"rules_version":"` + version + `","spec":{}}`)); err == nil || fault.KindOf(err) != kind {
			t.Errorf("of version %s: %v", version, err)
		}
	}
	for _, text := range []string{"", "{", "{}", "null", `{"rules_version":"2"}`, `{"rules_version":"2","spec":{}}`, `{"rules_version":2,"spec":[]}`} {
		if _, err := ParseSpecDocument([]byte(text)); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}
