#!/usr/bin/env python3
"""Checks quote documents without any of the program's own code.

For each document FILE.json beside SHA256SUMS it checks that
  1. the bytes are in the canonical form of RFC 8785, and every number in them
     is a string,
  2. their SHA-256 is the fingerprint that SHA256SUMS names,
  3. every line's cost is its quantity times its unit price, the totals follow
     from the lines by the rules of DEVELOPERS.md, and the bays of each stretch
     add up to it,
  4. it has the fields of its rules version and none of a later one,
  5. what is sold by another unit than it is counted in is ordered in whole packs,
     enough and less than a pack too much, where one is a fixed number of the other,
  6. the hours of each task are its quantity times its rate and factors, and the
     days follow from them.

Usage: check_fingerprint.py [FOLDER or DOCUMENT ...]; the standard library is
all it needs. Exit status 0 when everything holds.
"""
import hashlib
import json
import pathlib
import sys
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext

MINOR = {"JPY": 0, "KRW": 0, "BHD": 3, "KWD": 3, "JOD": 3}


# Fields that came after rules version 1, by the version they came with: those
# that every spec has from then on, by their group ("" is the spec itself), and
# those that are left out where they are zero or empty, by the place they are in.
ALWAYS = {
    2: {"": {"access", "alignment", "curves", "slope"}},
    3: {
        "": {"details", "extras", "moisture"},
        "boards": {"overlap", "pattern"},
        "fasteners": {"coating", "screws_per_rail_end"},
        "gates": {"frame", "frame_size"},
        "holes": {"rules", "terminal_depth", "terminal_diameter"},
        "labour": {"by", "crew", "equipment", "hours_per_day"},
        "layout": {"bracket_gap", "hang", "insertion"},
        "posts": {"terminal_size"},
        "rails": {"max_span"},
    },
}
OPTIONAL = {
    2: {
        "site": {"obstacles"},
        "run": {"chords", "ground", "keep_outs", "neighbours", "pins", "slopes"},
        "terminus": {"line_post_of"},
        "layout": {"barred"},
        "post": {"because", "existing", "ground"},
        "stretch": {"stepped"},
        "face": {"bay", "longer", "stepped"},
        "bay": {"fill", "least_gap", "most_gap", "rise", "top"},
    },
    3: {
        "site": {"conditions"},
        "gate": {"slides"},
        "opening": {"roller", "slides"},
        "boarding": {"back", "front", "overlap"},
        "takeoff": {"delivery", "movement", "work"},
        "leaf": {"upright", "uprights"},
        "cut plan": {"joints"},
        "result": {"checks"},
    },
    4: {
        "pricing": {"preferred_suppliers"},
        "takeoff line": {"order_unit"},
    },
}
LEAF_3 = {"frame", "weighing", "weight"}  # of every leaf from rules version 3 on
PRICING_4 = {"stale_after_days"}  # of every pricing from rules version 4 on
NEWEST = max(OPTIONAL)
EMPTY = ("0", "", False, [], {})


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


def places(doc):
    """Every place of the document that has optional fields: kind, name, value."""
    site, result = doc["request"]["site"], doc["result"]
    yield "pricing", "pricing", doc["request"]["pricing"]
    layout, takeoff = result["layout"], result["takeoff"]
    yield from (("site", "site", site), ("layout", "layout", layout))
    yield from (("takeoff", "takeoff", takeoff), ("result", "result", result))
    for run in site["runs"]:
        name = "run " + run["id"]
        yield "run", name, run
        yield from (("terminus", name, run[end]) for end in ("start", "end"))
        yield from (("gate", "gate " + gate["id"], gate) for gate in run["gates"])
    for post in layout["posts"] + [o["roller"] for o in layout["openings"] if "roller" in o]:
        yield "post", "post " + post["id"], post
    for kind, values in (("stretch", layout["stretches"]), ("bay", layout["bays"]), ("opening", layout["openings"]),
                         ("face", takeoff["faces"]), ("leaf", takeoff["leaves"]), ("cut plan", takeoff["cuts"]),
                         ("takeoff line", takeoff["lines"])):
        for i, value in enumerate(values):
            yield kind, f"{kind} {i}", value
            if "boarding" in value:
                yield "boarding", f"{kind} {i}", value["boarding"]


def versioned(doc):
    """All that is wrong with the fields of the document's rules version."""
    version = int(doc["rules_version"])
    if not 1 <= version <= NEWEST:
        return [f"rules version {version} is not known here"]
    wrong = []
    spec = doc["request"]["spec"]
    for since, groups in ALWAYS.items():
        for group, fields in groups.items():
            have = fields & set(spec[group] if group else spec)
            if have != (fields if version >= since else set()):
                wrong.append(f"spec {group}: not the fields of rules version {version}")
    for kind, name, value in places(doc):
        if kind == "leaf" and LEAF_3 & set(value) != (LEAF_3 if version >= 3 else set()):
            wrong.append(f"{name}: not the fields of rules version {version}")
        if kind == "pricing" and PRICING_4 & set(value) != (PRICING_4 if version >= 4 else set()):
            wrong.append(f"pricing: not the fields of rules version {version}")
        for since, kinds in OPTIONAL.items():
            for field in sorted(kinds.get(kind, set()) & set(value)):
                if version < since:
                    wrong.append(f"{name}: {field} is not known to rules version {version}")
                elif value[field] in EMPTY:
                    wrong.append(f"{name}: {field} is empty and yet written")
    return wrong


def worked(work):
    """All that is wrong with the labour by tasks: quantity x rate x factors, to a
    hundredth (a quantity that does not end as a decimal is told rounded)."""
    wrong, total = [], Decimal(0)
    for task in work["tasks"]:
        hours = Decimal(task["quantity"]) * Decimal(task["rate"])
        for factor in task["factors"]:
            hours *= Decimal(factor["value"])
        if abs(hours - Decimal(task["hours"])) > Decimal("0.01"):
            wrong.append(f"task {task['name']}: {task['hours']} hours, expected {hours}")
        total += Decimal(task["hours"])
    if total != Decimal(work["hours"]):
        wrong.append(f"work: {work['hours']} hours, the tasks say {total}")
    days = total / (int(work["crew"]) * Decimal(work["hours_per_day"]))
    if days.quantize(Decimal("0.1"), ROUND_CEILING) != Decimal(work["days"]):
        wrong.append(f"work: {work['days']} days, expected {days} rounded up to a tenth")
    return wrong


# What some units of sale are in another, exactly.
RATIO = {("yd3", "ft3"): "27", ("kg", "lb"): "1/0.45359237", ("dozen", "each"): "12", ("m3", "ft3"): "1/0.028316846592"}


def converted(lines):
    """All that is wrong with orders in another unit than the line's."""
    wrong = []
    for line in lines:
        sold = line.get("order_unit", "")
        if not sold:
            continue
        if sold == line["unit"] or (sold, line["unit"]) not in RATIO:
            wrong.append(f"{line['item']}: ordered in {sold}, counted in {line['unit']}, which is not known here")
            continue
        top, _, bottom = RATIO[sold, line["unit"]].partition("/")
        needed = (Decimal(line["net"]) * (100 + Decimal(line["waste_percent"])) / 100).to_integral_value(ROUND_CEILING)
        packs = needed * Decimal(bottom or 1) / Decimal(top) / Decimal(line["pack"])
        if packs.to_integral_value(ROUND_CEILING) * Decimal(line["pack"]) != Decimal(line["order"]):
            wrong.append(f"{line['item']}: {line['order']} {sold} ordered, {packs} packs needed")
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
    wrong += converted(doc["result"]["takeoff"]["lines"])
    if "work" in doc["result"]["takeoff"]:
        wrong += worked(doc["result"]["takeoff"]["work"])
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
