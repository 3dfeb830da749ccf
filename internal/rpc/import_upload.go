package rpc

import (
	"context"
	"crypto/sha256"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
)

// StartImport implements wattle.v1.PriceBookService.
func (s priceBookService) StartImport(ctx context.Context, req *wattlev1.StartImportRequest) (*wattlev1.StartImportResponse, error) {
	header := req.GetHeader()
	in, err := importFromProto(header)
	if err != nil {
		return nil, err
	}
	id, err := s.estimating.StartUpload(ctx, requestKey(ctx, "StartImport", header.GetParent(), header.GetRequestId(), requestHash(header, "request_id")), in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.StartImportResponse{Name: importName(in.Company, id)}, nil
}

// UploadImportPart implements wattle.v1.PriceBookService.
func (s priceBookService) UploadImportPart(ctx context.Context, req *wattlev1.UploadImportPartRequest) (*wattlev1.UploadImportPartResponse, error) {
	company, id := importOf(req.GetName())
	if err := s.estimating.Prices.AddPart(ctx, company, id, int(req.GetPart()), req.GetContent(), s.csv.Bounded().MaxBytes); err != nil {
		return nil, err
	}
	return &wattlev1.UploadImportPartResponse{}, nil
}

// CommitImport implements wattle.v1.PriceBookService.
func (s priceBookService) CommitImport(ctx context.Context, req *wattlev1.CommitImportRequest) (*wattlev1.CommitImportResponse, error) {
	company, id := importOf(req.GetName())
	upload, err := s.estimating.Prices.Upload(ctx, company, id)
	if err != nil {
		return nil, err
	}
	in := upload.Import
	in.DryRun = in.DryRun || req.GetDryRun()
	in.AcceptJumps = in.AcceptJumps || req.GetAcceptJumps()
	in.AcceptZeroPrices = in.AcceptZeroPrices || req.GetAcceptZeroPrices()
	in.AcceptUnitChanges = in.AcceptUnitChanges || req.GetAcceptUnitChanges()
	if base := revisionFromProto(req.BaseRevision); base != nil { //nolint:protogetter // nil says absent
		in.Base = base
	}
	// What was asked for is the header, the file and this call.
	asked := sha256.Sum256(append(upload.Key.Hash[:], canonical(req, "name")...))
	key := requestKey(ctx, "CommitImport", "companies/"+company, upload.Key.RequestID, asked)
	outcome, err := s.estimating.CommitUpload(ctx, key, upload, in, s.csv, func(list *book.PriceList, hash [sha256.Size]byte) error {
		return wholeFile(list, req.GetTrailer(), hash)
	})
	if err != nil {
		return nil, err
	}
	return &wattlev1.CommitImportResponse{Outcome: outcomeToProto(outcome)}, nil
}
