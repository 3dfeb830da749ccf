package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
)

type officeService struct{ estimating *estimating.Service }

// CreateCompany implements wattle.v1.OfficeService.
func (s officeService) CreateCompany(ctx context.Context, req *wattlev1.CreateCompanyRequest) (*wattlev1.CreateCompanyResponse, error) {
	key := requestKey(ctx, "CreateCompany", req.GetCompanyId(), req.GetRequestId(), requestHash(req, "request_id"))
	company, first, secret, err := s.estimating.CreateCompany(ctx, key, req.GetTitle(), req.GetTimeZone())
	if err != nil {
		return nil, err
	}
	return &wattlev1.CreateCompanyResponse{Company: companyToProto(company), Key: keyToProto(first), Secret: secret}, nil
}

// ListCompanies implements wattle.v1.OfficeService. A page token holds the last
// id given, as in the other lists here.
func (s officeService) ListCompanies(ctx context.Context, req *wattlev1.ListCompaniesRequest) (*wattlev1.ListCompaniesResponse, error) {
	answer := &wattlev1.ListCompaniesResponse{}
	list, next, err := page(req, func(after string, limit int) ([]estimating.Company, error) {
		return s.estimating.ListCompanies(ctx, after, limit)
	}, func(c estimating.Company) string { return c.ID })
	for _, c := range list {
		answer.Companies = append(answer.Companies, companyToProto(c))
	}
	answer.NextPageToken = next
	return answer, err
}

// GetCompany implements wattle.v1.OfficeService.
func (s officeService) GetCompany(ctx context.Context, req *wattlev1.GetCompanyRequest) (*wattlev1.GetCompanyResponse, error) {
	c, err := s.estimating.GetCompany(ctx, companyOf(req.GetName()))
	return &wattlev1.GetCompanyResponse{Company: companyToProto(c)}, err
}

// UpdateCompany implements wattle.v1.OfficeService.
func (s officeService) UpdateCompany(ctx context.Context, req *wattlev1.UpdateCompanyRequest) (*wattlev1.UpdateCompanyResponse, error) {
	v := &fault.List{}
	paths := readMask(v, req.GetUpdateMask(), "title", "quotes_from_above")
	version := readEtag(v, "company.etag", req.GetCompany().GetEtag())
	if err := v.Err(); err != nil {
		return nil, err
	}
	key := requestKey(ctx, "UpdateCompany", req.GetCompany().GetName(), req.GetRequestId(), requestHash(req, "request_id"))
	c, err := s.estimating.UpdateCompany(ctx, key, version, func(c *estimating.Company) {
		if paths["title"] {
			c.Title = req.GetCompany().GetTitle()
		}
		if paths["quotes_from_above"] {
			c.QuotesFromAbove = req.GetCompany().GetQuotesFromAbove()
		}
	})
	return &wattlev1.UpdateCompanyResponse{Company: companyToProto(c)}, err
}

// CreateOffice implements wattle.v1.OfficeService.
func (s officeService) CreateOffice(ctx context.Context, req *wattlev1.CreateOfficeRequest) (*wattlev1.CreateOfficeResponse, error) {
	v := &fault.List{}
	o := office.Office{
		ID: req.GetOfficeId(), Parent: req.GetOffice().GetParentOffice(), Title: req.GetOffice().GetTitle(),
		Settings: settingsFromProto(v.At("office.settings"), req.GetOffice().GetSettings()),
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	key := requestKey(ctx, "CreateOffice", req.GetParent(), req.GetRequestId(), requestHash(req, "request_id"))
	o, err := s.estimating.CreateOffice(ctx, key, o)
	return &wattlev1.CreateOfficeResponse{Office: officeToProto(ctx, key.Company, o)}, err
}

// GetOffice implements wattle.v1.OfficeService.
func (s officeService) GetOffice(ctx context.Context, req *wattlev1.GetOfficeRequest) (*wattlev1.GetOfficeResponse, error) {
	company, id := officeOf(req.GetName())
	o, err := s.estimating.GetOffice(ctx, company, id)
	return &wattlev1.GetOfficeResponse{Office: officeToProto(ctx, company, o)}, err
}

// ListOffices implements wattle.v1.OfficeService.
func (s officeService) ListOffices(ctx context.Context, req *wattlev1.ListOfficesRequest) (*wattlev1.ListOfficesResponse, error) {
	company := companyOf(req.GetParent())
	answer := &wattlev1.ListOfficesResponse{}
	list, next, err := page(req, func(after string, limit int) ([]office.Office, error) {
		return s.estimating.ListOffices(ctx, company, after, limit)
	}, func(o office.Office) string { return o.ID })
	for _, o := range list {
		answer.Offices = append(answer.Offices, officeToProto(ctx, company, o))
	}
	answer.NextPageToken = next
	return answer, err
}

// UpdateOffice implements wattle.v1.OfficeService.
func (s officeService) UpdateOffice(ctx context.Context, req *wattlev1.UpdateOfficeRequest) (*wattlev1.UpdateOfficeResponse, error) {
	company, id := officeOf(req.GetOffice().GetName())
	v := &fault.List{}
	change := readOfficeChange(v, req)
	version := readEtag(v, "office.etag", req.GetOffice().GetEtag())
	v.Require(id != "", "office.name", "expected companies/{company}/offices/{office}")
	if err := v.Err(); err != nil {
		return nil, err
	}
	key := requestKey(ctx, "UpdateOffice", company, req.GetRequestId(), requestHash(req, "request_id"))
	o, err := s.estimating.UpdateOffice(ctx, key, id, version, change)
	return &wattlev1.UpdateOfficeResponse{Office: officeToProto(ctx, company, o)}, err
}

// RemoveOffice implements wattle.v1.OfficeService.
func (s officeService) RemoveOffice(ctx context.Context, req *wattlev1.RemoveOfficeRequest) (*wattlev1.RemoveOfficeResponse, error) {
	company, id := officeOf(req.GetName())
	v := &fault.List{}
	version := readEtag(v, "etag", req.GetEtag())
	if err := v.Err(); err != nil {
		return nil, err
	}
	key := requestKey(ctx, "RemoveOffice", company, req.GetRequestId(), requestHash(req, "request_id"))
	o, err := s.estimating.RemoveOffice(ctx, key, id, version)
	return &wattlev1.RemoveOfficeResponse{Office: officeToProto(ctx, company, o)}, err
}

// CreateKey implements wattle.v1.OfficeService.
func (s officeService) CreateKey(ctx context.Context, req *wattlev1.CreateKeyRequest) (*wattlev1.CreateKeyResponse, error) {
	k, err := keyFromProto(req.GetKey())
	if err != nil {
		return nil, err
	}
	key := requestKey(ctx, "CreateKey", req.GetParent(), req.GetRequestId(), requestHash(req, "request_id"))
	k, secret, err := s.estimating.CreateKey(ctx, key, k)
	return &wattlev1.CreateKeyResponse{Key: keyToProto(k), Secret: secret}, err
}

// ListKeys implements wattle.v1.OfficeService.
func (s officeService) ListKeys(ctx context.Context, req *wattlev1.ListKeysRequest) (*wattlev1.ListKeysResponse, error) {
	answer := &wattlev1.ListKeysResponse{}
	list, next, err := page(req, func(after string, limit int) ([]auth.Key, error) {
		return s.estimating.ListKeys(ctx, companyOf(req.GetParent()), after, limit)
	}, func(k auth.Key) string { return k.ID })
	for _, k := range list {
		answer.Keys = append(answer.Keys, keyToProto(k))
	}
	answer.NextPageToken = next
	return answer, err
}

// RevokeKey implements wattle.v1.OfficeService.
func (s officeService) RevokeKey(ctx context.Context, req *wattlev1.RevokeKeyRequest) (*wattlev1.RevokeKeyResponse, error) {
	company, id := keyOf(req.GetName())
	key := requestKey(ctx, "RevokeKey", company, req.GetRequestId(), requestHash(req, "request_id"))
	k, err := s.estimating.RevokeKey(ctx, key, id)
	return &wattlev1.RevokeKeyResponse{Key: keyToProto(k)}, err
}
