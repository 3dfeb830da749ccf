package estimating

import (
	"context"
	"slices"
	"strconv"
	"time"

	"wattle/internal/fault"
)

// Customer is who a quote is for. It stands apart from quotes, which know its id
// only, so that erasing it changes no quote.
type Customer struct {
	Company, ID, Office string
	Details             Details
	// Version counts the changes; creating it is 1.
	Version              int
	CreatedAt, UpdatedAt time.Time // UTC, to the microsecond
	// ErasedAt is when the details were erased; zero where they were not.
	ErasedAt time.Time
}

// Details are what is known of a person. They are kept in one place, and erased
// there.
type Details struct {
	DisplayName      string
	Address          Address
	Email, Telephone string
	Note             string
}

// Address is where post reaches somebody.
type Address struct {
	Lines                        []string // street and number, building, unit
	Locality, Region, PostalCode string
	Country                      string // ISO 3166-1 alpha-2
}

// Equal reports whether two hold the same.
func (d Details) Equal(e Details) bool {
	a, b := d.Address, e.Address
	return d.DisplayName == e.DisplayName && d.Email == e.Email && d.Telephone == e.Telephone && d.Note == e.Note &&
		slices.Equal(a.Lines, b.Lines) && a.Locality == b.Locality && a.Region == b.Region &&
		a.PostalCode == b.PostalCode && a.Country == b.Country
}

// Etag names the version a caller has seen.
func (c Customer) Etag() string { return strconv.Itoa(c.Version) }

// Erased reports whether the details are gone.
func (c Customer) Erased() bool { return !c.ErasedAt.IsZero() }

// CustomerStore keeps people's details. Each change is audited: who, when, what
// and which customer. Hashes of its keys leave the details out, for the keys stay
// when details are erased.
type CustomerStore interface {
	// CreateCustomer is AlreadyExists (CUSTOMER_EXISTS) where there is one with
	// the id, erased or not.
	CreateCustomer(ctx context.Context, key RequestKey, c Customer) (Customer, error)
	// ChangeCustomer stores what change makes of a customer, who is locked
	// meanwhile, unless that is the same.
	ChangeCustomer(ctx context.Context, key RequestKey, id string, change func(Customer) (Customer, error)) (Customer, error)
	// Customer is NotFound (CUSTOMER_NOT_FOUND) where there is none.
	Customer(ctx context.Context, company, id string) (Customer, error)
	// ListCustomers is by id.
	ListCustomers(ctx context.Context, f CustomerFilter) ([]Customer, error)
	// ListCustomerChanges is newest first.
	ListCustomerChanges(ctx context.Context, f CustomerChangeFilter) ([]CustomerChange, error)
}

// CustomerChange is what somebody did to a customer: ids alone.
type CustomerChange struct {
	Sequence                   int64 // from early to late
	Customer, Office, Kind, By string
	At                         time.Time
}

// CustomerChangeFilter selects changes; the empty Customer selects all.
type CustomerChangeFilter struct {
	Company, Customer string
	// Before continues a listing: changes with a lower sequence; 0 begins it.
	Before int64
	Limit  int
}

// CustomerFilter selects customers.
type CustomerFilter struct {
	Company string
	// Erased adds those whose details are gone.
	Erased bool
	// After continues a listing: ids that come after this one.
	After string
	Limit int
}

// CreateCustomer stores a customer; an empty id asks for a new one, an empty
// office is the caller's own.
func (s *Service) CreateCustomer(ctx context.Context, key RequestKey, c Customer) (Customer, error) {
	if err := alive(ctx); err != nil {
		return Customer{}, err
	}
	caller, err := CallerFor(ctx, key.Company)
	if err != nil {
		return Customer{}, err
	}
	at, err := caller.Writes("customer.office", c.Office)
	if err != nil {
		return Customer{}, err
	}
	c.Office = at
	c.Company, c.Version, c.CreatedAt = key.Company, 1, s.now()
	c.UpdatedAt, c.ErasedAt = c.CreatedAt, time.Time{}
	if c.ID == "" {
		c.ID = s.NewID()
	}
	return s.Customers.CreateCustomer(ctx, key, c)
}

// UpdateCustomer is the wish to change a customer's details.
type UpdateCustomer struct {
	Key RequestKey
	ID  string
	// Etag is the version the caller has seen; empty is any.
	Etag string
	// Change puts what is asked for into the details.
	Change func(*Details)
}

// UpdateCustomer changes a customer's details; of an erased one it is Refused
// (CUSTOMER_ERASED).
func (s *Service) UpdateCustomer(ctx context.Context, in UpdateCustomer) (Customer, error) {
	if err := alive(ctx); err != nil {
		return Customer{}, err
	}
	at := s.now()
	return s.Customers.ChangeCustomer(ctx, in.Key, in.ID, func(c Customer) (Customer, error) {
		if err := seen(c, in.Etag); err != nil {
			return c, err
		}
		if c.Erased() {
			return c, fault.New(fault.Refused, "CUSTOMER_ERASED", "the customer was erased on %s; create another", c.ErasedAt.Format(time.DateOnly))
		}
		c.Details.Address.Lines = slices.Clone(c.Details.Address.Lines)
		in.Change(&c.Details)
		c.UpdatedAt = at
		return c, nil
	})
}

// EraseCustomer removes a customer's details for good. What stays is the id, when
// it was made and when erased. One that is erased already stays as it is.
func (s *Service) EraseCustomer(ctx context.Context, key RequestKey, id, etag string) (Customer, error) {
	if err := alive(ctx); err != nil {
		return Customer{}, err
	}
	at := s.now()
	return s.Customers.ChangeCustomer(ctx, key, id, func(c Customer) (Customer, error) {
		if err := seen(c, etag); err != nil || c.Erased() {
			return c, err
		}
		c.Details, c.UpdatedAt, c.ErasedAt = Details{}, at, at
		return c, nil
	})
}

// GetCustomer is a customer; one that was erased has no details.
func (s *Service) GetCustomer(ctx context.Context, company, id string) (Customer, error) {
	return s.Customers.Customer(ctx, company, id)
}

// ListCustomers is by id.
func (s *Service) ListCustomers(ctx context.Context, f CustomerFilter) ([]Customer, error) {
	return s.Customers.ListCustomers(ctx, f)
}

// ListCustomerChanges is newest first, at the offices at and under the caller's
// own.
func (s *Service) ListCustomerChanges(ctx context.Context, f CustomerChangeFilter) ([]CustomerChange, error) {
	return s.Customers.ListCustomerChanges(ctx, f)
}

// seen is Conflict (ETAG_MISMATCH) where the customer was changed since.
func seen(c Customer, etag string) error {
	if etag == "" || etag == c.Etag() {
		return nil
	}
	return fault.New(fault.Conflict, "ETAG_MISMATCH", "the customer has changed since it was read; read it again").
		About("customer", "companies/"+c.Company+"/customers/"+c.ID).With("etag", c.Etag())
}
