package rpc

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
)

// rowsOf are the rows of a list of market's form, as messages of at most so many.
func rowsOf(list string, each int) []*wattlev1.ImportPricesRequest {
	var rows []*wattlev1.PriceRow
	for _, line := range strings.Split(strings.TrimSpace(list), "\n")[1:] {
		f := strings.Split(line, ",")
		rows = append(rows, &wattlev1.PriceRow{Item: f[0], Effective: f[1], Unit: f[2], Price: f[3], Currency: f[4]})
	}
	var out []*wattlev1.ImportPricesRequest
	for part := range slices.Chunk(rows, each) {
		out = append(out, &wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Rows_{Rows: &wattlev1.ImportPricesRequest_Rows{Rows: part}}})
	}
	return out
}

func rowsTrailer(rows int64) *wattlev1.ImportPricesRequest {
	return &wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: &wattlev1.ImportPricesRequest_Trailer{RowCount: rows}}}
}

// A list that comes as rows is the list that comes as a file: the same entries,
// so the same head.
func TestRowsAreAFile(t *testing.T) {
	list := market("2026-03-01", "14.97")
	asFile, err := openOffice(t, Config{}).importList(t, "march", list)
	if err != nil {
		t.Fatal(err)
	}
	o := openOffice(t, Config{})
	stream := func() []*wattlev1.ImportPricesRequest {
		return slices.Concat([]*wattlev1.ImportPricesRequest{header()}, rowsOf(list, 9), []*wattlev1.ImportPricesRequest{rowsTrailer(22)})
	}
	asRows, err := send(t, o.conn, stream()...)
	if err != nil || !proto.Equal(asRows, asFile) {
		t.Errorf("%v, %v\nas a file %v", asRows, err, asFile)
	}
	again, err := send(t, o.conn, stream()...)
	if err != nil || !proto.Equal(again, asRows) {
		t.Errorf("the same again: %v, %v", again, err)
	}
	other := stream()
	other[1].GetRows().GetRows()[3].Price = "22.22"
	_, err = send(t, o.conn, other...)
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
}

func TestRowsThatAreNotWhole(t *testing.T) {
	conn := openOffice(t, Config{CSV: book.CSVOptions{MaxRows: 30}}).conn
	list := market("2026-03-01", "14.97")
	rows := rowsOf(list, 9)
	bad := rowsOf(list, 22)
	bad[0].GetRows().GetRows()[4].Price = "6,48"
	bad[0].GetRows().GetRows()[21].Item = bad[0].GetRows().GetRows()[0].GetItem()
	bad[0].GetRows().GetRows()[21].Unit = "each"
	bad[0].GetRows().GetRows()[20].State = 99
	type messages = []*wattlev1.ImportPricesRequest
	for name, c := range map[string]struct {
		messages messages
		code     codes.Code
		want     []string
	}{
		"no trailer":      {messages{header(), rows[0]}, codes.InvalidArgument, []string{"trailer: the stream ended without a trailer"}},
		"cut":             {messages{header(), rows[0], rowsTrailer(22)}, codes.InvalidArgument, []string{"trailer.row_count: the stream had 9 rows"}},
		"a hash":          {messages{header(), rows[0], trailer(9, list)}, codes.InvalidArgument, []string{"trailer.sha256: expected none"}},
		"a file, rows":    {messages{header(), chunk(list), rows[0], rowsTrailer(22)}, codes.InvalidArgument, []string{"part: expected chunks of a CSV file or rows, not both"}},
		"rows, a file":    {messages{header(), rows[0], chunk(list), rowsTrailer(22)}, codes.InvalidArgument, []string{"part: expected chunks of a CSV file or rows, not both"}},
		"a file, no hash": {messages{header(), chunk(list), rowsTrailer(22)}, codes.InvalidArgument, []string{"trailer.sha256: the file that arrived has SHA-256 "}},
		"over the limit":  {messages{header(), rows[0], rows[1], rows[0], rows[1], rowsTrailer(36)}, codes.ResourceExhausted, nil},
		"a message of none": {messages{header(), {Part: &wattlev1.ImportPricesRequest_Rows_{Rows: &wattlev1.ImportPricesRequest_Rows{}}}}, codes.InvalidArgument,
			[]string{"rows.rows: must contain at least 1 item"}},
		"wrong in three places": {messages{header(), bad[0], rowsTrailer(22)}, codes.InvalidArgument, []string{
			"rows[4].price: ", "rows[20].state: expected one of", "rows[21].item: the same item, office, supplier, effective date and min_quantity as rows[0]"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := send(t, conn, c.messages...)
			st := status.Convert(err)
			if st.Code() != c.code || !slices.EqualFunc(describe(st), c.want, strings.HasPrefix) {
				t.Errorf("%v %q, want %v %q", st.Code(), describe(st), c.code, c.want)
			}
		})
	}
}

func TestConsentOverTheWire(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	dear := strings.Replace(market("2026-04-01", "20.00"), "gravel,2026-04-01,ft3", "gravel,2026-04-01,yd3", 1) + "new,2026-04-01,each,0,USD\n"
	with := func(change func(*wattlev1.ImportPricesRequest_Header)) (*wattlev1.ImportPricesResponse, error) {
		return o.importList(t, "april", dear, change)
	}
	_, err := with(func(*wattlev1.ImportPricesRequest_Header) {})
	if st := wants(t, err, codes.InvalidArgument, "INVALID_PRICE_LIST"); !slices.EqualFunc(describe(st), []string{"line 24, column 4 (price): a price of 0 is refused"}, strings.HasPrefix) {
		t.Errorf("%q", describe(st))
	}
	_, err = with(func(h *wattlev1.ImportPricesRequest_Header) { h.AcceptZeroPrices = true })
	st := wants(t, err, codes.FailedPrecondition, "PRICE_JUMPS")
	if want := []string{
		"post-4x4-8ft, 2026-04-01: the price jumps: 14.97 -> 20.00 USD/each (33.60 %)",
		"gravel, 2026-04-01: another unit or currency: 2.10 USD/ft3 -> 2.10 USD/yd3",
	}; !slices.Equal(describe(st), want) {
		t.Errorf("%q\nwant %q", describe(st), want)
	}
	dry, err := with(func(h *wattlev1.ImportPricesRequest_Header) { h.DryRun, h.AcceptZeroPrices = true, true })
	if err != nil || dry.GetRevision() != 1 {
		t.Fatalf("%v, %v", dry, err)
	}
	var notices []string
	for _, n := range dry.GetNotices() {
		notices = append(notices, fmt.Sprint(n.GetKind(), " ", n.GetItem(), " ", n.GetChange().GetPercent(), n.GetChange().GetOld().GetUnit()))
	}
	if want := []string{"KIND_JUMP post-4x4-8ft 33.60each", "KIND_UNIT_CHANGE gravel ft3", "KIND_UNKNOWN_ITEM new "}; !slices.Equal(notices, want) {
		t.Errorf("%q, want %q", notices, want)
	}
	if c := dry.GetCounts(); c.GetJumps() != 1 || c.GetUnitChanges() != 1 || c.GetUnknownItems() != 1 {
		t.Errorf("%v", c)
	}
	_, err = with(func(h *wattlev1.ImportPricesRequest_Header) {
		h.AcceptZeroPrices, h.AcceptUnitChanges, h.JumpLimitPercent = true, true, "33.5"
	})
	wants(t, err, codes.FailedPrecondition, "PRICE_JUMPS")
	for _, limit := range []string{"0", "-1", "1e3", ".5", "00"} {
		_, err = with(func(h *wattlev1.ImportPricesRequest_Header) { h.JumpLimitPercent = limit })
		if status.Code(err) != codes.InvalidArgument {
			t.Errorf("a limit of %s: %v", limit, err)
		}
	}
	done, err := with(func(h *wattlev1.ImportPricesRequest_Header) {
		h.AcceptZeroPrices, h.AcceptUnitChanges, h.JumpLimitPercent = true, true, "33.7"
	})
	if err != nil || done.GetRevision() != 2 || done.GetCounts().GetJumps() != 0 {
		t.Errorf("%v, %v", done, err)
	}
}

// What a replacement withdraws is told apart, however much else it changes.
func TestWithdrawalsAreTold(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("item,effective,unit,price,currency\n")
	for i := range 2000 {
		fmt.Fprintf(&b, "a-%04d,2026-04-01,each,1,USD\n", i)
	}
	answer, err := o.importList(t, "april", b.String(), func(h *wattlev1.ImportPricesRequest_Header) { h.Mode = wattlev1.ImportPricesRequest_MODE_REPLACE })
	if err != nil {
		t.Fatal(err)
	}
	var withdrawn []string
	for _, n := range answer.GetNotices() {
		if n.GetKind() == wattlev1.PriceNotice_KIND_WITHDRAWN {
			withdrawn = append(withdrawn, n.GetItem())
		}
	}
	if c := answer.GetCounts(); c.GetAdded() != 2000 || c.GetWithdrawn() != 22 || len(withdrawn) != 22 || !slices.Contains(withdrawn, "gravel") || len(answer.GetChanges()) != 1000 {
		t.Errorf("%v, withdrawn %q", c, withdrawn)
	}
}

// A file longer than what is staged at a time arrives whole, is told of by
// lines wherever they stand, and leaves nothing behind, also where it is cut.
func TestALongFile(t *testing.T) {
	o := openOffice(t, Config{})
	const rows = 25_000
	var b strings.Builder
	b.WriteString("item,effective,unit,price,currency\n")
	for i := range rows {
		fmt.Fprintf(&b, "item-%05d,2026-03-01,each,%d.25,USD\n", (i*7919)%rows, 1+i%50)
	}
	list := b.String()
	first := len(list) / 3
	messages := func(list string, end *wattlev1.ImportPricesRequest) []*wattlev1.ImportPricesRequest {
		return []*wattlev1.ImportPricesRequest{header(), chunk(list[:first]), chunk(list[first : 2*first]), chunk(list[2*first:]), end}
	}
	_, err := send(t, o.conn, messages(list, trailer(rows, list))[:3]...) // cut in the middle
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
	_, err = send(t, o.conn, messages(list[:len(list)-100], trailer(rows, list))...)
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
	double := list + "item-00000,2026-03-01,each,1.25,USD\n" + "x,2026-03-01,each,,USD\n"
	_, err = send(t, o.conn, messages(double, trailer(rows+2, double))...)
	st := wants(t, err, codes.InvalidArgument, "INVALID_PRICE_LIST")
	if want := []string{
		"line 25002, column 1 (item): the same item, office, supplier, effective date and min_quantity as line 2",
		"line 25003, column 4 (price): is empty; expected plain digits such as 6.48",
	}; !slices.Equal(describe(st), want) {
		t.Errorf("%q, want %q", describe(st), want)
	}
	answer, err := send(t, o.conn, messages(list, trailer(rows, list))...)
	if err != nil || answer.GetCounts().GetAdded() != rows || len(answer.GetChanges()) != book.MostChanges || answer.GetChanges()[0].GetNew().GetItem() != "item-00000" {
		t.Fatalf("%v, %v", answer.GetCounts(), err)
	}
	// The head is that of all entries, however they were brought in.
	var entries []book.Entry
	parsed, _, err := book.ParseCSV(strings.NewReader(list), book.CSVOptions{})
	if err != nil {
		t.Fatal(err)
	}
	entries = append(entries, parsed...)
	if want := (book.Head{}).Next("harrow", book.ContentHash(entries)); answer.GetHeadHash() != hex.EncodeToString(want.Hash[:]) {
		t.Errorf("head %s, want %x", answer.GetHeadHash(), want.Hash)
	}
}

// A file in parts by unary calls is the file of a stream: the same answer and
// head. Each call may be repeated; a dry run and a refusal keep the parts.
func TestImportInParts(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	twin := openOffice(t, Config{})
	list := market("2026-04-01", "20.00")
	for _, id := range []string{"march", "april"} {
		text := map[string]string{"march": market("2026-03-01", "14.97"), "april": list}[id]
		if _, err := twin.importList(t, id, text, func(h *wattlev1.ImportPricesRequest_Header) { h.AcceptJumps = true }); err != nil {
			t.Fatal(err)
		}
	}
	want, err := twin.importList(t, "april", list, func(h *wattlev1.ImportPricesRequest_Header) { h.AcceptJumps = true })
	if err != nil {
		t.Fatal(err)
	}

	h := header().GetHeader()
	h.RequestId = "april"
	start := func() string {
		t.Helper()
		answer, err := o.prices.StartImport(t.Context(), &wattlev1.StartImportRequest{Header: h})
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetName()
	}
	name := start()
	if again := start(); again != name || !strings.HasPrefix(name, "companies/harrow/imports/") {
		t.Errorf("started as %s, and again as %s", name, again)
	}
	upload := func(part int32, content string) error {
		_, err := o.prices.UploadImportPart(t.Context(), &wattlev1.UploadImportPartRequest{Name: name, Part: part, Content: []byte(content)})
		return err
	}
	sum := sha256.Sum256([]byte(list))
	commit := func(change func(*wattlev1.CommitImportRequest)) (*wattlev1.ImportPricesResponse, error) {
		req := &wattlev1.CommitImportRequest{Name: name, Trailer: &wattlev1.ImportPricesRequest_Trailer{RowCount: 22, Sha256: hex.EncodeToString(sum[:])}}
		change(req)
		answer, err := o.prices.CommitImport(t.Context(), req)
		return answer.GetOutcome(), err
	}
	plain := func(*wattlev1.CommitImportRequest) {}
	_, err = commit(plain)
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST") // no part yet
	a, b := len(list)/3, 2*len(list)/3+5
	for part, text := range map[int32]string{3: list[b:], 1: list[:a]} {
		if err := upload(part, text); err != nil {
			t.Fatal(err)
		}
	}
	if _, err = commit(plain); !slices.Equal(describe(status.Convert(err)), []string{"parts: part 2 has not come, and part 3 has"}) {
		t.Errorf("a part is missing: %v", err)
	}
	for range 2 {
		if err := upload(2, list[a:b]); err != nil {
			t.Fatal(err)
		}
	}
	wants(t, upload(2, list[a:b-1]), codes.AlreadyExists, "PART_DIFFERS")
	_, err = commit(func(r *wattlev1.CommitImportRequest) { r.Trailer.RowCount = 21 })
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
	_, err = commit(func(r *wattlev1.CommitImportRequest) { r.Trailer.Sha256 = strings.Repeat("0", 64) })
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
	_, err = commit(plain)
	wants(t, err, codes.FailedPrecondition, "PRICE_JUMPS")
	dry, err := commit(func(r *wattlev1.CommitImportRequest) { r.DryRun = true })
	if err != nil || dry.GetApplied() || dry.GetCounts().GetJumps() != 1 {
		t.Errorf("dry run: %v, %v", dry, err)
	}
	_, err = commit(func(r *wattlev1.CommitImportRequest) { r.AcceptJumps, r.BaseRevision = true, new(int64(0)) })
	wants(t, err, codes.Aborted, "BOOK_MOVED")
	accept := func(r *wattlev1.CommitImportRequest) { r.AcceptJumps, r.BaseRevision = true, new(int64(1)) }
	for range 2 {
		got, err := commit(accept)
		if err != nil || !proto.Equal(got, want) {
			t.Fatalf("%v, %v\nas a stream %v", got, err, want)
		}
	}
	_, err = commit(func(r *wattlev1.CommitImportRequest) { r.AcceptJumps = true })
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	name = "companies/harrow/imports/other"
	wants(t, upload(1, "x"), codes.NotFound, "IMPORT_NOT_FOUND")
	_, err = commit(plain)
	wants(t, err, codes.NotFound, "IMPORT_NOT_FOUND")
}

// What a file is wrong in is told the same when it comes in parts, also what
// ends the reading early.
func TestBadFilesInParts(t *testing.T) {
	o := openOffice(t, Config{CSV: book.CSVOptions{MaxBytes: 200}})
	for i, c := range []struct {
		file   string
		reason string
		want   string
	}{
		{"item;price\n1;2\n", "INVALID_PRICE_LIST", "line 1: the columns are not separated by commas"},
		{"\xff\xfei\x00", "INVALID_PRICE_LIST", "line 1, column 1: the file is UTF-16"},
		{"item,effective,unit,price,currency\na,2026-03-01,each,x,USD\n", "INVALID_PRICE_LIST", "line 2, column 4 (price): "},
	} {
		h := header().GetHeader()
		h.RequestId = fmt.Sprint("bad-", i)
		started, err := o.prices.StartImport(t.Context(), &wattlev1.StartImportRequest{Header: h})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := o.prices.UploadImportPart(t.Context(), &wattlev1.UploadImportPartRequest{Name: started.GetName(), Part: 1, Content: []byte(c.file)}); err != nil {
			t.Fatal(err)
		}
		_, err = o.prices.UploadImportPart(t.Context(), &wattlev1.UploadImportPartRequest{Name: started.GetName(), Part: 2, Content: make([]byte, 300)})
		wants(t, err, codes.ResourceExhausted, "PRICE_LIST_TOO_LARGE")
		_, err = o.prices.CommitImport(t.Context(), &wattlev1.CommitImportRequest{Name: started.GetName(), Trailer: trailer(1, c.file).GetTrailer()})
		if st := wants(t, err, codes.InvalidArgument, c.reason); len(describe(st)) != 1 || !strings.HasPrefix(describe(st)[0], c.want) {
			t.Errorf("%q, want %q", describe(st), c.want)
		}
	}
}

// The kinds of notice and the limits that the API states are those of the book.
func TestImportLimitsAreAsStated(t *testing.T) {
	in, err := importFromProto(header().GetHeader())
	if err != nil || !in.JumpLimit.Equal(decimal.MustParse("30")) {
		t.Errorf("%v, %v", in.JumpLimit, err)
	}
	if opt := (book.CSVOptions{}).Bounded(); opt.MaxRows < 2_000_000 || opt.MaxBytes < 512<<20 {
		t.Errorf("%+v", opt)
	}
	if book.MostNotices != 100 || book.MostChanges != 1000 {
		t.Error("the API says otherwise")
	}
	var _ estimating.ImportStore
}
