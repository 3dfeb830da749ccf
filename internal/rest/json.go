package rest

import (
	"errors"
	"io"
	"strings"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// jsonForm is how messages travel: the protobuf JSON mapping, with values that
// are zero but without messages that are absent; an unknown field is an error.
type jsonForm struct{ *runtime.JSONPb }

func newJSON() jsonForm {
	return jsonForm{&runtime.JSONPb{MarshalOptions: protojson.MarshalOptions{EmitDefaultValues: true}}}
}

// NewDecoder reads all there is: text after the message is an error too.
func (j jsonForm) NewDecoder(r io.Reader) runtime.Decoder {
	return runtime.DecoderFunc(func(v any) error {
		text, err := io.ReadAll(r)
		if err != nil {
			return err
		}
		if len(text) == 0 {
			return io.EOF // which the gateway takes for an empty message
		}
		message, ok := v.(proto.Message)
		if !ok { // a rule whose body is a field that is no message
			return j.Unmarshal(text, v)
		}
		if err := protojson.Unmarshal(text, message); err != nil {
			// Its texts begin with "proto:" and one of two kinds of space.
			_, what, _ := strings.Cut(err.Error(), ":")
			return errors.New("the body cannot be read: " + strings.TrimSpace(what))
		}
		return nil
	})
}

// Marshal gives a file as it is.
func (j jsonForm) Marshal(v any) ([]byte, error) {
	if f, ok := v.(file); ok {
		return f, nil
	}
	return j.JSONPb.Marshal(v)
}

// StreamContentType is that of streams: a JSON object in every line.
func (jsonForm) StreamContentType(any) string { return "application/x-ndjson" }
