#!/usr/bin/env python3
"""A worked client in Python: plan a job and create a quote over gRPC.

It needs Debian's python3-grpcio and python3-protobuf and no generated code: it
reads the service's own description by server reflection. The job file is
JSON: what `CreateQuoteRequest` holds.

Usage: client.py HOST:PORT JOB.json KEY_FILE
"""
import json
import sys

import grpc
from google.protobuf import descriptor_pb2, descriptor_pool, json_format, message_factory

# The reflection service's own messages, as far as this client needs them.
# https://github.com/grpc/grpc/blob/master/src/proto/grpc/reflection/v1/reflection.proto
REFLECTION = "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo"


def varint(n):
    out = bytearray()
    while n > 127:
        out.append(n & 127 | 128)
        n >>= 7
    return bytes(out + bytes([n]))


def fields(data):
    """The length-delimited fields of a protobuf message, as (number, bytes)."""
    at = 0

    def number():
        nonlocal at
        n = shift = 0
        while True:
            b = data[at]
            at += 1
            n |= (b & 127) << shift
            shift += 7
            if b < 128:
                return n

    while at < len(data):
        tag = number()
        size = number()
        if tag & 7 == 2:
            yield tag >> 3, data[at:at + size]
            at += size


def describe(channel, symbol):
    """A descriptor pool that knows the symbol and everything it uses."""
    call = channel.stream_stream(REFLECTION)
    pool, known = descriptor_pool.DescriptorPool(), {}

    def fetch(field, name):
        request = varint(field << 3 | 2) + varint(len(name)) + name.encode()
        for answer in call(iter([request])):
            for number, value in fields(answer):
                if number == 4:  # file_descriptor_response
                    for _, file in fields(value):
                        proto = descriptor_pb2.FileDescriptorProto.FromString(file)
                        known[proto.name] = proto

    fetch(4, symbol)  # file_containing_symbol
    added = set()

    def add(name):
        if name in added:
            return
        added.add(name)
        if name not in known:
            fetch(3, name)  # file_by_filename
        for dependency in known[name].dependency:
            add(dependency)
        pool.Add(known[name])

    for name in list(known):
        add(name)
    return pool


class Client:
    """Calls of one service at HOST:PORT, with the key in a file; requests are dicts, as in JSON."""

    def __init__(self, address, key_file):
        with open(key_file, encoding="utf-8") as file:
            self.key = (("authorization", "Bearer " + file.read().strip()),)
        self.channel = grpc.insecure_channel(address)
        self.pools = {}

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.channel.close()

    def method(self, name):
        """The kinds of a method's request and answer, and the pool that has them."""
        service, method = name.rsplit("/", 1)
        if service not in self.pools:
            self.pools[service] = describe(self.channel, service)
        pool = self.pools[service]
        # GetMessageClass is new in protobuf 4.22; Debian 12 has an older one.
        message_class = getattr(message_factory, "GetMessageClass", None) or message_factory.MessageFactory(pool).GetPrototype
        found = pool.FindServiceByName(service).methods_by_name[method]
        return message_class(found.input_type), message_class(found.output_type), pool

    def call(self, name, request, timeout=20):
        """The answer to a request."""
        kind, answer, pool = self.method(name)
        rpc = self.channel.unary_unary("/" + name, request_serializer=kind.SerializeToString, response_deserializer=answer.FromString)
        return rpc(json_format.ParseDict(request, kind(), descriptor_pool=pool), timeout=timeout, metadata=self.key)

    def stream(self, name, requests, timeout=600):
        """The answer to a stream of requests."""
        kind, answer, pool = self.method(name)
        rpc = self.channel.stream_unary("/" + name, request_serializer=kind.SerializeToString, response_deserializer=answer.FromString)
        messages = (json_format.ParseDict(request, kind(), descriptor_pool=pool) for request in requests)
        return rpc(messages, timeout=timeout, metadata=self.key)


def main(address, job_file, key_file):
    with Client(address, key_file) as client:
        with open(job_file, encoding="utf-8") as file:
            job = json.load(file)
        made = client.call("wattle.v1.QuoteService/CreateQuote", job).quote
        print(f"{made.name}: {made.total} {made.currency}, fingerprint {made.fingerprint[:16]}...")
        print(f"{len(made.layout.posts)} posts, {len(made.layout.bays)} bays, {made.per_foot.net_feet} ft of fence")
        replay = client.call("wattle.v1.QuoteService/ReplayQuote", {"name": made.name})
        print("replays" if replay.identical else f"does not replay: {replay}")
        try:
            client.call("wattle.v1.QuoteService/CreateQuote", {**job, "parent": "companies/Not A Company"})
        except grpc.RpcError as error:
            print(f"a bad request is {error.code().name}: {error.details()}")
        return 0 if replay.identical else 1


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    try:
        sys.exit(main(*sys.argv[1:]))
    except grpc.RpcError as failure:
        sys.exit(f"{failure.code().name}: {failure.details()}")
