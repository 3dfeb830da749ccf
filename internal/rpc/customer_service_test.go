package rpc

import (
	"encoding/hex"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// person has a word in each detail that stands nowhere else.
func person(name string) *wattlev1.Customer {
	return &wattlev1.Customer{
		DisplayName: "Zephyrine Quillfeather", Email: "zephyrine@example.org", Telephone: "+1 555 0199 73", Note: "gate code Marzipan",
		Address: &wattlev1.PostalAddress{
			Lines: []string{"77 Thistledown Lane", "Unit Borogove"}, Locality: "Wimblehurst", Region: "Umbershire", PostalCode: "ZQ7 4XW", CountryCode: "GB",
		},
		Name: name,
	}
}

// secrets are those words.
var secrets = []string{
	"Zephyrine", "Quillfeather", "zephyrine@example.org", "555 0199 73", "Marzipan", "Thistledown", "Borogove", "Wimblehurst", "Umbershire", "ZQ7 4XW",
}

const pat = "companies/harrow/customers/cust-17"

func TestACustomersDetails(t *testing.T) {
	o := openOffice(t, Config{})
	customers := wattlev1.NewCustomerServiceClient(o.conn)
	create := &wattlev1.CreateCustomerRequest{Parent: "companies/harrow", RequestId: "c", CustomerId: "cust-17", Customer: person("")}
	answer, err := customers.CreateCustomer(t.Context(), create)
	made := answer.GetCustomer()
	want := person(pat)
	want.Office, want.Etag, want.CreateTime, want.UpdateTime = "main", "1", made.GetCreateTime(), made.GetUpdateTime()
	if err != nil || !proto.Equal(made, want) || made.GetCreateTime() == nil {
		t.Fatalf("made %v, %v\nwant %v", made, err, want)
	}
	if again, err := customers.CreateCustomer(t.Context(), create); err != nil || !proto.Equal(again.GetCustomer(), made) {
		t.Errorf("again: %v, %v", again, err)
	}
	other := proto.CloneOf(create)
	other.Customer.Note = "another"
	_, err = customers.CreateCustomer(t.Context(), other)
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	other.RequestId = "c2"
	_, err = customers.CreateCustomer(t.Context(), other)
	wants(t, err, codes.AlreadyExists, "CUSTOMER_EXISTS")

	update := func(requestID, etag string, change *wattlev1.Customer, paths ...string) (*wattlev1.Customer, error) {
		change.Name = pat
		request := &wattlev1.UpdateCustomerRequest{Customer: change, RequestId: requestID, Etag: etag}
		if paths != nil {
			request.UpdateMask = &fieldmaskpb.FieldMask{Paths: paths}
		}
		answer, err := customers.UpdateCustomer(t.Context(), request)
		return answer.GetCustomer(), err
	}
	check := func(got *wattlev1.Customer, err error, etag string) {
		t.Helper()
		want.Etag, want.UpdateTime = etag, got.GetUpdateTime()
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("%v\n%v\nwant %v", err, got, want)
		}
	}
	want.Telephone = "none"
	got, err := update("u1", "1", &wattlev1.Customer{Telephone: "none"}) // what is empty stays
	check(got, err, "2")
	got, err = update("u1", "1", &wattlev1.Customer{Telephone: "none"}) // the same request, whose etag is an old one by now
	check(got, err, "2")
	_, err = update("u2", "1", &wattlev1.Customer{Telephone: "other"})
	wants(t, err, codes.Aborted, "ETAG_MISMATCH")
	want.Note, want.Address = "", nil
	got, err = update("u3", "", &wattlev1.Customer{Telephone: "left alone"}, "note", "address")
	check(got, err, "3")
	_, err = update("u3", "", &wattlev1.Customer{Note: "other"}, "note", "address")
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	got, err = update("u4", "3", &wattlev1.Customer{}) // nothing to change
	check(got, err, "3")
	want.DisplayName, want.Email, want.Telephone = "", "", ""
	got, err = update("u5", "3", &wattlev1.Customer{}, "*")
	check(got, err, "4")
	_, err = update("u6", "", &wattlev1.Customer{}, "name", "email", "address.locality")
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 2 ||
		!strings.HasPrefix(got[0], "update_mask.paths[0]: ") || !strings.HasPrefix(got[1], "update_mask.paths[2]: ") {
		t.Errorf("%q", got)
	}
	_, err = customers.UpdateCustomer(t.Context(), &wattlev1.UpdateCustomerRequest{
		Customer: &wattlev1.Customer{Name: "cust-17", Email: "nobody", DisplayName: "a\nb", Address: &wattlev1.PostalAddress{CountryCode: "gb"}}, RequestId: "u7",
	})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 4 {
		t.Errorf("%q", got)
	}
	_, err = customers.GetCustomer(t.Context(), &wattlev1.GetCustomerRequest{Name: pat + "x"})
	wants(t, err, codes.NotFound, "CUSTOMER_NOT_FOUND")
}

func TestListCustomers(t *testing.T) {
	o := openOffice(t, Config{})
	customers := wattlev1.NewCustomerServiceClient(o.conn)
	for i := range 5 {
		if _, err := customers.CreateCustomer(t.Context(), &wattlev1.CreateCustomerRequest{
			Parent: "companies/harrow", RequestId: fmt.Sprint("c", i), CustomerId: fmt.Sprint("c", i), Customer: person(""),
		}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := customers.EraseCustomer(t.Context(), &wattlev1.EraseCustomerRequest{Name: "companies/harrow/customers/c2", RequestId: "e"}); err != nil {
		t.Fatal(err)
	}
	for erased, want := range map[bool]string{false: "c0 c1 c3 c4", true: "c0 c1 c2 c3 c4"} {
		request := &wattlev1.ListCustomersRequest{Parent: "companies/harrow", PageSize: 2, ShowErased: erased}
		var got []string
		for {
			page, err := customers.ListCustomers(t.Context(), request)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range page.GetCustomers() {
				got = append(got, strings.TrimPrefix(c.GetName(), "companies/harrow/customers/"))
			}
			if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
				break
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("erased %t: %q, want %q", erased, got, want)
		}
	}
}

// A customer's whole story, quotes and mistakes included, leaves the details in
// one table and nowhere else, log included; and once they are erased, nowhere at
// all, while everything that named the customer is as it was.
func TestDetailsStandInOnePlaceAndAreErased(t *testing.T) {
	store, db := storetest.NewWithDB(t)
	made := 0
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store,
		Now:   func() time.Time { return time.Date(2026, 3, 5, 12, 0, made, 0, time.UTC) },
		NewID: func() string { made++; return fmt.Sprintf("q%04d", made) },
	}
	conn, log := serve(t, use, Config{})
	l := &lives{shop: shop{use: use, quotes: wattlev1.NewQuoteServiceClient(conn), prices: wattlev1.NewPriceBookServiceClient(conn), conn: conn}}
	if _, err := l.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	customers := wattlev1.NewCustomerServiceClient(conn)
	create := &wattlev1.CreateCustomerRequest{Parent: "companies/harrow", RequestId: "c", CustomerId: "cust-17", Customer: person("")}
	if _, err := customers.CreateCustomer(t.Context(), create); err != nil {
		t.Fatal(err)
	}
	accepted, err := l.accept(t, l.issue(t, l.draft(t)))
	if err != nil {
		t.Fatal(err)
	}
	tellMistakes(t, conn, create)
	admin, err := pgx.Connect(t.Context(), db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(t.Context()) }()
	for _, word := range secrets {
		if found := tablesWith(t, admin, word); strings.Join(found, " ") != "customer" {
			t.Errorf("%q stands in %v", word, found)
		}
	}

	before := l.get(t, accepted.GetName())
	erase := &wattlev1.EraseCustomerRequest{Name: pat, RequestId: "e", Etag: "1"}
	_, err = customers.EraseCustomer(t.Context(), &wattlev1.EraseCustomerRequest{Name: pat, RequestId: "e0", Etag: "7"})
	wants(t, err, codes.Aborted, "ETAG_MISMATCH")
	answer, err := customers.EraseCustomer(t.Context(), erase)
	erased := answer.GetCustomer()
	want := &wattlev1.Customer{Name: pat, Office: "main", Etag: "2", CreateTime: erased.GetCreateTime(), UpdateTime: erased.GetEraseTime(), EraseTime: erased.GetEraseTime()}
	if err != nil || erased.GetEraseTime() == nil || !proto.Equal(erased, want) {
		t.Errorf("erased: %v, %v", erased, err)
	}
	for _, id := range []string{"e", "e2"} { // the same request, and another
		erase.RequestId = id
		if id == "e2" {
			erase.Etag = ""
		}
		if again, err := customers.EraseCustomer(t.Context(), erase); err != nil || !proto.Equal(again.GetCustomer(), erased) {
			t.Errorf("erased again as %s: %v, %v", id, again, err)
		}
	}
	for _, word := range secrets {
		if found := tablesWith(t, admin, word); found != nil {
			t.Errorf("erased, %q stands in %v", word, found)
		}
		if strings.Contains(log.String(), word) {
			t.Errorf("%q stands in the log", word)
		}
	}
	if got := l.get(t, accepted.GetName()); !proto.Equal(got, before) || got.GetCustomer() != "cust-17" {
		t.Errorf("the quote is another: %v", got)
	}
	l.replays(t, accepted.GetName())
	_, err = customers.UpdateCustomer(t.Context(), &wattlev1.UpdateCustomerRequest{Customer: person(pat), RequestId: "u"})
	wants(t, err, codes.FailedPrecondition, "CUSTOMER_ERASED")
	create.RequestId = "c9"
	_, err = customers.CreateCustomer(t.Context(), create)
	wants(t, err, codes.AlreadyExists, "CUSTOMER_EXISTS")

	var audited []string
	rows, err := admin.Query(t.Context(), `
		select kind || ' ' || subject || ' ' || (principal <> '') || ' ' || (at = $1) from audit order by sequence`, erased.GetEraseTime().AsTime())
	if err == nil {
		audited, err = pgx.CollectRows(rows, pgx.RowTo[string])
	}
	if strings.Join(audited, "; ") != "customer-created cust-17 true false; customer-erased cust-17 true true" {
		t.Errorf("audited %q, %v", audited, err)
	}
}

// tellMistakes sends details in requests that are refused.
func tellMistakes(t *testing.T, conn *grpc.ClientConn, create *wattlev1.CreateCustomerRequest) {
	t.Helper()
	customers := wattlev1.NewCustomerServiceClient(conn)
	again := proto.CloneOf(create)
	again.RequestId = "taken"
	_, err := customers.CreateCustomer(t.Context(), again)
	wants(t, err, codes.AlreadyExists, "CUSTOMER_EXISTS")
	again.RequestId = create.GetRequestId()
	again.Customer.Note = "Marzipan and more"
	_, err = customers.CreateCustomer(t.Context(), again)
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	for i, spoil := range []func(*wattlev1.Customer){
		func(c *wattlev1.Customer) { c.Email = "Zephyrine at home" },
		func(c *wattlev1.Customer) { c.Telephone += strings.Repeat("9", 60) },
		func(c *wattlev1.Customer) { c.DisplayName += "\x00" },
		func(c *wattlev1.Customer) { c.Address.PostalCode += "\n" },
	} {
		c := person("")
		spoil(c)
		st, err := customers.CreateCustomer(t.Context(), &wattlev1.CreateCustomerRequest{Parent: "companies/harrow", RequestId: fmt.Sprint("bad", i), Customer: c})
		if err == nil {
			t.Errorf("taken: %v", st)
			continue
		}
		for _, word := range secrets {
			if strings.Contains(err.Error(), word) {
				t.Errorf("the error repeats %q: %v", word, err)
			}
		}
	}
	_, err = customers.UpdateCustomer(t.Context(), &wattlev1.UpdateCustomerRequest{Customer: person(pat), RequestId: "stale", Etag: "99"})
	wants(t, err, codes.Aborted, "ETAG_MISMATCH")
}

// tablesWith are the tables that hold a word in any column, as text or as bytes.
func tablesWith(t *testing.T, conn *pgx.Conn, word string) (found []string) {
	t.Helper()
	rows, err := conn.Query(t.Context(), `select table_name from information_schema.tables where table_schema = 'public' and table_type = 'BASE TABLE' order by 1`)
	if err != nil {
		t.Fatal(err)
	}
	tables, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(tables) < 15 {
		t.Fatalf("tables %v, %v", tables, err)
	}
	for _, table := range tables {
		var n int
		// A row as text has bytes in hexadecimal.
		err := conn.QueryRow(t.Context(), `
			select count(*) from `+pgx.Identifier{table}.Sanitize()+` r
			where strpos(lower(r::text), lower($1)) > 0 or strpos(r::text, $2) > 0`, word, hex.EncodeToString([]byte(word))).Scan(&n)
		if err != nil {
			t.Fatal(err)
		}
		if n > 0 {
			found = append(found, table)
		}
	}
	return found
}

// Who did what to whom is listed, newest first, page by page, and says no more
// than ids.
func TestListCustomerChanges(t *testing.T) {
	t.Parallel()
	o := openOffice(t, Config{})
	customers := wattlev1.NewCustomerServiceClient(o.conn)
	for _, id := range []string{"cust-17", "cust-18"} {
		if _, err := customers.CreateCustomer(t.Context(), &wattlev1.CreateCustomerRequest{Parent: "companies/harrow", RequestId: id, CustomerId: id, Customer: person("")}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := customers.UpdateCustomer(t.Context(), &wattlev1.UpdateCustomerRequest{
		Customer: &wattlev1.Customer{Name: pat, Note: "Marzipan"}, RequestId: "u", UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"note"}},
	}); err != nil {
		t.Fatal(err)
	}
	if _, err := customers.EraseCustomer(t.Context(), &wattlev1.EraseCustomerRequest{Name: pat, RequestId: "e"}); err != nil {
		t.Fatal(err)
	}
	list := func(customer string) (told []string) {
		req := &wattlev1.ListCustomerChangesRequest{Parent: "companies/harrow", PageSize: 1, Customer: customer}
		for {
			page, err := customers.ListCustomerChanges(t.Context(), req)
			if err != nil || len(page.GetChanges()) > 1 {
				t.Fatalf("%v, %v", page, err)
			}
			for _, c := range page.GetChanges() {
				told = append(told, strings.TrimPrefix(c.GetCustomer(), "companies/harrow/customers/")+" "+c.GetKind()+" at "+c.GetOffice())
				if c.GetTime() == nil || c.GetPrincipal() == "" {
					t.Errorf("who and when: %v", c)
				}
				for _, secret := range secrets {
					if strings.Contains(c.String(), secret) {
						t.Errorf("%v tells %s", c, secret)
					}
				}
			}
			if req.PageToken = page.GetNextPageToken(); req.GetPageToken() == "" {
				return told
			}
		}
	}
	if got := fmt.Sprint(list("")); got != "[cust-17 customer-erased at main cust-17 customer-updated at main cust-18 customer-created at main cust-17 customer-created at main]" {
		t.Error(got)
	}
	if got := fmt.Sprint(list("companies/harrow/customers/cust-18")); got != "[cust-18 customer-created at main]" {
		t.Error(got)
	}
	_, err := customers.ListCustomerChanges(t.Context(), &wattlev1.ListCustomerChangesRequest{Parent: "companies/harrow", Customer: "companies/larch/customers/c"})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}
