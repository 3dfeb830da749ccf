#!/usr/bin/env python3
"""A worked CRM example over gRPC: prices in, then a deal's quote from its making
to its acceptance. crm.sh is the same over HTTP.

It needs Debian's python3-grpcio and python3-protobuf; ../client.py has what is
not about fences.

Usage: crm.py HOST:PORT KEY_FILE PRICES.csv
"""
import base64
import hashlib
import pathlib
import sys

import grpc

sys.dont_write_bytecode = True  # nothing of this is to be kept
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent))
from client import Client  # noqa: E402  (it stands beside this folder)

COMPANY = "companies/harrow"
PRICES = "wattle.v1.PriceBookService/"
QUOTES = "wattle.v1.QuoteService/"
DEAL = "D-1001"  # the CRM's own record


def import_prices(client, path):
    """Sends a price list as it is; the same list again changes nothing."""
    content = pathlib.Path(path).read_bytes()
    digest = hashlib.sha256(content).hexdigest()
    chunks = [content[at:at + (1 << 20)] for at in range(0, len(content), 1 << 20)]
    return client.stream(PRICES + "ImportPrices", [
        {"header": {"parent": COMPANY, "requestId": "list-" + digest[:16], "mode": "MODE_PATCH"}},
        *({"csvChunk": base64.b64encode(chunk).decode()} for chunk in chunks),
        {"trailer": {"rowCount": str(content.count(b"\n") - 1), "sha256": digest}},
    ])


def main(address, key_file, prices):
    with Client(address, key_file) as client:
        book = import_prices(client, prices)
        print(f"prices: revision {book.revision}, {book.counts.added} added")

        # The request id comes from the deal, so that a click made twice makes one quote.
        quote = client.call(QUOTES + "CreateQuote", {
            "parent": COMPANY, "requestId": DEAL + "-quote", "externalReference": DEAL, "customer": "C-2001", "currency": "USD",
            "site": {"runs": [{"id": "back", "vertices": [{"east": "0 ft", "north": "0 ft"}, {"east": "54' 6\"", "north": "0 ft"}]}]},
            "spec": {"height": "6 ft"},
            "pricing": {"overheadPercent": "12", "profitPercent": "25"},
        }).quote
        print(f"made {quote.name}: {quote.total} {quote.currency}")
        assert client.call(QUOTES + "GetQuote", {"name": quote.name}).quote == quote, "read back it is another"

        listed = client.call(QUOTES + "ListQuotes", {"parent": COMPANY, "externalReference": DEAL}).quotes
        assert [q.name for q in listed] == [quote.name], f"the deal's quotes are {listed}"

        replay = client.call(QUOTES + "ReplayQuote", {"name": quote.name})
        assert replay.identical, f"it does not replay: {replay}"

        paper = client.call(QUOTES + "RenderQuote", {"name": quote.name, "format": "FORMAT_QUOTE_TEXT"}).document
        assert quote.fingerprint in paper.content.decode(), "the paper is another quote's"
        print(f"{paper.file_name}: {paper.media_type}, {len(paper.content)} bytes")

        issued = client.call(QUOTES + "IssueQuote", {"name": quote.name, "requestId": DEAL + "-issue", "etag": quote.etag}).quote
        accepted = client.call(QUOTES + "AcceptQuote", {
            "name": quote.name, "requestId": DEAL + "-accept", "etag": issued.etag, "decidedBy": "PARTY_CUSTOMER",
            "reference": "signature-58", "fingerprint": quote.fingerprint}).quote
        state = accepted.DESCRIPTOR.fields_by_name["state"].enum_type.values_by_number[accepted.state].name
        print(f"{DEAL}: {state}")


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    try:
        main(*sys.argv[1:])
    except grpc.RpcError as failure:
        sys.exit(f"{failure.code().name}: {failure.details()}")
