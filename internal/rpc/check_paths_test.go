package rpc

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/check"
)

// What a check says it is about is a field of the request that asked.
func TestCheckFieldsAreOfTheRequest(t *testing.T) {
	for _, path := range check.RequestPaths() {
		at := (&wattlev1.CreateQuoteRequest{}).ProtoReflect().Descriptor()
		for name := range strings.SplitSeq(path, ".") {
			bare, _, indexed := strings.Cut(name, "[")
			if at == nil {
				t.Errorf("%s: nothing is below the field before %s", path, name)
				break
			}
			field := at.Fields().ByName(protoreflect.Name(bare))
			if field == nil || indexed && !field.IsList() {
				t.Errorf("%s: %s has no %s", path, at.FullName(), name)
				break
			}
			at = field.Message()
		}
	}
	if n := len(check.RequestPaths()); n < 30 {
		t.Errorf("only %d paths", n)
	}
}
