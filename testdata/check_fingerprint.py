#!/usr/bin/env python3
"""Checks quote documents without any of the program's own code.

For each document FILE.json beside SHA256SUMS it checks that
  1. the bytes are in the canonical form of RFC 8785, and every number in them
     is a string,
  2. their SHA-256 is the fingerprint that SHA256SUMS names,
  3. every line's cost is its quantity times its unit price, the totals follow
     from the lines by the rules of DEVELOPERS.md, and the bays of each stretch
     add up to it,
  4. it has the fields of its rules version and none of a later one.

Usage: check_fingerprint.py [FOLDER or DOCUMENT ...]; the standard library is
all it needs. Exit status 0 when everything holds.
"""
import hashlib
import json
import pathlib
import sys
from decimal import ROUND_HALF_UP, Decimal, localcontext

MINOR = {"JPY": 0, "KRW": 0, "BHD": 3, "KWD": 3, "JOD": 3}


# Fields that came with rules version 2: those every spec has from then on, and
# those that are left out where they are zero or empty.
SPEC_2 = {"access", "alignment", "curves", "slope"}
SITE_2 = {"obstacles"}
RUN_2 = {"chords", "ground", "keep_outs", "neighbours", "pins", "slopes"}
TERMINUS_2 = {"line_post_of"}
LAYOUT_2 = {"barred"}
POST_2 = {"because", "existing", "ground"}
STRETCH_2 = {"stepped"}
FACE_2 = {"bay", "longer", "stepped"}
BAY_2 = {"fill", "least_gap", "most_gap", "rise", "top"}
EMPTY = ("0", "", False, [])


def canonical(value):
    """The RFC 8785 form of a value without numbers: keys in UTF-16 order."""
    if isinstance(value, dict):
        keys = sorted(value, key=lambda k: k.encode("utf-16-be"))
        return "{" + ",".join(canonical(k) + ":" + canonical(value[k]) for k in keys) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if value is True or value is False:
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    raise ValueError(f"a number or null stands bare in the document: {value!r}")


def versioned(doc):
    """All that is wrong with the fields of the document's rules version."""
    version = int(doc["rules_version"])
    if version not in (1, 2):
        return [f"rules version {version} is not known here"]
    wrong = []
    site, spec, layout = doc["request"]["site"], doc["request"]["spec"], doc["result"]["layout"]
    if SPEC_2 & set(spec) != (SPEC_2 if version >= 2 else set()):
        wrong.append(f"spec: not the fields of rules version {version}")
    places = [("site", site, SITE_2), ("layout", layout, LAYOUT_2)]
    for run in site["runs"]:
        places.append(("run " + run["id"], run, RUN_2))
        places += [("run " + run["id"], run[end], TERMINUS_2) for end in ("start", "end")]
    places += [("post " + post["id"], post, POST_2) for post in layout["posts"]]
    places += [(f"stretch {i}", stretch, STRETCH_2) for i, stretch in enumerate(layout["stretches"])]
    places += [(f"bay {i}", bay, BAY_2) for i, bay in enumerate(layout["bays"])]
    places += [(f"face {i}", face, FACE_2) for i, face in enumerate(doc["result"]["takeoff"]["faces"])]
    for name, value, later in places:
        for field in sorted(later & set(value)):
            if version < 2:
                wrong.append(f"{name}: {field} is not known to rules version {version}")
            elif value[field] in EMPTY:
                wrong.append(f"{name}: {field} is empty and yet written")
    return wrong


def check(data):
    """All that is wrong with one document's bytes."""
    wrong = []
    doc = json.loads(data)
    try:
        if canonical(doc).encode() != data:
            wrong.append("not in canonical form")
    except ValueError as err:
        wrong.append(str(err))
    wrong += versioned(doc)
    request, result = doc["request"], doc["result"]
    cent = Decimal(1).scaleb(-MINOR.get(request["currency"], 2))

    def half_up(d):
        return d.quantize(cent, ROUND_HALF_UP)

    sums = {}
    for line in result["lines"]:
        cost = Decimal(line["quantity"]) * Decimal(line["unit_price"])
        if cost != Decimal(line["cost"]):
            wrong.append(f"line {line['item'] or line['description']}: {cost} is not {line['cost']}")
        sums[line["kind"]] = sums.get(line["kind"], 0) + cost
    totals = {k: Decimal(v) for k, v in result["totals"].items()}
    kinds = {"material": "material", "labour": "labour", "equipment": "equipment",
             "subcontract": "subcontract", "fee": "fees", "discount": "discount"}
    for kind, name in kinds.items():
        if half_up(Decimal(sums.get(kind, 0))) != totals[name]:
            wrong.append(f"totals: {name} is {totals[name]}, the lines say {sums.get(kind, 0)}")

    pricing = request["pricing"]
    cost = sum(totals[k] for k in ("material", "labour", "equipment", "subcontract"))
    overhead = half_up(cost * Decimal(pricing["overhead_percent"]) / 100)
    base, percent = cost + overhead, Decimal(pricing["profit_percent"])
    if pricing["profit"] == "margin":
        price = half_up(base * 100 / (100 - percent))
    else:
        price = half_up(base * (100 + percent) / 100)
    expected = {
        "cost": cost, "overhead": overhead, "profit": price - base,
        "net": price + totals["fees"] - totals["discount"],
        "total": totals["net"] + totals["tax"],
    }
    for name, amount in expected.items():
        if amount != totals[name]:
            wrong.append(f"totals: {name} is {totals[name]}, expected {amount}")

    layout = result["layout"]
    for i, stretch in enumerate(layout["stretches"]):
        bays = [b for b in layout["bays"] if int(b["stretch"]) == i]
        length = int(stretch["end"]) - int(stretch["start"])
        if sum(int(b["width"]) for b in bays) != length:
            wrong.append(f"stretch {i}: its bays do not add up to its length")
    return wrong


def main(arguments):
    here = pathlib.Path(__file__).resolve().parent / "fingerprints"
    failed = checked = 0
    for argument in map(pathlib.Path, arguments or [here]):
        files = sorted(argument.glob("*.json")) if argument.is_dir() else [argument]
        sums = {}
        listing = (argument if argument.is_dir() else argument.parent) / "SHA256SUMS"
        if listing.exists():
            for line in listing.read_text().splitlines():
                fingerprint, name = line.split()
                sums[name] = fingerprint
        for name in sorted(set(sums) - {f.name for f in files}) if argument.is_dir() else []:
            print(f"{name}: named in SHA256SUMS but absent")
            failed += 1
        for file in files:
            data = file.read_bytes()
            wrong = check(data)
            fingerprint = hashlib.sha256(data).hexdigest()
            if sums.get(file.name, fingerprint) != fingerprint:
                wrong.append(f"SHA-256 is {fingerprint}, SHA256SUMS says {sums[file.name]}")
            if argument.is_dir() and file.name not in sums:
                wrong.append("is not named in SHA256SUMS")
            checked += 1
            failed += bool(wrong)
            print(f"{file.name}: " + ("; ".join(wrong) if wrong else f"ok {fingerprint[:16]}"))
    print(f"{checked} documents checked, {failed} with faults")
    return 1 if failed or not checked else 0


if __name__ == "__main__":
    with localcontext() as context:
        context.prec = 60
        sys.exit(main(sys.argv[1:]))
