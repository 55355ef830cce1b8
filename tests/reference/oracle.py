"""A finite-element code of its own: cubic beams over numpy and scipy.

Written apart from the engine: unknowns are the six of each node and one of each released member
rotation; the stiffness is integrated from curvatures, the geometric stiffness from slopes, with
Gauss points; load factors come from a generalized eigenproblem; mechanisms from the singular
values of the equilibrium matrix.
"""

import numpy as np
import scipy.linalg as la
import scipy.sparse as sp
import scipy.sparse.linalg as spla

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(5)
DENSE = 1500


class Oracle:
    def __init__(self, f):
        self.f = f
        self.n_nodes = len(f["nodes"])
        self.nodes = np.array(f["nodes"], dtype=float)
        self.members = [self._member(m) for m in f["members"]]
        self.size = 6 * self.n_nodes
        for m in self.members:
            m["own"] = {}
            for key, k in m["released"].items():
                m["own"][key] = self.size
                self.size += 1
        held = {6 * int(s[0]) + d for s in f["supports"] for d in range(6) if s[1 + d]}
        self.k = self._stiffness().tocsc()
        touched = np.asarray(abs(self.k).sum(axis=1)).ravel() > 0
        self.free = np.array([i for i in range(self.size) if i not in held and touched[i]])
        self.kff = self.k[self.free][:, self.free]

    def _member(self, m):
        arm = m.get("arm") or {}
        arms = [np.array(arm.get(e, [0.0] * 3), dtype=float) for e in ("i", "j")]
        a, b = self.nodes[m["i"]] + arms[0], self.nodes[m["j"]] + arms[1]
        length = np.linalg.norm(b - a)
        x = (b - a) / length
        section = self.f["sections"][m["sec"]]
        beam = m["type"] == "beam"
        if beam:
            z = np.array(m["z"], dtype=float)
            z -= x * (x @ z)
            z /= np.linalg.norm(z)
        else:
            z = np.cross(x, np.eye(3)[np.argmin(abs(x))])
            z /= np.linalg.norm(z)
        axes = np.array([x, np.cross(z, x), z])
        rel = m.get("rel") or {}
        ends = [list(rel.get("i") or [None] * 3), list(rel.get("j") or [None] * 3)]
        # Bending about local z (in x-y) and about local y (in x-z).
        ei = {2: section["E"] * section["Iz"], 1: section["E"] * section["Iy"]} if beam else {2: 0.0, 1: 0.0}
        released = {(e, axis): ends[e][axis] for e in (0, 1) for axis in (1, 2)
                    if ei[axis] > 0 and ends[e][axis] is not None}
        torsion = section["G"] * section["J"] / length if beam else 0.0
        for e in (0, 1):
            k = ends[e][0]
            if k is not None:
                torsion = 0.0 if k == 0 or torsion == 0 else 1 / (1 / torsion + 1 / k)
        return dict(i=m["i"], j=m["j"], length=length, axes=axes, arms=arms, ea=section["E"] * section["A"] / length,
                    torsion=torsion, ei=ei, released=released)

    # Rows that take the unknowns to local quantities.
    def _row(self, m, end, local, rotation):
        node = m["i"] if end == 0 else m["j"]
        start = 6 * node + (3 if rotation else 0)
        row = [(start + a, m["axes"][local][a]) for a in range(3)]
        if not rotation and m["arms"][end].any():
            # The end of a rigid arm moves by u + θ × arm.
            turn = np.cross(m["arms"][end], m["axes"][local])
            row += [(6 * node + 3 + a, turn[a]) for a in range(3)]
        return row

    def _bending(self, m, axis):
        """Rows of (v1, slope1, v2, slope2): in x-y the slope is +θz, in x-z it is −θy."""
        across, sign = (1, 1.0) if axis == 2 else (2, -1.0)
        rows = []
        for end in (0, 1):
            rows.append(self._row(m, end, across, False))
            if (end, axis) in m["own"]:
                rows.append([(m["own"][end, axis], sign)])
            else:
                rows.append([(c, sign * v) for c, v in self._row(m, end, axis, True)])
        return rows

    @staticmethod
    def _dense_rows(rows):
        columns = sorted({c for row in rows for c, _ in row})
        place = {c: k for k, c in enumerate(columns)}
        t = np.zeros((len(rows), len(columns)))
        for r, row in enumerate(rows):
            for c, v in row:
                t[r, place[c]] += v
        return columns, t

    def _add(self, triplets, rows, matrix):
        columns, t = self._dense_rows(rows)
        k = t.T @ matrix @ t
        for a, ca in enumerate(columns):
            for b, cb in enumerate(columns):
                triplets.append((ca, cb, k[a, b]))

    def _assemble(self, triplets):
        if not triplets:
            return sp.csc_matrix((self.size, self.size))
        i, j, v = zip(*triplets)
        return sp.coo_matrix((v, (i, j)), shape=(self.size, self.size)).tocsc()

    def _stiffness(self):
        out = []
        pair = np.array([[1.0, -1.0], [-1.0, 1.0]])
        for m in self.members:
            self._add(out, [self._row(m, 0, 0, False), self._row(m, 1, 0, False)], m["ea"] * pair)
            if m["torsion"] > 0:
                self._add(out, [self._row(m, 0, 0, True), self._row(m, 1, 0, True)], m["torsion"] * pair)
            for axis in (2, 1):
                if m["ei"][axis] > 0:
                    self._add(out, self._bending(m, axis), m["ei"][axis] * curvature(m["length"]))
            for (end, axis), k in m["released"].items():
                if k > 0:
                    self._add(out, [self._row(m, end, axis, True), [(m["own"][end, axis], 1.0)]], k * pair)
        for s in self.f.get("springs", []):
            for d in range(6):
                out.append((6 * int(s[0]) + d, 6 * int(s[0]) + d, s[1 + d]))
        return self._assemble(out)

    def geometric(self, axial):
        out = []
        for m, n in zip(self.members, axial):
            for axis, across in ((2, 1), (1, 2)):
                if m["ei"][axis] > 0:
                    self._add(out, self._bending(m, axis), n * slope(m["length"]))
                else:
                    ends = [self._row(m, 0, across, False), self._row(m, 1, across, False)]
                    self._add(out, ends, n / m["length"] * np.array([[1.0, -1.0], [-1.0, 1.0]]))
            for sign, end, node in ((-1.0, 0, m["i"]), (1.0, 1, m["j"])):
                # Second-order work of the force through the turning of a rigid arm.
                x, arm = m["axes"][0], m["arms"][end]
                g = sign * n * ((np.outer(x, arm) + np.outer(arm, x)) / 2 - (x @ arm) * np.eye(3))
                start = 6 * node + 3
                out += [(start + a, start + b, g[a, b]) for a in range(3) for b in range(3) if g[a, b] != 0.0]
        return self._assemble(out)

    def loads(self, case):
        p = np.zeros(self.size)
        for n in case.get("nodal", []):
            p[6 * int(n[0]): 6 * int(n[0]) + 6] += n[1:]
        for u in case.get("udl", []):
            m = self.members[int(u[0])]
            w = m["axes"] @ np.array(u[1:])
            length = m["length"]
            for end in (0, 1):
                for c, v in self._row(m, end, 0, False):
                    p[c] += v * w[0] * length / 2
            for axis, across in ((2, 1), (1, 2)):
                if m["ei"][axis] > 0:
                    f = w[across] * np.array([length / 2, length**2 / 12, length / 2, -length**2 / 12])
                    rows = self._bending(m, axis)
                else:
                    f = w[across] * np.array([length / 2] * 2)
                    rows = [self._row(m, 0, across, False), self._row(m, 1, across, False)]
                for row, value in zip(rows, f):
                    for c, v in row:
                        p[c] += v * value
        return p

    def solve(self, case):
        """Displacements of the nodes and axial forces (mean of the two ends)."""
        p = self.loads(case)
        u = np.zeros(self.size)
        lu = spla.splu(self.kff.tocsc())
        x = lu.solve(p[self.free])
        x += lu.solve(p[self.free] - self.kff @ x)
        u[self.free] = x
        axial = []
        for m in self.members:
            ends = [sum(v * u[c] for c, v in self._row(m, end, 0, False)) for end in (0, 1)]
            axial.append(m["ea"] * (ends[1] - ends[0]))
        return u[: 6 * self.n_nodes].reshape(-1, 6), np.array(axial)

    def factors(self, axial, count):
        """The lowest positive load factors."""
        kg = self.geometric(axial)[self.free][:, self.free]
        if len(self.free) <= DENSE:
            theta = la.eigh(-kg.toarray(), self.kff.toarray(), eigvals_only=True)
            lam = np.sort(1 / theta[theta > 1e-12 * theta.max()])
            return lam[:count]
        rough = 1 / spla.eigsh(-kg, k=1, M=self.kff, which="LA", return_eigenvectors=False, tol=1e-2)[0]
        sigma = 0.9 * rough
        lam = spla.eigsh(self.kff, k=count, M=-kg, sigma=sigma, mode="buckling",
                         which="LA", return_eigenvectors=False)
        return np.sort(lam[lam > 0])[:count]

    def mechanisms(self):
        """Independent motions in which a node moves and no member is strained, by singular values
        of the equilibrium matrix; `None` where they show no gap."""
        scale = np.mean([m["length"] for m in self.members])
        forces = []
        for m in self.members:
            length = m["length"] / scale

            def couple(end_rotation, across, sign):
                # A unit moment at one end and the two shear forces that balance it.
                v = [(c, k * sign / length) for c, k in self._row(m, 0, across, False)]
                return end_rotation + v + [(c, -k * sign / length) for c, k in self._row(m, 1, across, False)]

            forces.append([(c, -v) for c, v in self._row(m, 0, 0, False)] + self._row(m, 1, 0, False))
            if m["torsion"] > 0:
                forces.append([(c, -v) for c, v in self._row(m, 0, 0, True)] + self._row(m, 1, 0, True))
            for axis, across, sign in ((2, 1, 1.0), (1, 2, -1.0)):
                for end in (0, 1):
                    if m["ei"][axis] > 0 and m["released"].get((end, axis), 1.0) > 0:
                        forces.append(couple(self._row(m, end, axis, True), across, sign))
        for s in self.f.get("springs", []):
            forces += [[(6 * int(s[0]) + d, 1.0)] for d in range(6) if s[1 + d] > 0]
        held = {6 * int(s[0]) + d for s in self.f["supports"] for d in range(6) if s[1 + d]}
        free = [i for i in range(6 * self.n_nodes) if i not in held]
        used = {m["i"] for m in self.members} | {m["j"] for m in self.members}
        free = [i for i in free if i // 6 in used]
        place = {c: k for k, c in enumerate(free)}
        a = np.zeros((len(free), len(forces)))
        for column, force in enumerate(forces):
            for c, v in force:
                if c in place:
                    a[place[c], column] += v
            norm = np.linalg.norm(a[:, column])
            if norm > 0:
                a[:, column] /= norm
        u, s, _ = la.svd(a)
        s = np.concatenate([s, np.zeros(len(free) - len(s))])
        if np.any((s > 1e-7) & (s < 1e-3)):
            return None
        null = u[:, s < 1e-5]
        moves = null[[k for k, c in enumerate(free) if c % 6 < 3]]
        if null.shape[1] == 0:
            return 0
        t = la.svdvals(moves)
        return None if np.any((t > 1e-10) & (t < 1e-5)) else int(np.sum(t > 1e-7))


def curvature(length):
    """∫ N''·N''ᵀ of the cubic shape functions."""
    k = np.zeros((4, 4))
    for p, w in zip(POINTS, WEIGHTS):
        s = (p + 1) / 2
        b = np.array([12 * s - 6, length * (6 * s - 4), 6 - 12 * s, length * (6 * s - 2)]) / length**2
        k += w / 2 * length * np.outer(b, b)
    return k


def slope(length):
    """∫ N'·N'ᵀ of the cubic shape functions."""
    k = np.zeros((4, 4))
    for p, w in zip(POINTS, WEIGHTS):
        s = (p + 1) / 2
        b = np.array([6 * s * s - 6 * s, length * (3 * s * s - 4 * s + 1), 6 * s - 6 * s * s,
                      length * (3 * s * s - 2 * s)]) / length
        k += w / 2 * length * np.outer(b, b)
    return k
