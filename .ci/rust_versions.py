"""Fails if a normal dependency needs a newer Rust than the crate states. Reads `cargo metadata` from standard input."""

import json
import sys


def number(version):
    return [int(part) for part in (version.split(".") + ["0", "0"])[:3]]


data = json.load(sys.stdin)
packages = {package["id"]: package for package in data["packages"]}
nodes = {node["id"]: node for node in data["resolve"]["nodes"]}
root = data["resolve"]["root"]
stated = packages[root]["rust_version"]

seen, todo = set(), [root]
while todo:
    for dependency in nodes[todo.pop()]["deps"]:
        normal = any(kind["kind"] is None for kind in dependency["dep_kinds"])
        if normal and dependency["pkg"] not in seen:
            seen.add(dependency["pkg"])
            todo.append(dependency["pkg"])

newer = [
    f"{packages[p]['name']} {packages[p]['version']} needs Rust {packages[p]['rust_version']}"
    for p in seen
    if packages[p]["rust_version"] and number(packages[p]["rust_version"]) > number(stated)
]
print(f"{len(seen)} normal dependencies, stated minimum Rust {stated}")
print("\n".join(newer))
sys.exit(bool(newer))
