package archtest

// pure are the packages whose results are a function of their arguments
// alone, so that a quote replays to the same bytes on any machine.
const pure = "fault rational measure civil money trig traverse arc spacing timber steel section site geojson spec catalog layout cutting takeoff check book office quote actuals costindex basket chart spreadsheet render paper"

// Third-party modules that rows name.
const (
	decimals = "github.com/govalues/decimal"
	grpc     = "google.golang.org/grpc"
	protobuf = "google.golang.org/protobuf"
	gateway  = "github.com/grpc-ecosystem/grpc-gateway/v2"
	pgx      = "github.com/jackc/pgx/v5"
	river    = "github.com/riverqueue/river"
	otel     = "go.opentelemetry.io/otel" // the API; its SDK is banned below
	otelgrpc = "go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	otelhttp = "go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
)

// row says what a package may import besides the standard library. A word
// without a dot is a package of ours, under internal or else from the root of
// the module; "pure" is all of the pure ones, "anything" no limit; a word with
// a dot is a third-party module. A pkg ending in /... is a folder and all
// below it.
type row struct {
	pkg, may, why string
}

// rows has every package of the module, lowest first. A new package gets its
// row here, and in the table of DEVELOPERS.md. A row may come before its
// package.
var rows = []row{
	{"internal/fault", "", "every layer speaks it, so it can know none of them"},
	{"internal/rational", "", "fractions know nothing of what they are fractions of"},
	{"internal/measure", "rational fault", "lengths are exact integers and stand below everything that has a size"},
	{"internal/civil", "fault", "a date without a clock or a place stands below everything that has a date"},
	{"internal/money", "rational fault " + decimals, "amounts and rounding know nothing of what is sold"},
	{"internal/trig", "measure fault", "the one place for transcendental functions, quantised before anything is counted"},
	{"internal/spacing", "measure fault", "posts on a line of stations is arithmetic under limits; it knows no fence, so that enumeration can check it"},
	{"internal/traverse", "measure fault", "bearings and distances become points before anything is known of what stands on them"},
	{"internal/arc", "measure fault", "a curve becomes chords by its radius and a limit, whatever sets that limit"},
	{"internal/timber", "measure rational fault " + decimals, "sizes and movement of wood are facts about wood, not about fences or prices"},
	{"internal/steel", "measure rational fault", "sizes and weights of pipe are facts about steel, not about fences or prices"},

	{"internal/site", "civil measure fault " + decimals, "what was measured on the ground does not depend on what is built there"},
	{"internal/geojson", "site measure fault github.com/tidwall/geodesic", "a map becomes the same site as any other measurement, so that nothing after it knows longitudes"},
	{"internal/section", "timber measure rational fault", "what a post measures across is a fact about wood and steel, not about fences"},
	{"internal/spec", "arc section timber money measure fault " + decimals, "a spec is data; it must not know how it is laid out or counted"},
	{"internal/catalog", "spec measure fault", "a spec under a name is still a spec; who saved it and where it is kept is not its business"},
	{"internal/layout", "spacing site spec section timber measure fault", "where the posts stand must not depend on what anything costs"},
	{"internal/cutting", "money measure fault " + decimals, "pieces and stock are lengths and prices; no fence in it, so that published cutting instances can check it"},
	{"internal/takeoff", "layout cutting site spec section steel timber money measure rational fault " + decimals, "quantities are counted from a layout; prices reach it only as candidate stock, never as the book"},
	{"internal/check", "takeoff layout site spec section steel trig timber money civil measure fault " + decimals, "checks advise on what was planned and counted; they change no number and see no price"},
	{"internal/book", "money civil measure fault " + decimals, "prices are kept and resolved without knowing what will be built from them"},
	{"internal/quote", "takeoff check book layout cutting arc site spec section timber money civil measure fault " + decimals + " golang.org/x/text",
		"a quote is built from take-off and prices in memory, where it can be replayed; x/text brings its text to NFC before hashing"},
	{"internal/costindex", "trig money civil measure fault " + decimals, "cost history is arithmetic over prices and dates, whatever was priced and wherever it is kept"},
	{"internal/basket", "costindex quote takeoff book money civil measure fault " + decimals, "what is followed over time comes from quotes and the book; the arithmetic after it knows neither"},
	{"internal/chart", "costindex money civil fault gonum.org/v1/plot golang.org/x/image " + decimals, "charts are drawn from finished figures; what a page of numbers looks like is no business of who works them out"},
	{"internal/actuals", "quote takeoff book spec money civil measure fault " + decimals, "what jobs used against what was estimated is arithmetic over finished records, not over rows"},
	{"internal/spreadsheet", decimals, "what a spreadsheet takes for a formula is one list, whoever writes cells"},
	{"internal/export", "spreadsheet fault " + decimals + " github.com/parquet-go/parquet-go", "rows become files by the description of their columns alone, wherever they come from"},
	{"internal/render", "pure", "drawings and papers are made from finished results, whoever asked for them"},

	{"internal/paper", "pure " + decimals + " codeberg.org/go-pdf/fpdf codeberg.org/go-fonts/liberation golang.org/x/image golang.org/x/text",
		"the one place that knows PDF and fonts; its words and drawings are render's, so that a paper and a screen say the same"},

	{"internal/office", "book fault " + decimals, "who stands under whom is a tree of names; its root is the book's main office"},
	{"internal/auth", "office book fault", "who may do what is decided without knowing how calls travel or keys are stored"},

	{"internal/estimating", "pure auth " + decimals, "use cases join pure packages and reach the outside only through interfaces declared there"},

	{"internal/events", "auth estimating jobs " + river, "events are told by ids; what they are about is read by who is told"},
	{"internal/expiry", "auth estimating jobs " + river, "a quote ends by a use case like any other; only when is told by a job"},
	{"internal/impact", "book jobs " + river, "it has the queue call use cases, which it knows by two methods alone"},
	{"internal/webhook", "auth estimating fault jobs " + river + " github.com/standard-webhooks/standard-webhooks/libraries code.dny.dev/ssrf",
		"the one place that talks to addresses which callers name, so the guard and the signature are in no other"},
	{"internal/work", "correlate fault jobs " + otel + " " + river, "jobs are run without knowing what is in them; a job that failed is logged within its span"},
	{"internal/jobs", "", "what a job is called and carries is known to who adds it and to who works it, and needs neither"},

	{"internal/config", "github.com/spf13/pflag github.com/spf13/cobra go.yaml.in/yaml/v3",
		"flags are the schema of files and variables, whatever the command; cobra finds the nearest word, the YAML library lines"},
	{"internal/correlate", otel, "one name for a piece of work, in its log, its trace and its jobs; whoever logs or leaves jobs behind may use it, so it knows none of them"},
	{"internal/admission", "golang.org/x/sync", "how much may be under way at once is counting and waiting, whatever it is that is under way; the semaphore with a line is x/sync's"},

	{"internal/localpg", "", "it starts programs of the machine; std only keeps it usable by demo, tests and doctor alike"},
	{"internal/fetchpg", "github.com/fergusstrange/embedded-postgres", "a folder of programs for localpg, which stays without modules; the library knows the archives, and nothing else here goes out for programs"},
	{"migrations", "", "SQL files and their embedding"},
	{"internal/postgres", "pure auth correlate estimating jobs migrations github.com/pressly/goose/v3 " + pgx + " " + river + " " + decimals, "the one place that knows SQL; it serves the use cases and knows no wire format"},
	{"internal/postgres/pgtest", "localpg postgres migrations github.com/testcontainers/testcontainers-go github.com/moby/moby/client github.com/containerd/errdefs " + pgx,
		"a server and a database for each test, and nothing of the domain; the engine's own client removes the containers that dead runs left, and its errors say which are gone"},
	{"internal/postgres/storetest", "auth office estimating fault postgres postgres/pgtest migrations " + pgx, "a store on a fresh database for each test that needs one, in one call"},

	{"api/...", grpc + " " + protobuf + " buf.build/gen/go/bufbuild/protovalidate github.com/planetscale/vtprotobuf " + gateway, "generated from the .proto files; ours depends on it, never the other way"},
	{"internal/rpc", "pure auth admission correlate estimating api/wattle/v1 buf.build/gen/go/bufbuild/protovalidate buf.build/go/protovalidate " +
		"github.com/grpc-ecosystem/go-grpc-middleware/v2 google.golang.org/genproto/googleapis/rpc " + otel + " " + otelgrpc + " " + grpc + " " + protobuf + " " + decimals + " golang.org/x/time github.com/hashicorp/golang-lru/v2",
		"a handler checks the shape, converts, calls a use case, converts back; how things are stored is not its business; calls are counted and traced here, at the edge, by OpenTelemetry's API"},

	{"internal/rest", "admission correlate api/wattle/v1 " + gateway + " google.golang.org/genproto/googleapis/rpc github.com/rs/cors " + otel + " " + otelhttp + " " + grpc + " " + protobuf,
		"a client of the service like any other: what HTTP needs besides is not the service's business, and nothing gets past the interceptors"},
	{"internal/rest/resttest", "api/wattle/v1 " + protobuf + " go.yaml.in/yaml/v3", "tests call every RPC over HTTP by its rule, as they do over gRPC"},
	{"internal/rest/openapi", "github.com/getkin/kin-openapi", "a program of its own: it makes the document that the gateway serves, while code is generated"},

	{"internal/bench", "golang.org/x/perf", "a program of its own: it runs the benchmarks of the others and sets their figures beside what is promised"},
	{"internal/reproduce", "pure " + decimals, "a program of its own: it computes quotes as the service does, and nothing of a machine or a database is in them"},
	{"internal/telemetry", "correlate postgres " + otel + " github.com/prometheus/client_golang github.com/exaring/otelpgx github.com/riverqueue/rivercontrib/otelriver " + pgx + " " + river,
		"the one place that knows OpenTelemetry's SDK, who scrapes and where traces go: client_golang writes Prometheus's text, otelpgx traces statements and otelriver jobs as their makers mean them to be"},

	{"internal/trial/driver", "api/wattle/v1 testdata/demo google.golang.org/genproto/googleapis/rpc " + grpc + " " + protobuf,
		"a client with books of its own: what it holds the service against is what it was told over the wire, and nothing else"},
	{"internal/trial/line", "", "a line between two programs is bytes, whatever they say"},
	{"internal/trial/faults", "localpg postgres trial/driver trial/line api/wattle/v1 " + pgx + " " + grpc,
		"a program of its own: it runs the service and its Postgres as an operator does, and breaks them; it knows SQL to be the database's administrator"},
	{"internal/trial/patroni", "trial/driver google.golang.org/grpc/codes", "a program of its own: it runs a cluster in containers and the service before it, by docker's command line, and does away with the primary"},
	{"internal/trial/drive", "trial/driver", "a program of its own: the driver's load on a service that somebody else runs"},
	{"internal/trial/overload", "api/wattle/v1 buf.build/go/protoyaml google.golang.org/genproto/googleapis/rpc " + grpc + " " + protobuf, "a program of its own: it tries the built service from outside, and knows its contract alone"},
	{"cmd/wattle", "anything", "the one place that wires the others together"},
	{"internal/archtest", "", "it holds a test of the others and nothing they could use"},
}

// ban forbids imports, the standard library's among them, to some packages.
type ban struct {
	// in and unless are lists as in row.may; an empty in means every package.
	in, unless string
	// imports are import paths; each covers the paths below it.
	imports string
	why     string
}

var bans = []ban{
	{in: pure, unless: "civil", imports: "time",
		why: "a clock makes two runs differ; calendar dates come from internal/civil, and now comes in as an argument"},
	{in: pure, imports: "context",
		why: "a pure function has nothing to cancel: a search stops at its node budget, so that a deadline gives an error and not a worse plan"},
	{in: pure, unless: "costindex", imports: "math/rand",
		why: "no result may depend on chance; only price risk draws, from a generator whose seed is part of the request"},
	{in: pure, imports: "crypto/rand hash/maphash",
		why: "no result may depend on chance"},
	{in: pure, imports: "os net syscall database log",
		why: "a pure package reads and writes only what it is handed, as an io.Reader or io.Writer, and returns what it has to say"},
	{in: pure + " estimating postgres", imports: protobuf + " " + grpc + " google.golang.org/genproto buf.build",
		why: "the wire format may change without a number or a row changing; only api, internal/rpc, internal/rest and cmd/wattle know protobuf"},
	{in: pure + " estimating rpc", imports: pgx + " database/sql",
		why: "SQL lives in internal/postgres, where row-level security is set up before any query runs"},
	{unless: "telemetry", imports: otel + "/sdk " + otel + "/exporters github.com/prometheus",
		why: "who has something to tell knows OpenTelemetry's API alone; where it goes is internal/telemetry's affair"},
	{in: "rpc", imports: "wattle/internal/postgres",
		why: "handlers and storage meet only through internal/estimating, so that neither's types leak into the other"},
	{in: "postgres", imports: "wattle/internal/rpc wattle/api",
		why: "handlers and storage meet only through internal/estimating, so that neither's types leak into the other"},
	{unless: "postgres/pgtest postgres/storetest", imports: "testing wattle/internal/postgres/pgtest",
		why: "what only tests need stays out of the binary"},
}

// vague are last path elements that name no thing.
const vague = "util utils common helper helpers misc shared lib base core types"
