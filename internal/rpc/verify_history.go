package rpc

import (
	"encoding/hex"
	"strings"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

var problemKinds = pairsOf(map[wattlev1.VerifyHistoryResponse_Problem_Kind]book.ProblemKind{
	wattlev1.VerifyHistoryResponse_Problem_KIND_ROW_CONTENT:      book.RowContent,
	wattlev1.VerifyHistoryResponse_Problem_KIND_MISSING_ROW:      book.MissingRow,
	wattlev1.VerifyHistoryResponse_Problem_KIND_ADDED_ROW:        book.AddedRow,
	wattlev1.VerifyHistoryResponse_Problem_KIND_MISSING_REVISION: book.MissingRevision,
	wattlev1.VerifyHistoryResponse_Problem_KIND_CHAIN:            book.BadChain,
	wattlev1.VerifyHistoryResponse_Problem_KIND_INDEX:            book.BadIndex,
	wattlev1.VerifyHistoryResponse_Problem_KIND_HEAD:             book.BadHead,
	wattlev1.VerifyHistoryResponse_Problem_KIND_EXPECTED:         book.Unexpected,
	wattlev1.VerifyHistoryResponse_Problem_KIND_QUOTE:            book.Unseen,
})

// VerifyHistory implements wattle.v1.PriceBookService.
func (s priceBookService) VerifyHistory(req *wattlev1.VerifyHistoryRequest, stream grpc.ServerStreamingServer[wattlev1.VerifyHistoryResponse]) error {
	v := &fault.List{}
	var expected []book.Head
	for i, e := range req.GetExpected() {
		head := book.Head{Revision: book.Revision(e.GetRevision())}
		n, err := hex.Decode(head.Hash[:], []byte(strings.ToLower(e.GetHash()))[:min(len(e.GetHash()), 2*len(head.Hash))])
		v.At("expected").Index(i).Require(err == nil && n == len(head.Hash), "hash", "expected a SHA-256 in hexadecimal, found %q", e.GetHash())
		expected = append(expected, head)
	}
	if err := v.Err(); err != nil {
		return err
	}
	report, err := s.estimating.VerifyHistory(stream.Context(), companyOf(req.GetParent()), expected, func(p estimating.VerifyProgress) error {
		return stream.Send(&wattlev1.VerifyHistoryResponse{Part: &wattlev1.VerifyHistoryResponse_Progress_{
			Progress: &wattlev1.VerifyHistoryResponse_Progress{
				Revision: int64(p.Revision), NewestRevision: int64(p.Newest), Entries: p.Entries, TotalEntries: p.Total,
			}}})
	})
	if err != nil {
		return err
	}
	return stream.Send(&wattlev1.VerifyHistoryResponse{Part: &wattlev1.VerifyHistoryResponse_Report_{Report: reportToProto(report)}})
}

func reportToProto(r book.Report) *wattlev1.VerifyHistoryResponse_Report {
	p := &wattlev1.VerifyHistoryResponse_Report{
		Intact: r.Intact(), Revision: int64(r.Head.Revision), HeadHash: hex.EncodeToString(r.Head.Hash[:]),
		Entries: r.Entries, Quotes: r.Quotes, FirstBadRevision: int64(r.FirstBad), ProblemCount: int64(r.Count),
	}
	for _, x := range r.Problems {
		p.Problems = append(p.Problems, &wattlev1.VerifyHistoryResponse_Problem{
			Kind: problemKinds.wire[x.Kind], Revision: int64(x.Revision), Text: x.Text,
		})
	}
	return p
}
