package geojson

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"unicode/utf8"

	"wattle/internal/fault"
)

// members are an object's members, still as text: each part is decoded where
// its path is known, so that every error has one.
type members map[string]json.RawMessage

// given is a member that is there and not null.
func (m members) given(name string) bool { return m[name] != nil && string(m[name]) != "null" }

// object takes a JSON object apart. A name given twice is an error: decoders
// differ in which of the two they believe.
func object(v *fault.List, raw json.RawMessage) (members, bool) {
	if !v.Require(len(raw) > 0 && raw[0] == '{', "", "expected an object, found %s", described(raw)) {
		return nil, false
	}
	before := v.Len()
	decoder := json.NewDecoder(bytes.NewReader(raw))
	_, err := decoder.Token()
	m := members{}
	for err == nil && decoder.More() {
		var name json.Token
		var value json.RawMessage
		if name, err = decoder.Token(); err == nil {
			err = decoder.Decode(&value)
		}
		key, _ := name.(string)
		if m[key] != nil {
			v.Add("", "%s is there twice; expected it once", quoted(key))
		}
		m[key] = value
	}
	v.Require(err == nil, "", "expected an object")
	return m, v.Len() == before
}

// array takes a JSON array apart.
func array(v *fault.List, raw json.RawMessage, of string) ([]json.RawMessage, bool) {
	var elements []json.RawMessage
	ok := len(raw) > 0 && raw[0] == '[' && json.Unmarshal(raw, &elements) == nil
	return elements, v.Require(ok, "", "expected an array of %s, found %s", of, described(raw))
}

// text is a JSON string.
func text(raw json.RawMessage) (string, bool) {
	var s string
	return s, len(raw) > 0 && raw[0] == '"' && json.Unmarshal(raw, &s) == nil
}

// described names a value of the wrong type for a message.
func described(raw json.RawMessage) string {
	switch {
	case len(raw) == 0:
		return "nothing"
	case raw[0] == '{':
		return "an object"
	case raw[0] == '[':
		return "an array"
	default:
		return short(string(raw))
	}
}

func quoted(s string) string { return `"` + short(s) + `"` }

// short is a text that fits into a message.
func short(s string) string {
	const most = 64
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "..."
}

// whole reports whether a text is one JSON value, and says where it is not.
func whole(v *fault.List, text []byte) bool {
	if !utf8.Valid(text) {
		at := 0
		for r, n := utf8.DecodeRune(text); r != utf8.RuneError || n > 1; r, n = utf8.DecodeRune(text[at:]) {
			at += n
		}
		v.Add("", "expected UTF-8 text; byte %d is not", at)
		return false
	}
	err := json.Unmarshal(text, new(json.RawMessage))
	if err == nil {
		return true
	}
	at := 0
	if e, ok := errors.AsType[*json.SyntaxError](err); ok {
		at = min(max(int(e.Offset)-1, 0), len(text)) // Offset counts the byte that is wrong
	}
	before := text[:at]
	line, column := 1+bytes.Count(before, []byte("\n")), at-bytes.LastIndexByte(before, '\n')
	hint := ""
	if notNumber(text, at) {
		hint = "; JSON has no NaN and no Infinity"
	}
	v.Add("", "not JSON at line %d, column %d (byte %d): %v%s", line, column, at, err, hint)
	return false
}

// notNumber reports whether the word around a byte is how some programs write
// what is no number.
func notNumber(text []byte, at int) bool {
	letter := func(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }
	from, to := at, at
	for from > 0 && letter(text[from-1]) {
		from--
	}
	for to < len(text) && letter(text[to]) {
		to++
	}
	return slices.Contains([]string{"nan", "inf", "infinity"}, strings.ToLower(short(string(text[from:to]))))
}
