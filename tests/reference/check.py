"""Holds examples/solve_frame against scipy and PyNite. See README.md."""

import argparse
import hashlib
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import time

import numpy as np

import frames
import with_pynite
from oracle import Oracle

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
KEPT = ROOT / "tests/validation/data/frames"
FAILING = HERE / "failing"


class Failed(Exception):
    pass


def run(program, frame, *arguments):
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        json.dump(frame, file)
        file.flush()
        done = subprocess.run([program, file.name, *arguments], capture_output=True, text=True, timeout=600)
    if done.returncode not in (0, 1):
        raise Failed(f"exit {done.returncode}: {done.stderr.strip()}")
    return json.loads(done.stdout)


def close(what, ours, theirs, limit, least=0.0):
    """Largest difference over the largest value (or `least`, where all are round-off)."""
    ours, theirs = np.asarray(ours, float), np.asarray(theirs, float)
    size = max(np.max(np.abs(theirs)) if theirs.size else 0.0, least)
    off = np.max(np.abs(ours - theirs)) / size if size > 0 else 0.0
    if not off <= limit:
        raise Failed(f"{what}: off by {off:.2e} (limit {limit:.0e})")
    return off


def check(program, frame, modes):
    """Compares one frame; returns the largest differences, or raises Failed."""
    oracle = Oracle(frame)
    case = "V" if "V" in frame["cases"] else next(iter(frame["cases"]))
    answer = run(program, frame, "--case", case, "--modes", str(modes), "--relative", "0.9,0.999,1.001,1.1,1.5")
    count = oracle.mechanisms()
    found = answer["mechanisms"]
    if count is not None and found["count"] is not None and count != found["count"]:
        raise Failed(f"mechanisms: {found['count']}, by singular values {count}")
    seen = {"mechanisms": count if count is not None else "?"}
    if found["count"] is None:
        seen["note"] = "unknown: " + found["unknown"]
        return seen
    if found["count"] > 0:
        return seen
    # Near-mechanisms cost every program digits; the frame's condition says how many.
    limit = max(1e-6, 10 * np.finfo(float).eps * answer["condition"])
    seen["condition"] = answer["condition"]
    worst = 0.0
    for name, loads in frame["cases"].items():
        ours = answer["cases"][name]
        if "unknown" in ours:
            raise Failed(f"case {name}: {ours['unknown']}")
        u, axial = oracle.solve(loads)
        moved = np.array(ours["displacements"])
        # Rotations of idle nodes are nobody's: compare those the other code has.
        turned = np.where(u[:, 3:] == 0, 0, moved[:, 3:])
        worst = max(worst, close(f"{name} displacements", moved[:, :3], u[:, :3], limit))
        least = np.max(np.abs(u[:, :3])) / max(m["length"] for m in oracle.members)
        worst = max(worst, close(f"{name} rotations", turned, u[:, 3:], limit, least))
        worst = max(worst, close(f"{name} axial forces", ours["axial"], axial, limit))
        if with_pynite.can(frame):
            u, axial = with_pynite.solve(frame, loads)
            seen["pynite"] = max(seen.get("pynite", 0.0),
                                 close(f"{name} displacements, PyNite", moved[:, :3], u[:, :3], limit),
                                 close(f"{name} axial forces, PyNite", ours["axial"], axial, limit))
    seen["linear"] = worst
    _, axial = oracle.solve(frame["cases"][case])
    wanted = oracle.factors(axial, modes + 12)
    ours = answer["critical_load_factors"]
    if ours is None:
        raise Failed(f"load factors: {answer['critical_unknown']}")
    if ours != sorted(ours):
        raise Failed("load factors do not ascend")
    seen["lambda"] = close("load factors", np.array(ours) / wanted[:modes], np.ones(modes), limit)
    for label, counted in answer["inertia"].items():
        below = int(np.sum(wanted < counted["factor"]))
        if below < len(wanted) and below != counted["negative"]:
            raise Failed(f"{counted['negative']} factors below {label} of the lowest, {below} by scipy")
    return seen


def check_exact(program, frame):
    """One exact element a member against eight cubic ones."""
    case = next(iter(frame["cases"]))
    answer = run(program, frame, "--case", case, "--modes", "3", "--form", "exact")
    if answer["mechanisms"]["count"] != 0:
        return None
    fine = Oracle(frames.divided(frame, 8))
    _, axial = fine.solve(frames.divided(frame, 8)["cases"][case])
    wanted = fine.factors(axial, 3)
    return close("load factors, exact element", np.array(answer["critical_load_factors"]) / wanted, np.ones(3), 1e-3)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    target = os.environ.get("CARGO_TARGET_DIR", str(ROOT / "target"))
    parser.add_argument("--program", default=f"{target}/debug/examples/solve_frame")
    parser.add_argument("--seed", default="0", help="any text; a commit hash, say")
    parser.add_argument("--random", type=int, default=40, help="how many random frames")
    arguments = parser.parse_args()
    todo = [(p.stem, json.loads(p.read_text()), False) for p in sorted(KEPT.glob("*.json"))]
    todo += [(p.stem, json.loads(p.read_text()), True) for p in sorted(FAILING.glob("*.json"))]
    for k in range(arguments.random):
        seed = int.from_bytes(hashlib.sha256(f"{arguments.seed}:{k}".encode()).digest()[:6], "big")
        todo.append((f"random_{seed}", frames.frame(seed), True))
    failed = 0
    for name, frame, small in todo:
        start = time.time()
        try:
            seen = check(arguments.program, frame, 4)
            if small:
                off = check_exact(arguments.program, frame)
                if off is not None:
                    seen["exact"] = off
            words = " ".join(f"{k} {v:.1e}" if isinstance(v, float) else f"{k} {v}" for k, v in seen.items())
            print(f"ok     {name:24} {words}  ({time.time() - start:.1f} s)")
        except Failed as why:
            failed += 1
            print(f"FAILED {name:24} {why}")
            if name.startswith("random_"):
                FAILING.mkdir(exist_ok=True)
                (FAILING / f"{name}.json").write_text(json.dumps(frame))
    print(f"{len(todo) - failed} of {len(todo)} frames agree")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
