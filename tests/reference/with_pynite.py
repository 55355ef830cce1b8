"""Linear results by PyNite (https://github.com/JWock82/Pynite), for frames without rotational springs and arms.

PyNite's vertical axis is Y: coordinates go in as (x, z, −y). Its member is turned about its axis
until its local z is the frame's.
"""

import numpy as np
from Pynite import FEModel3D

TURN = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])


def can(f):
    """Whether PyNite knows all joints of the frame."""
    springs = any(k not in (None, 0.0) for m in f["members"] for e in (m.get("rel") or {}).values() for k in e)
    zero = any(m["type"] == "beam" and not f["sections"][m["sec"]]["Iy"] > 0 for m in f["members"])
    arms = any(m.get("arm") for m in f["members"])
    return not springs and not zero and not arms and not f.get("springs")


def solve(f, case):
    """Displacements per node, and axial forces (tension positive, mean of the ends)."""
    model = FEModel3D()
    for k, p in enumerate(f["nodes"]):
        model.add_node(f"N{k}", *(TURN @ np.array(p)))
    materials = {}
    for name, s in f["sections"].items():
        key = (s["E"], s["G"])
        if key not in materials:
            materials[key] = f"M{len(materials)}"
            model.add_material(materials[key], s["E"], s["G"], 0.3, 1.0)
        # A bar's end moments are released below: any section does.
        i = [s[k] if s[k] > 0 else s["A"] ** 2 for k in ("Iy", "Iz", "J")]
        model.add_section(name, s["A"], *i)
    turning = [np.zeros(3) for _ in f["nodes"]]
    for k, m in enumerate(f["members"]):
        section = f["sections"][m["sec"]]
        name = f"B{k}"
        args = (f"N{m['i']}", f"N{m['j']}", materials[section["E"], section["G"]], m["sec"])
        model.add_member(name, *args)
        member = model.members[name]
        if m["type"] == "beam":
            member.rotation = angle(model, member, TURN @ np.array(m["z"], dtype=float))
        rel = m.get("rel") or {}
        flags = []
        for end in ("i", "j"):
            r = [x is not None for x in rel.get(end, [None] * 3)]
            if m["type"] != "beam":
                r = [end == "i", True, True]
            flags += [False, False, False, *r]
        if flags[3] and flags[9]:
            # Both ends free to twist is singular there and says nothing: the member only spins.
            flags[9] = False
        model.def_releases(name, *flags)
        if m["type"] == "beam":
            axes = member.T()[:3, :3]
            torsion = not (rel and (rel["i"][0] == 0.0 or rel["j"][0] == 0.0))
            for node, r in ((m["i"], flags[3:6]), (m["j"], flags[9:12])):
                for axis in range(3):
                    joined = torsion if axis == 0 else not r[axis]
                    if joined:
                        turning[node] += axes[axis] ** 2
    held = {int(s[0]): [bool(x) for x in s[1:]] for s in f["supports"]}
    for k in range(len(f["nodes"])):
        x, y, z, rx, ry, rz = held.get(k, [False] * 6)
        fixed = [x, z, y, rx, rz, ry]
        # Rotations of a node that nothing turns with.
        idle = [turning[k][a] < 1e-12 for a in range(3)]
        model.def_support(f"N{k}", *fixed[:3], *[a or b for a, b in zip(fixed[3:], idle)])
    for n in case.get("nodal", []):
        force, moment = TURN @ np.array(n[1:4], float), TURN @ np.array(n[4:7], float)
        for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), [*force, *moment]):
            if value:
                model.add_node_load(f"N{int(n[0])}", direction, value)
    for u in case.get("udl", []):
        for direction, value in zip(("FX", "FY", "FZ"), TURN @ np.array(u[1:4], float)):
            if value:
                model.add_member_dist_load(f"B{int(u[0])}", direction, value, value)
    model.analyze_linear(check_stability=False, sparse=True)
    back = TURN.T
    combo = "Combo 1"
    u = []
    for k in range(len(f["nodes"])):
        n = model.nodes[f"N{k}"]
        u.append([*(back @ [n.DX[combo], n.DY[combo], n.DZ[combo]]), *(back @ [n.RX[combo], n.RY[combo], n.RZ[combo]])])
    axial = []
    for k in range(len(f["members"])):
        ends = model.members[f"B{k}"].f(combo).ravel()
        axial.append((ends[6] - ends[0]) / 2)
    return np.array(u), np.array(axial)


def angle(model, member, z):
    """Degrees to turn the member by so that its local z is the one wanted."""
    axes = member.T()[:3, :3]
    x = axes[0]
    z = z - x * (x @ z)
    return float(np.degrees(np.arctan2(x @ np.cross(axes[2], z), axes[2] @ z)))
