// Package resttest makes the HTTP request that an RPC's rule asks for, so that a test
// can call every RPC over HTTP as it does over gRPC, without naming one.
package resttest

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"strings"
	"sync"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
)

// Rule is how an RPC is called over HTTP: a method and a template of its path,
// such as /v1/{name=companies/*/quotes/*}:replay.
type Rule struct {
	// RPC is its full name, such as wattle.v1.QuoteService.ReplayQuote.
	RPC string
	// Method is HTTP's.
	Method string
	Path   string
	// Body is * where the body is the whole request, a field's name where it is
	// that field, and empty where there is none.
	Body string
}

// Rules are the API's, in the order of api/wattle/v1/http.yaml; an RPC may have
// several.
var Rules = sync.OnceValues(func() ([]Rule, error) {
	type rule struct {
		Selector, Get, Put, Post, Delete, Patch, Body string
		AdditionalBindings                            []map[string]string `yaml:"additional_bindings"`
	}
	var file struct{ HTTP struct{ Rules []rule } }
	if err := yaml.Unmarshal(wattlev1.HTTPRules, &file); err != nil {
		return nil, err
	}
	var out []Rule
	for _, r := range file.HTTP.Rules {
		bindings := append([]map[string]string{{"get": r.Get, "put": r.Put, "post": r.Post, "delete": r.Delete, "patch": r.Patch, "body": r.Body}}, r.AdditionalBindings...)
		for _, binding := range bindings {
			for _, method := range []string{http.MethodGet, http.MethodPut, http.MethodPost, http.MethodDelete, http.MethodPatch} {
				if p := binding[strings.ToLower(method)]; p != "" {
					out = append(out, Rule{r.Selector, method, p, binding["body"]})
				}
			}
		}
	}
	return out, nil
})

// variable is a part of a path that a field fills: {name} or {name=pattern}.
var variable = regexp.MustCompile(`\{([a-z0-9_.]+)(?:=([^}]*))?\}`)

// Fields are the fields that a rule's path holds, each with the pattern of its
// value, such as companies/*.
func (r Rule) Fields() map[string]string {
	fields := map[string]string{}
	for _, m := range variable.FindAllStringSubmatch(r.Path, -1) {
		fields[m[1]] = m[2]
		if m[2] == "" {
			fields[m[1]] = "*"
		}
	}
	return fields
}

// Request is the request that calls an RPC with a message, by the first of its
// rules whose path can hold what the message says; base is such as
// http://127.0.0.1:7454.
func Request(ctx context.Context, base string, rpc protoreflect.FullName, message proto.Message) (*http.Request, error) {
	rules, err := Rules()
	if err != nil {
		return nil, err
	}
	for _, r := range rules {
		if r.RPC == string(rpc) && r.holds(message) {
			return r.Request(ctx, base, message)
		}
	}
	return nil, fmt.Errorf("no rule of %s can hold this request", rpc)
}

// Name fills the fields that the path of an RPC's first rule holds, where they
// are empty, with names that no resource can have.
func Name(rpc protoreflect.FullName, message proto.Message) error {
	rules, err := Rules()
	if err != nil {
		return err
	}
	for _, r := range rules {
		if r.RPC != string(rpc) {
			continue
		}
		for field, pattern := range r.Fields() {
			if textOf(message, field) == "" {
				setText(message, field, strings.ReplaceAll(pattern, "*", "!"))
			}
		}
		return nil
	}
	return fmt.Errorf("%s has no rule", rpc)
}

func (r Rule) holds(message proto.Message) bool {
	for field, pattern := range r.Fields() {
		if ok, err := path.Match(pattern, textOf(message, field)); err != nil || !ok {
			return false
		}
	}
	return true
}

// Request is the request that a rule makes of a message.
func (r Rule) Request(ctx context.Context, base string, message proto.Message) (*http.Request, error) {
	address := base + variable.ReplaceAllStringFunc(r.Path, func(v string) string {
		parts := strings.Split(textOf(message, variable.FindStringSubmatch(v)[1]), "/")
		for i := range parts {
			parts[i] = url.PathEscape(parts[i])
		}
		return strings.Join(parts, "/")
	})
	var body []byte
	switch r.Body {
	case "":
	case "*":
		var err error
		if body, err = protojson.Marshal(message); err != nil {
			return nil, err
		}
	default:
		m := message.ProtoReflect()
		var err error
		if body, err = protojson.Marshal(m.Get(m.Descriptor().Fields().ByName(protoreflect.Name(r.Body))).Message().Interface()); err != nil {
			return nil, err
		}
	}
	if r.Body != "*" {
		query := url.Values{}
		fillQuery(query, "", message.ProtoReflect(), r.Fields(), r.Body)
		if len(query) > 0 {
			address += "?" + query.Encode()
		}
	}
	request, err := http.NewRequestWithContext(ctx, r.Method, address, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	if len(body) > 0 {
		request.Header.Set("Content-Type", "application/json")
	}
	return request, nil
}

// textOf is the text of a field of a message, by a path with dots.
func textOf(message proto.Message, field string) string {
	m := message.ProtoReflect()
	for name := range strings.SplitSeq(field, ".") {
		f := m.Descriptor().Fields().ByName(protoreflect.Name(name))
		if f == nil {
			return ""
		}
		if f.Message() == nil {
			return m.Get(f).String()
		}
		m = m.Get(f).Message()
	}
	return ""
}

func setText(message proto.Message, field, text string) {
	m := message.ProtoReflect()
	parts := strings.Split(field, ".")
	for _, name := range parts[:len(parts)-1] {
		m = m.Mutable(m.Descriptor().Fields().ByName(protoreflect.Name(name))).Message()
	}
	m.Set(m.Descriptor().Fields().ByName(protoreflect.Name(parts[len(parts)-1])), protoreflect.ValueOfString(text))
}

// fillQuery adds what a message holds to a query, by JSON names, without what
// the path or the body has.
func fillQuery(query url.Values, prefix string, m protoreflect.Message, inPath map[string]string, body string) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		_, held := inPath[string(f.Name())]
		switch {
		case held || string(f.Name()) == body:
		case f.IsList():
			for i := range v.List().Len() {
				query.Add(prefix+f.JSONName(), queryText(f, v.List().Get(i)))
			}
		case f.Message() != nil && f.Message().ParentFile().Package() == "google.protobuf":
			query.Set(prefix+f.JSONName(), wellKnownText(v.Message().Interface()))
		case f.Message() != nil:
			fillQuery(query, prefix+f.JSONName()+".", v.Message(), nil, "")
		default:
			query.Set(prefix+f.JSONName(), queryText(f, v))
		}
		return true
	})
}

// wellKnownText is a time stamp, a field mask or the like, as its JSON text.
func wellKnownText(m proto.Message) string {
	text, err := protojson.Marshal(m)
	if err != nil {
		return ""
	}
	return strings.Trim(string(text), `"`)
}

func queryText(f protoreflect.FieldDescriptor, v protoreflect.Value) string {
	switch f.Kind() {
	case protoreflect.EnumKind:
		if named := f.Enum().Values().ByNumber(v.Enum()); named != nil {
			return string(named.Name())
		}
		return fmt.Sprint(v.Enum())
	case protoreflect.BytesKind:
		return base64.StdEncoding.EncodeToString(v.Bytes())
	default:
		return v.String()
	}
}
