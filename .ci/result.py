"""Reads an output folder as a stranger's program would; exit status 1 where it does not hold together."""
import hashlib
import json
import math
import pathlib
import struct
import sys

folder = pathlib.Path(sys.argv[1])


def no_constant(word):
    raise ValueError(f"{word} is no JSON number")


doc = json.loads((folder / "result.json").read_text(), parse_constant=no_constant)


def numbers(value, path=""):
    """Holds that every number is finite and nothing is null but a deviation."""
    if isinstance(value, dict):
        for key, inner in value.items():
            assert inner is not None or key == "deviation", f"{path}.{key} is null"
            numbers(inner, f"{path}.{key}")
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            numbers(inner, f"{path}[{i}]")
    elif isinstance(value, float):
        assert math.isfinite(value), path


numbers(doc)
assert doc["schema"] == "pointup.result/1"
for name, sum_ in doc["files"].items():
    got = hashlib.sha256((folder / name).read_bytes()).hexdigest()
    assert sum_.split()[-1] == got, f"{name} is not the file that result.json lists"

ratio, elements = doc["scale"]["ratio"], doc["elements"]
assert len({e["id"] for e in elements}) == len(elements), "two elements of one id"
for e in elements:
    assert e["maquette"].keys() == e["full_size"].keys(), e["id"]
    assert not set(e["hidden"]) & set(e["maquette"]), f"{e['id']}: hidden and given"
    for key, u in e["u95"].items():
        assert u > 0, f"{e['id']} {key}: u95 is {u}"
    for key, x in e["maquette"].items():
        if key.endswith("_mm") and isinstance(x, (int, float)):
            # printed to 1e-4 mm, so full size may differ by half a digit times the ratio
            assert abs(e["full_size"][key] - ratio * x) <= 1e-4 * (ratio + 1), f"{e['id']} {key}"

claimed = sum(e["faces"] for e in elements) + doc["unassigned"]["faces"]
assert claimed <= doc["scan"]["triangles"], "more facets in elements than in the scan"

data = (folder / "elements.ply").read_bytes()
head = data[: data.index(b"end_header\n")].decode().split("\n")
count = {line.split()[1]: int(line.split()[2]) for line in head if line.startswith("element ")}
assert count["face"] == doc["scan"]["triangles"], "elements.ply does not have the scan's facets"
numbers_seen, at = set(), data.index(b"end_header\n") + len(b"end_header\n")
vertex_bytes = sum({"float": 4, "double": 8, "uchar": 1, "uint": 4, "int": 4}[l.split()[1]]
                   for l in head[head.index(f"element vertex {count['vertex']}"):head.index(f"element face {count['face']}")]
                   if l.startswith("property"))
at += vertex_bytes * count["vertex"]
for _ in range(count["face"]):
    corners, = struct.unpack_from("<B", data, at)
    element, = struct.unpack_from("<I", data, at + 1 + 4 * corners)
    numbers_seen.add(element)
    at += 1 + 4 * corners + 4 + 1
assert at == len(data), "elements.ply is longer or shorter than its header says"
assert numbers_seen - {0} == {int(e["id"][1:]) for e in elements}, "elements.ply and result.json name other elements"
print(f"{len(elements)} elements, {len(doc['files'])} files, {count['face']} facets: hold together")
