"""Random frames in the neutral format, from a seed. Units m, N."""

import math
import random

SECTIONS = {
    "post": dict(E=210e9, G=81e9, A=4.5e-4, Iy=1.16e-7, Iz=1.16e-7, J=2.32e-7),
    "inner": dict(E=210e9, G=81e9, A=3.4e-4, Iy=6.0e-8, Iz=6.0e-8, J=1.2e-7),
    "ledger": dict(E=70e9, G=26e9, A=8e-4, Iy=3e-7, Iz=9e-7, J=1e-7),
    "brace": dict(E=210e9, G=81e9, A=2e-4, Iy=0.0, Iz=0.0, J=0.0),
}


def frame(seed):
    """A storey of posts, telescoped or not, with ledgers of any joint and some braces."""
    r = random.Random(seed)
    nx, ny = r.randint(1, 3), r.randint(1, 2)
    density = r.choice([0.3, 0.6, 0.9])
    springs_allowed = r.random() < 0.5
    # Half of all frames have hinged ledgers only, so that mechanisms are common, and half stand
    # exactly on the grid.
    hinged = r.random() < 0.5
    jitter = r.choice([0.0, 0.05])
    nodes, members, supports, heads, feet = [], [], [], {}, {}

    def node(x, y, z):
        nodes.append([x, y, z])
        return len(nodes) - 1

    def member(i, j, sec, kind, role, z=None, rel=None):
        m = dict(i=i, j=j, sec=sec, type=kind, role=role)
        if kind == "beam":
            m["z"] = z
            m["rel"] = rel or dict(i=[None] * 3, j=[None] * 3)
        members.append(m)

    for x in range(nx + 1):
        for y in range(ny + 1):
            px, py = 1.8 * x + r.uniform(-jitter, jitter), 2.4 * y + r.uniform(-jitter, jitter)
            foot, head = node(px, py, 0.0), node(px, py, r.uniform(2.8, 3.4))
            feet[x, y], heads[x, y] = foot, head
            fixed = not hinged and r.random() < 0.15
            supports.append([foot, 1, 1, 1, int(fixed), int(fixed), 1])
            turn = r.uniform(0, math.pi)
            z = [math.cos(turn), math.sin(turn), 0.0]
            if r.random() < 0.4:
                middle = node(px, py, nodes[head][2] * r.uniform(0.35, 0.65))
                member(foot, middle, "post", "beam", "post", z)
                member(middle, head, "inner", "beam", "post", z)
            else:
                member(foot, head, "post", "beam", "post", z)

    def joint():
        kinds = ["rigid", "pinned", "pinned", "free", "spring" if springs_allowed else "pinned"]
        kind = r.choice(["pinned", "free"] if hinged else kinds)
        k = {"rigid": None, "pinned": 0.0, "free": 0.0, "spring": r.uniform(2e3, 2e5)}[kind]
        return [0.0 if kind == "free" else None, k, k]

    for (x, y), head in heads.items():
        for dx, dy in ((1, 0), (0, 1)):
            other = (x + dx, y + dy)
            if other not in heads:
                continue
            if r.random() < 0.25:
                member(head, heads[other], "ledger", "truss", "ledger")
            else:
                end = joint()
                rel = dict(i=end, j=list(end) if r.random() < 0.7 else joint())
                member(head, heads[other], "ledger", "beam", "ledger", [0.0, 0.0, 1.0], rel)
            for a, b in ((feet[x, y], heads[other]), (feet[other], head)):
                if r.random() < density * 0.6:
                    member(a, b, "brace", "truss", "brace")
        if (x + 1, y + 1) in heads and r.random() < density * 0.5:
            member(head, heads[x + 1, y + 1], "brace", "truss", "plan")

    cases = {}
    for name in ("V", "H"):
        nodal = []
        for head in heads.values():
            side = 60.0 if name == "H" else 0.0
            nodal.append([head, r.uniform(-side, side), r.uniform(-side, side), -r.uniform(500, 3000), 0, 0, 0])
        udl = []
        if r.random() < 0.6:
            for k, m in enumerate(members):
                if m["role"] == "ledger" and m["type"] == "beam" and r.random() < 0.5:
                    udl.append([k, 0.0, r.uniform(-20, 20), -r.uniform(50, 500)])
        cases[name] = dict(nodal=nodal, udl=udl)
    off_axis(members, nodes, seed)
    return dict(sections=SECTIONS, nodes=nodes, members=members, supports=supports, cases=cases)


def off_axis(members, nodes, seed):
    """In a quarter of all frames the braces miss the posts' axes, as couplers make them do."""
    r = random.Random(f"{seed} off axis")
    if r.random() > 0.25:
        return
    for m in members:
        if m["role"] != "brace" or r.random() < 0.3:
            continue
        a, b = nodes[m["i"]], nodes[m["j"]]
        run = math.hypot(b[0] - a[0], b[1] - a[1])
        across = [(a[1] - b[1]) / run, (b[0] - a[0]) / run]
        by = r.uniform(0.03, 0.08) * r.choice([-1, 1])
        # Both ends on one side, a little up or down each post.
        m["arm"] = {end: [by * across[0], by * across[1], r.uniform(-0.1, 0.1)] for end in ("i", "j")}


def divided(f, n):
    """The same frame with every beam that can bend divided into n, so that cubic elements do."""
    nodes = [list(p) for p in f["nodes"]]
    members, cases = [], {name: dict(nodal=c.get("nodal", []), udl=[]) for name, c in f["cases"].items()}
    loads = {name: {u[0]: u[1:] for u in c.get("udl", [])} for name, c in f["cases"].items()}
    for k, m in enumerate(f["members"]):
        parts = n if m["type"] == "beam" and f["sections"][m["sec"]]["Iy"] > 0 else 1
        a, b, last = f["nodes"][m["i"]], f["nodes"][m["j"]], m["i"]
        for part in range(parts):
            end = part + 1 == parts
            if end:
                here = m["j"]
            else:
                t = (part + 1) / parts
                nodes.append([p + t * (q - p) for p, q in zip(a, b)])
                here = len(nodes) - 1
            new = dict(m, i=last, j=here)
            rel = m.get("rel")
            if rel and rel["i"][0] == 0.0 and rel["j"][0] == 0.0:
                # Free to twist at both ends: its parts would spin. Joined at one it carries none either.
                rel = dict(rel, i=[None, *rel["i"][1:]])
            if rel and parts > 1:
                none = [None] * 3
                new["rel"] = dict(i=rel["i"] if part == 0 else none, j=rel["j"] if end else none)
            for name in cases:
                if k in loads[name]:
                    cases[name]["udl"].append([len(members), *loads[name][k]])
            members.append(new)
            last = here
    return dict(f, nodes=nodes, members=members, cases=cases)
