#!/usr/bin/env bash
# A worked CRM example over HTTP with curl and jq: prices in, then a deal's quote from its making to its acceptance. crm.py
# is the same over gRPC.
# usage: crm.sh http://HOST:PORT KEY_FILE PRICES.csv
set -euo pipefail
base=$1 key_file=$2 prices=$3
company=$base/v1/companies/harrow
deal=D-1002 # the CRM's own record

# The key goes by a file, so that no list of processes shows it; an error's status and text are shown.
call() {
	curl --silent --show-error --fail-with-body -H @<(printf 'Authorization: Bearer %s\n' "$(<"$key_file")") "$@"
}
post() { call -H 'Content-Type: application/json' --data "$2" "$1"; }
expect() { [[ $2 == "$3" ]] || { echo "$1: expected $3, found $2" >&2; exit 1; }; }

expect ready "$(call "$base/readyz" | jq -r .status)" ready

# A price list goes in parts of at most 1 MiB; these are small, to be several. The same list again changes nothing.
import_prices() {
	local digest import part=0 chunk
	digest=$(sha256sum <"$prices" | cut -d ' ' -f 1)
	import=$(post "$company/imports" '{"header": {"requestId": "list-'"${digest:0:16}"'", "mode": "MODE_PATCH"}}' | jq -r .name)
	for chunk in $(split --bytes 3000 --filter 'base64 --wrap 0; echo' "$prices"); do
		post "$base/v1/$import:upload" '{"part": '$((++part))', "content": "'"$chunk"'"}' >/dev/null
	done
	post "$base/v1/$import:commit" '{"trailer": {"rowCount": "'$(($(wc -l <"$prices") - 1))'", "sha256": "'"$digest"'"}}' |
		jq -r '"prices in '$part' parts: revision \(.outcome.revision), \(.outcome.counts.repriced) repriced"'
}
import_prices

# The request id comes from the deal, so that a click made twice makes one quote.
quote=$(post "$company/quotes" '{
	"requestId": "'$deal'-quote", "externalReference": "'$deal'", "customer": "C-2001", "currency": "USD",
	"site": {"runs": [{"id": "back", "vertices": [{"east": "0 ft", "north": "0 ft"}, {"east": "54 ft 6 in", "north": "0 ft"}]}]},
	"spec": {"height": "6 ft"},
	"pricing": {"overheadPercent": "12", "profitPercent": "25"}}')
name=$(jq -r .quote.name <<<"$quote")
fingerprint=$(jq -r .quote.fingerprint <<<"$quote")
jq -r '"made \(.quote.name): \(.quote.total) \(.quote.currency)"' <<<"$quote"

expect "read back" "$(call "$base/v1/$name" | jq -S .)" "$(jq -S '{quote}' <<<"$quote")"
expect "the deal's quotes" "$(call "$company/quotes?externalReference=$deal" | jq -r '.quotes[].name')" "$name"
expect replay "$(call "$base/v1/$name:replay" | jq .identical)" true

paper=$(call "$base/v1/$name:render?format=FORMAT_QUOTE_TEXT&alt=media")
[[ $paper == *"$fingerprint"* ]] || expect paper "another quote's" "$fingerprint"
echo "a paper of ${#paper} characters"

issued=$(post "$base/v1/$name:issue" '{"requestId": "'$deal'-issue"}')
accepted=$(post "$base/v1/$name:accept" '{
	"requestId": "'$deal'-accept", "etag": '"$(jq .quote.etag <<<"$issued")"', "decidedBy": "PARTY_CUSTOMER",
	"reference": "signature-59", "fingerprint": "'"$fingerprint"'"}')
echo "$deal: $(jq -r .quote.state <<<"$accepted")"

# What is wrong is told whole, by the names of the JSON that was sent.
if bad=$(post "$company/quotes" '{"requestId": "'$deal'-bad", "site": {"runs": []}, "spec": {"height": "tall", "layout": {"maxBay": "wide"}}}' 2>/dev/null); then
	expect "a bad request" "$bad" "an error"
fi
jq -r '"a bad request is told:", (.details[] | .fieldViolations? // empty | .[] | "  \(.field): \(.description)")' <<<"$bad"
[[ $bad == *'"spec.layout.maxBay"'* ]] || expect "a bad request" "$bad" "spec.layout.maxBay"
