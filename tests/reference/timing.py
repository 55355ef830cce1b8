"""Times the lowest critical load factor of one stage: the engine against scipy, the same frame.

The frame is that of the last stage of a floor of 20 by 20 bays, written by examples/stage_frame:
four cubic elements to a braced post, ledgers and joists as members. scipy: SuperLU in symmetric
mode, a rough Lanczos value first, then shift-and-invert Lanczos at 0.9 of it. Assembling is not
timed on either side. One thread, median of five; both must agree to 1e-6. See README.md.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS"):
    os.environ[name] = "1"

import argparse  # noqa: E402
import json  # noqa: E402
import statistics  # noqa: E402
import subprocess  # noqa: E402
import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402

import numpy as np  # noqa: E402
import scipy.sparse.linalg as spla  # noqa: E402

from oracle import Oracle  # noqa: E402

SYMMETRIC = dict(permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=dict(SymmetricMode=True))


def inverse(matrix):
    lu = spla.splu(matrix.tocsc(), **SYMMETRIC)
    return spla.LinearOperator(matrix.shape, matvec=lu.solve)


def lowest(k, kg):
    """Lowest λ of (K + λ·Kg) x = 0."""
    start = np.random.default_rng(1).standard_normal(k.shape[0])
    rough = spla.eigsh(-kg, k=1, M=k, Minv=inverse(k), which="LA", tol=1e-2, v0=start,
                       return_eigenvectors=False)[0]
    sigma = 0.9 / rough
    found = spla.eigsh(k, k=1, M=-kg, sigma=sigma, mode="buckling", OPinv=inverse(k + sigma * kg),
                       which="LA", v0=start, return_eigenvectors=False)
    return float(found[0])


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--programs", default="target/debug/examples")
    arguments.add_argument("--bays", default="20x20")
    arguments.add_argument("--cut", default="1")
    arguments.add_argument("--times", type=int, default=5)
    a = arguments.parse_args()
    frame = subprocess.run([f"{a.programs}/stage_frame", "--bays", a.bays, "--cut", a.cut],
                           check=True, capture_output=True, text=True).stdout
    oracle = Oracle(json.loads(frame))
    _, axial = oracle.solve(oracle.f["cases"]["V"])
    k = oracle.kff.tocsc()
    kg = oracle.geometric(axial)[oracle.free][:, oracle.free].tocsc()
    theirs, ours = [], []
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        file.write(frame)
        file.flush()
        for _ in range(a.times):
            start = time.process_time()
            factor = lowest(k, kg)
            theirs.append(time.process_time() - start)
            out = subprocess.run([f"{a.programs}/solve_frame", file.name, "--case", "V", "--modes", "1"],
                                 check=True, capture_output=True, text=True).stdout
            answer = json.loads(out)
            ours.append(answer["timings"]["lowest processor"] / 1e3)
    found = answer["critical_load_factors"][0]
    off = abs(found / factor - 1)
    ratio = statistics.median(ours) / statistics.median(theirs)
    print(f"{len(oracle.free)} equations by scipy, {answer['unknowns']} by the engine")
    print(f"lowest factor: scipy {factor:.9g}, engine {found:.9g}, off by {off:.1e}")
    print(f"scipy  {statistics.median(theirs):.3f} s of processor time, of {np.round(theirs, 3).tolist()}")
    print(f"engine {statistics.median(ours):.3f} s of processor time, of {np.round(ours, 3).tolist()}")
    print(f"engine over scipy: {ratio:.2f} (to be at most 0.5)")
    sys.exit(0 if off < 1e-6 and ratio <= 0.5 else 1)


if __name__ == "__main__":
    main()
