package rest

import (
	"context"
	"mime"
	"net/http"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// file is a document as it is, in place of the message that holds it.
type file []byte

// documented is an answer that holds a document.
type documented interface{ GetDocument() *wattlev1.Document }

// fileContent is the answer's document, where the request has alt=media. (A
// call that gives none is refused before it is made; see fill.)
func fileContent(ctx context.Context, answer proto.Message) (any, error) {
	if held, ok := answer.(documented); ok && askedOf(ctx).file {
		return file(held.GetDocument().GetContent()), nil
	}
	return answer, nil
}

func fileHeaders(ctx context.Context, w http.ResponseWriter, answer proto.Message) error {
	if held, ok := answer.(documented); ok && askedOf(ctx).file {
		w.Header().Set("Content-Type", held.GetDocument().GetMediaType())
		// To be saved: shown in place, a drawing would be a page of this origin.
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": held.GetDocument().GetFileName()}))
	}
	return nil
}
