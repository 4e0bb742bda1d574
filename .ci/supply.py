"""Writes what this is made of, SUPPLY.md, from the lock file; fails on a licence that was not agreed to.

    python3 .ci/supply.py            holds the file to the lock, as .ci/run does
    python3 .ci/supply.py --write    writes it anew

Why a crate is used that a manifest names stands in DEVELOPERS.md, in the table under "Dependencies"; it is read from there.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SUPPLY = ROOT / "SUPPLY.md"

# What each of these asks for is kept by naming its authors and its text beside what is handed on.
ALLOWED = {
    "0BSD", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "CC0-1.0",
    "ISC", "MIT", "MIT-0", "Unicode-3.0", "Unlicense", "Zlib",
}

# Crates that are known to have no maintainer any more, and what is done about it.
PLANS = {
    "paste": "RUSTSEC-2024-0436. It makes names while the program is built and has no part in what runs; it comes with "
             "`faer` and `nalgebra`, and goes when they leave it. Should it stop building before, its fork `pastey` takes "
             "the same words.",
}


def metadata(*more):
    words = ["cargo", "metadata", "--format-version", "1", "--locked", "--all-features", *more]
    return json.loads(subprocess.run(words, cwd=ROOT, check=True, stdout=subprocess.PIPE).stdout)


def agreed(licence):
    """Whether a licence expression (SPDX) leaves a choice that is allowed. A stroke is an old way to write OR."""
    words = re.findall(r"\(|\)|[^\s()]+", licence.replace("/", " OR "))
    position = 0

    def peek():
        return words[position] if position < len(words) else None

    def take():
        nonlocal position
        position += 1
        return words[position - 1]

    def single():
        if peek() == "(":
            take()
            found = either()
            take()
            return found
        name = take()
        if peek() == "WITH":
            name = f"{name} {take()} {take()}"
        return name in ALLOWED

    def both():
        found = single()
        while peek() == "AND":
            take()
            found = single() and found
        return found

    def either():
        found = both()
        while peek() == "OR":
            take()
            found = both() or found
        return found

    return either()


def reached(graph, starts, follow):
    """What is reached from some packages along edges that `follow` takes."""
    seen, todo = set(starts), list(starts)
    while todo:
        for edge in graph[todo.pop()]:
            if edge["pkg"] not in seen and follow(edge):
                seen.add(edge["pkg"])
                todo.append(edge["pkg"])
    return seen


def kinds(edge):
    return {kind["kind"] for kind in edge["dep_kinds"]}


def parts(data):
    """Packages by where they are needed: in the program, to build it, or for tests and benches only."""
    graph = {node["id"]: node["deps"] for node in data["resolve"]["nodes"]}
    makes = {p["id"] for p in data["packages"] if any("proc-macro" in t["kind"] for t in p["targets"])}
    own = data["workspace_members"]
    program = reached(graph, own, lambda e: None in kinds(e) and e["pkg"] not in makes)
    building = reached(
        graph, program, lambda e: bool(kinds(e) & {None, "build"})
    )
    return program, building, set(graph)


def reasons():
    """Why each crate is used that a manifest names, from DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("## Dependencies", 1)[1].split("\n## ", 1)[0]
    found = {}
    for line in table.splitlines():
        cells = [cell.strip() for cell in line.split(" | ")]
        if len(cells) >= 3 and cells[0].startswith("| `"):
            for name in re.findall(r"`([^`]+)`", cells[0]):
                found[name] = cells[1], " | ".join(cells[2:]).removesuffix(" |").removesuffix("|").strip()
    return found


def table(heads, rows):
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join("| " + " | ".join(cell for cell in line) + " |" for line in lines)


def supply():
    data, here = metadata(), metadata("--filter-platform", "x86_64-unknown-linux-gnu")
    program, building, _ = parts(data)
    on_linux = {node["id"] for node in here["resolve"]["nodes"]}
    own = set(data["workspace_members"])
    packages = sorted(data["packages"], key=lambda p: (p["name"], [int(n) for n in re.findall(r"\d+", p["version"])]))
    known, faults = reasons(), []
    named = {d["name"] for p in data["packages"] if p["id"] in own for d in p["dependencies"]}
    by = {}
    for node in data["resolve"]["nodes"]:
        for edge in node["deps"]:
            by.setdefault(edge["pkg"], set()).add(next(p["name"] for p in packages if p["id"] == node["id"]))

    def where(package):
        place = "program" if package["id"] in program else "building" if package["id"] in building else "tests"
        return place if package["id"] in on_linux else f"{place}, other systems"

    direct, brought = [], []
    for package in packages:
        if package["id"] in own:
            continue
        name, licence = package["name"], package["license"] or "none"
        if not agreed(licence):
            faults.append(f"{name} {package['version']}: the licence {licence} was not agreed to")
        users = by.get(package["id"], set())
        if name in named and any(user.startswith("coolwright") for user in users):
            if name not in known:
                faults.append(f"{name}: DEVELOPERS.md does not say why it is used")
            used, why = known.get(name, ("", ""))
            direct.append([f"`{name}`", package["version"], licence, where(package), used, why])
        else:
            brought.append([f"`{name}`", package["version"], licence, where(package), ", ".join(f"`{u}`" for u in sorted(users))])
    all_names = {package["name"] for package in packages}
    faults += [f"{name}: DEVELOPERS.md says why it is used, and no manifest names it" for name in known if name not in named]
    faults += [f"{name}: a plan for what is not here any more" for name in PLANS if name not in all_names]
    text = f"""# What coolwright is made of

Written by `python3 .ci/supply.py --write` from `Cargo.lock`, and held to it by `.ci/run`; do not write here. Where a crate is
needed: in the `program`, for `building` it, for `tests` and benches only; on `other systems` than Linux only.

## Named by a manifest ({len(direct)})

{table(["crate", "version", "licence", "needed", "used in", "for"], direct)}

## Brought along by those ({len(brought)})

{table(["crate", "version", "licence", "needed", "brought by"], brought)}

## Licences

Agreed to: {", ".join(sorted(ALLOWED))}. Of several that are offered one of these is taken. A crate with another one fails the
check.

## Without a maintainer

{table(["crate", "what is done"], [[f"`{name}`", plan] for name, plan in sorted(PLANS.items())])}

The list of known faults and of what nobody keeps any more (https://rustsec.org) is not read by this check, which needs crates.io
alone: run `cargo audit`, which fetches it, before a release.
"""
    return text, faults


def main():
    text, faults = supply()
    if "--write" in sys.argv[1:]:
        SUPPLY.write_text(text, encoding="utf-8")
    elif not SUPPLY.exists() or SUPPLY.read_text(encoding="utf-8") != text:
        faults.append("SUPPLY.md is not that of the lock file: write it anew by `python3 .ci/supply.py --write`")
    for fault in faults:
        print(fault, file=sys.stderr)
    sys.exit(1 if faults else 0)


main()
