module wattle

go 1.26.0

require (
	buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go v1.36.12-20260825204119-511051f7f437.2 // the options of validation rules, as Go code
	buf.build/go/protovalidate v1.4.0 // what a .proto says of its fields is enforced
	buf.build/go/protoyaml v0.8.0 // job files: YAML and JSON with line and column in errors
	code.dny.dev/ssrf v0.3.0 // webhooks reach public addresses only, by the registries of special ones
	codeberg.org/go-fonts/dejavu v0.4.0 // tests: a font with other letters
	codeberg.org/go-fonts/liberation v0.6.0 // the letters of PDFs and charts
	codeberg.org/go-pdf/fpdf v0.12.0 // PDFs
	github.com/apache/arrow-go/v18 v18.8.0 // tests: reads Parquet by another hand
	github.com/cloudevents/sdk-go/v2 v2.16.2 // tests: a webhook's message as a receiver reads it
	github.com/containerd/errdefs v1.0.0 // tests: what the container engine's errors mean
	github.com/exaring/otelpgx v0.13.0 // spans of statements
	github.com/fergusstrange/embedded-postgres v1.34.0 // fetches a Postgres where it is told to
	github.com/getkin/kin-openapi v0.153.0 // makes and checks the OpenAPI document
	github.com/google/go-cmp v0.7.0 // tests: what differs
	github.com/google/uuid v1.6.0 // ids that sort by time
	github.com/govalues/decimal v0.1.36 // money: decimals that are exact or an error
	github.com/gowebpki/jcs v1.0.2 // tests: canonical JSON by another hand
	github.com/grpc-ecosystem/go-grpc-middleware/v2 v2.3.4 // recovers panics, wraps streams
	github.com/grpc-ecosystem/grpc-gateway/v2 v2.33.0 // JSON over HTTP for the same contract
	github.com/hashicorp/golang-lru/v2 v2.0.7 // buckets of callers come and go
	github.com/jackc/pgx/v5 v5.12.0 // Postgres
	github.com/ledongthuc/pdf v0.0.0-20260907135840-6c8c28e0e8a0 // tests: reads what PDFs say
	github.com/moby/moby/client v0.6.2 // tests: finds containers that dead runs left
	github.com/parquet-go/parquet-go v0.32.0 // Parquet
	github.com/planetscale/vtprotobuf v0.6.1-0.20240319094008-0393e58bdf10 // writes messages without reflection
	github.com/pressly/goose/v3 v3.29.0 // migrations
	github.com/prometheus/client_golang v1.24.1 // metrics in Prometheus's form
	github.com/riverqueue/river v0.51.2 // jobs in the transaction that makes them necessary
	github.com/riverqueue/river/riverdriver v0.51.2 // its way to a database
	github.com/riverqueue/river/riverdriver/riverpgxv5 v0.51.2 // by pgx
	github.com/riverqueue/river/rivertype v0.51.2 // its types
	github.com/riverqueue/rivercontrib/otelriver v0.12.0 // spans of jobs
	github.com/rogpeppe/go-internal v1.16.0 // tests: the command line as scripts
	github.com/rs/cors v1.11.1 // which origins' pages may call
	github.com/spf13/cobra v1.10.2 // the command line
	github.com/spf13/pflag v1.0.9 // its flags, which are the settings
	github.com/standard-webhooks/standard-webhooks/libraries v0.0.1 // signs webhooks' messages
	github.com/testcontainers/testcontainers-go v0.45.0 // tests: a real Postgres
	github.com/testcontainers/testcontainers-go/modules/postgres v0.45.0 // tests: the same
	github.com/tidwall/geodesic v0.3.5 // longitudes and latitudes to a plan
	go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc v0.72.0 // spans and metrics of calls
	go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp v0.72.0 // of requests over HTTP
	go.opentelemetry.io/otel v1.47.0 // traces and metrics
	go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp v1.47.0 // traces to a collector
	go.opentelemetry.io/otel/exporters/prometheus v0.69.0 // metrics to who scrapes
	go.opentelemetry.io/otel/metric v1.47.0 // the API of metrics
	go.opentelemetry.io/otel/sdk v1.47.0 // what stands behind it
	go.opentelemetry.io/otel/sdk/metric v1.47.0 // the same of metrics
	go.opentelemetry.io/otel/trace v1.47.0 // the API of traces
	go.opentelemetry.io/proto/otlp v1.11.0 // tests: what a collector gets
	go.uber.org/goleak v1.3.0 // tests: no goroutine is left
	go.yaml.in/yaml/v3 v3.0.6 // settings in a file, with lines in errors
	golang.org/x/image v0.48.0 // charts' and papers' pictures
	golang.org/x/net v0.61.0 // tests: frames that no client would send
	golang.org/x/perf v0.0.0-20260908200009-22c9c6c9d4da // reads what benchmarks print
	golang.org/x/sync v0.25.0 // a semaphore with a line
	golang.org/x/term v0.48.0 // is it a terminal, and how wide
	golang.org/x/text v0.44.0 // Unicode's normal form, locales, bidirectional text
	golang.org/x/time v0.16.0 // token buckets
	gonum.org/v1/plot v0.17.0 // charts
	google.golang.org/genproto/googleapis/rpc v0.0.0-20261110000943-09e21b237f2c // the details of errors
	google.golang.org/grpc v1.85.0 // the API
	google.golang.org/protobuf v1.36.12 // its messages
	pgregory.net/rapid v1.3.0 // tests: laws over generated inputs
)

require (
	cel.dev/cel-go v0.33.2 // indirect
	cel.dev/expr v0.25.3 // indirect
	codeberg.org/go-latex/latex v0.2.0 // indirect
	dario.cat/mergo v1.0.2 // indirect
	git.sr.ht/~sbinet/gg v0.7.0 // indirect
	github.com/Azure/go-ansiterm v0.0.0-20261006220739-8c912ac31dd4 // indirect
	github.com/Microsoft/go-winio v0.6.3 // indirect
	github.com/aclements/go-moremath v0.0.0-20210112150236-f10218a38794 // indirect
	github.com/ajstarks/svgo v0.0.0-20211024235047-1546f124cd8b // indirect
	github.com/andybalholm/brotli v1.2.6 // indirect
	github.com/antlr4-go/antlr/v4 v4.13.1 // indirect
	github.com/apache/thrift v0.24.0 // indirect
	github.com/beorn7/perks v1.0.1 // indirect
	github.com/cenkalti/backoff/v4 v4.3.0 // indirect
	github.com/cenkalti/backoff/v5 v5.0.3 // indirect
	github.com/cespare/xxhash/v2 v2.3.0 // indirect
	github.com/containerd/errdefs/pkg v0.3.0 // indirect
	github.com/containerd/log v0.1.0 // indirect
	github.com/containerd/platforms v0.2.1 // indirect
	github.com/cpuguy83/dockercfg v0.3.2 // indirect
	github.com/distribution/reference v0.6.0 // indirect
	github.com/docker/go-connections v0.8.2 // indirect
	github.com/docker/go-units v0.5.0 // indirect
	github.com/ebitengine/purego v0.10.1 // indirect
	github.com/felixge/httpsnoop v1.1.0 // indirect
	github.com/go-logr/logr v1.4.4 // indirect
	github.com/go-logr/stdr v1.2.2 // indirect
	github.com/go-ole/go-ole v1.3.0 // indirect
	github.com/go-openapi/jsonpointer v1.0.2 // indirect
	github.com/goccy/go-json v0.10.6 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/google/flatbuffers v25.12.19+incompatible // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/jackc/pgpassfile v1.0.0 // indirect
	github.com/jackc/pgservicefile v0.0.0-20240606120523-5a60cdf6a761 // indirect
	github.com/jackc/puddle/v2 v2.2.3 // indirect
	github.com/json-iterator/go v1.1.12 // indirect
	github.com/klauspost/compress v1.20.1 // indirect
	github.com/klauspost/cpuid/v2 v2.4.0 // indirect
	github.com/lib/pq v1.10.9 // indirect
	github.com/lufia/plan9stats v0.0.0-20260330125221-c963978e514e // indirect
	github.com/magiconair/properties v1.18.12 // indirect
	github.com/mfridman/interpolate v0.0.2 // indirect
	github.com/moby/docker-image-spec v1.3.1 // indirect
	github.com/moby/go-archive v0.3.3 // indirect
	github.com/moby/moby/api v1.56.1 // indirect
	github.com/moby/patternmatcher v0.6.1 // indirect
	github.com/moby/sys/sequential v0.7.0 // indirect
	github.com/moby/sys/user v0.4.1 // indirect
	github.com/moby/sys/userns v0.1.0 // indirect
	github.com/moby/term v0.5.2 // indirect
	github.com/modern-go/concurrent v0.0.0-20180306012644-bacd9c7ef1dd // indirect
	github.com/modern-go/reflect2 v1.0.2 // indirect
	github.com/munnerz/goautoneg v0.0.0-20191010083416-a7dc8b61c822 // indirect
	github.com/opencontainers/go-digest v1.0.0 // indirect
	github.com/opencontainers/image-spec v1.1.1 // indirect
	github.com/parquet-go/bitpack v1.0.0 // indirect
	github.com/parquet-go/jsonlite v1.0.0 // indirect
	github.com/pierrec/lz4/v4 v4.1.33 // indirect
	github.com/power-devops/perfstat v0.0.0-20240221224432-82ca36839d55 // indirect
	github.com/prometheus/client_model v0.6.3 // indirect
	github.com/prometheus/common v0.72.0 // indirect
	github.com/prometheus/otlptranslator v1.0.0 // indirect
	github.com/prometheus/procfs v0.22.0 // indirect
	github.com/riverqueue/river/rivershared v0.51.2 // indirect
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3 // indirect
	github.com/sethvargo/go-retry v0.5.0 // indirect
	github.com/shirou/gopsutil/v4 v4.26.6 // indirect
	github.com/sirupsen/logrus v1.10.2 // indirect
	github.com/stretchr/testify v1.12.1 // indirect
	github.com/tidwall/gjson v1.20.0 // indirect
	github.com/tidwall/match v1.2.0 // indirect
	github.com/tidwall/pretty v1.2.1 // indirect
	github.com/tidwall/sjson v1.2.5 // indirect
	github.com/tklauser/go-sysconf v0.4.0 // indirect
	github.com/tklauser/numcpus v0.12.0 // indirect
	github.com/twpayne/go-geom v1.6.1 // indirect
	github.com/xi2/xz v0.0.0-20171230120015-48954b6210f8 // indirect
	github.com/yusufpapurcu/wmi v1.2.4 // indirect
	github.com/zeebo/xxh3 v1.1.0 // indirect
	go.opentelemetry.io/auto/sdk v1.2.1 // indirect
	go.opentelemetry.io/otel/exporters/otlp/otlptrace v1.47.0 // indirect
	go.opentelemetry.io/otel/log v1.47.0 // indirect
	go.uber.org/multierr v1.11.0 // indirect
	go.yaml.in/yaml/v4 v4.0.0 // indirect
	golang.org/x/crypto v0.58.0 // indirect
	golang.org/x/exp v0.0.0-20261014143641-f0251eb4aa3e // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
	google.golang.org/genproto/googleapis/api v0.0.0-20261104224025-d1e00e9f33ab // indirect
)
