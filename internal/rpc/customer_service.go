package rpc

import (
	"cmp"
	"context"
	"strconv"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

type customerService struct{ estimating *estimating.Service }

// CreateCustomer implements wattle.v1.CustomerService.
func (s customerService) CreateCustomer(ctx context.Context, req *wattlev1.CreateCustomerRequest) (*wattlev1.CreateCustomerResponse, error) {
	c, err := s.estimating.CreateCustomer(ctx,
		requestKey(ctx, "CreateCustomer", req.GetParent(), req.GetRequestId(), requestHash(req, "request_id", "customer")),
		estimating.Customer{ID: req.GetCustomerId(), Office: req.GetCustomer().GetOffice(), Details: detailsFromProto(req.GetCustomer())})
	if err != nil {
		return nil, err
	}
	return &wattlev1.CreateCustomerResponse{Customer: customerToProto(c)}, nil
}

// GetCustomer implements wattle.v1.CustomerService.
func (s customerService) GetCustomer(ctx context.Context, req *wattlev1.GetCustomerRequest) (*wattlev1.GetCustomerResponse, error) {
	company, id := customerOf(req.GetName())
	c, err := s.estimating.GetCustomer(ctx, company, id)
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetCustomerResponse{Customer: customerToProto(c)}, nil
}

// UpdateCustomer implements wattle.v1.CustomerService.
func (s customerService) UpdateCustomer(ctx context.Context, req *wattlev1.UpdateCustomerRequest) (*wattlev1.UpdateCustomerResponse, error) {
	in, err := updateCustomerFromProto(ctx, req)
	if err != nil {
		return nil, err
	}
	c, err := s.estimating.UpdateCustomer(ctx, in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.UpdateCustomerResponse{Customer: customerToProto(c)}, nil
}

// ListCustomers implements wattle.v1.CustomerService. A page token holds the id
// of the last customer given.
func (s customerService) ListCustomers(ctx context.Context, req *wattlev1.ListCustomersRequest) (*wattlev1.ListCustomersResponse, error) {
	list, next, err := page(req, func(after string, limit int) ([]estimating.Customer, error) {
		return s.estimating.ListCustomers(ctx, estimating.CustomerFilter{
			Company: companyOf(req.GetParent()), Erased: req.GetShowErased(), After: after, Limit: limit,
		})
	}, func(c estimating.Customer) string { return c.ID })
	answer := &wattlev1.ListCustomersResponse{NextPageToken: next}
	for _, c := range list {
		answer.Customers = append(answer.Customers, customerToProto(c))
	}
	return answer, err
}

// EraseCustomer implements wattle.v1.CustomerService.
func (s customerService) EraseCustomer(ctx context.Context, req *wattlev1.EraseCustomerRequest) (*wattlev1.EraseCustomerResponse, error) {
	company, id := customerOf(req.GetName())
	c, err := s.estimating.EraseCustomer(ctx, requestKey(ctx, "EraseCustomer", company, req.GetRequestId(), requestHash(req, "request_id")), id, req.GetEtag())
	if err != nil {
		return nil, err
	}
	return &wattlev1.EraseCustomerResponse{Customer: customerToProto(c)}, nil
}

// ListCustomerChanges implements wattle.v1.CustomerService. A page token holds
// the sequence of the last change given.
func (s customerService) ListCustomerChanges(ctx context.Context, req *wattlev1.ListCustomerChangesRequest) (*wattlev1.ListCustomerChangesResponse, error) {
	filter := estimating.CustomerChangeFilter{Company: companyOf(req.GetParent())}
	if req.GetCustomer() != "" {
		company, id := customerOf(req.GetCustomer())
		v := &fault.List{}
		if v.Require(company == filter.Company && id != "", "customer", "expected a customer of %s", req.GetParent()); v.Len() > 0 {
			return nil, v.Err()
		}
		filter.Customer = id
	}
	list, next, err := page(req, func(after string, limit int) ([]estimating.CustomerChange, error) {
		before, err := strconv.ParseInt(cmp.Or(after, "0"), 10, 64)
		if err != nil {
			return nil, badPageToken("it names no change")
		}
		filter.Before, filter.Limit = before, limit
		return s.estimating.ListCustomerChanges(ctx, filter)
	}, func(c estimating.CustomerChange) string { return strconv.FormatInt(c.Sequence, 10) })
	answer := &wattlev1.ListCustomerChangesResponse{NextPageToken: next}
	for _, c := range list {
		answer.Changes = append(answer.Changes, &wattlev1.CustomerChange{
			Customer: customerName(filter.Company, c.Customer), Office: c.Office, Kind: c.Kind, Principal: c.By, Time: timestamppb.New(c.At),
		})
	}
	return answer, err
}
