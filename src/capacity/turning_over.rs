//! Beams whose top nothing holds: how much of their bending strength is left before they turn over
//! sideways (lateral-torsional buckling), as a share of it.
//!
//! The moment is taken as even over the length between holds, which is the worst there is, and the
//! load as lying on the top, where the code has a number for that (AISC 360 F2 has none).
//!
//! Known to work: `tests/capacity/turning_over.rs`, published examples by NDS 3.3.3, AISC 360 F2 and
//! EN 1993-1-1 6.3.2.3, and k_crit of EN 1995-1-1 6.3.3 at its corners.

use super::work::{Kind, Value, Work};

/// Equation seen in print in a published calculation; effective lengths from memory.
pub const NDS: &str = "NDS 3.3.3 (equation seen in print, effective lengths from memory)";
/// From memory.
pub const EC5: &str = "EN 1995-1-1 6.3.3 (from memory)";
/// Equations seen in print in a published example.
pub const AISC: &str = "AISC 360 F2 (equations seen in print)";
/// Equations seen in print in a published example.
pub const EC3: &str = "EN 1993-1-1 6.3.2.3 (equations seen in print)";

/// Depth and width of a rectangle, and the length between what holds it; metres.
#[derive(Clone, Copy, Debug)]
pub struct Rectangle {
    pub depth: f64,
    pub width: f64,
    pub free: f64,
}

/// The beam stability factor C_L of a solid timber, from F_b* and E_min'.
pub fn nds(w: &mut Work, fb: &Value, emin: &Value, of: Rectangle) -> Value {
    let d = w.given("d", "depth", of.depth, Kind::Length, "data");
    let b = w.given("b", "width", of.width, Kind::Length, "data");
    let l = w.given("l_u", "length between holds", of.free, Kind::Length, "scene");
    let slender = of.free / of.depth;
    let text = if slender < 7.0 {
        "2.06*l_u"
    } else if slender <= 14.3 {
        "1.63*l_u+3*d"
    } else {
        "1.84*l_u"
    };
    let le = w.line("l_e", "effective length", text, Kind::Length, &[&l, &d], NDS, |v| {
        if v[0] / v[1] < 7.0 {
            2.06 * v[0]
        } else if v[0] / v[1] <= 14.3 {
            1.63 * v[0] + 3.0 * v[1]
        } else {
            1.84 * v[0]
        }
    });
    nds_by_effective_length(w, fb, emin, &le, &d, &b)
}

/// The same from the effective length.
pub fn nds_by_effective_length(
    w: &mut Work,
    fb: &Value,
    emin: &Value,
    le: &Value,
    d: &Value,
    b: &Value,
) -> Value {
    let ratio =
        w.line("R_B", "slenderness", "sqrt(l_e*d/b^2)", Kind::Number, &[le, d, b], NDS, |v| {
            (v[0] * v[1] / (v[2] * v[2])).sqrt()
        });
    let critical = w.line(
        "F_bE",
        "critical stress",
        &format!("1.2*{}/R_B^2", emin.symbol),
        Kind::Stress,
        &[emin, &ratio],
        NDS,
        |v| 1.2 * v[0] / (v[1] * v[1]),
    );
    let a = w.line(
        "a",
        "critical over allowable",
        &format!("F_bE/{}", fb.symbol),
        Kind::Number,
        &[&critical, fb],
        NDS,
        |v| v[0] / v[1],
    );
    w.line(
        "C_L",
        "beam stability factor",
        "(1+a)/1.9-sqrt(((1+a)/1.9)^2-a/0.95)",
        Kind::Number,
        &[&a],
        NDS,
        |v| {
            let half = (1.0 + v[0]) / 1.9;
            half - (half * half - v[0] / 0.95).sqrt()
        },
    )
}

/// k_crit of a solid softwood, from f_m,k and E_0.05; the load on the compressed edge.
pub fn ec5(w: &mut Work, fm: &Value, e: &Value, of: Rectangle) -> Value {
    let h = w.given("h", "depth", of.depth, Kind::Length, "data");
    let b = w.given("b", "width", of.width, Kind::Length, "data");
    let l = w.given("l_u", "length between holds", of.free, Kind::Length, "scene");
    let critical = w.line(
        "s_c",
        "critical stress, effective length l_u + 2h",
        &format!("0.78*b^2*{}/(h*(l_u+2*h))", e.symbol),
        Kind::Stress,
        &[&b, e, &h, &l],
        EC5,
        |v| 0.78 * v[0] * v[0] * v[1] / (v[2] * (v[3] + 2.0 * v[2])),
    );
    let lambda = w.line(
        "lam",
        "relative slenderness",
        &format!("sqrt({}/s_c)", fm.symbol),
        Kind::Number,
        &[fm, &critical],
        EC5,
        |v| (v[0] / v[1]).sqrt(),
    );
    let text = if lambda.si <= 0.75 {
        "1"
    } else if lambda.si <= 1.4 {
        "1.56-0.75*lam"
    } else {
        "1/lam^2"
    };
    w.line("k_c", "share left", text, Kind::Number, &[&lambda], EC5, |v| {
        if v[0] <= 0.75 {
            1.0
        } else if v[0] <= 1.4 {
            1.56 - 0.75 * v[0]
        } else {
            1.0 / (v[0] * v[0])
        }
    })
}

/// A doubly symmetric I of steel. SI.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    pub e: f64,
    pub fy: f64,
    /// Elastic and plastic section modulus about the strong axis, m³.
    pub elastic: f64,
    pub plastic: f64,
    /// Second moment about the weak axis, m⁴, and radius of gyration about it, metres.
    pub weak: f64,
    pub radius: f64,
    /// Torsion constant, m⁴.
    pub torsion: f64,
    /// Between the middles of the flanges, metres.
    pub flanges: f64,
    /// Depth over flange width.
    pub slim: f64,
}

/// Moment of a compact I before it turns over, C_b = 1, newton metres: AISC 360 F2.
#[must_use]
pub fn aisc_f2(of: &Section, free: f64) -> f64 {
    let plastic = of.fy * of.plastic;
    let lp = 1.76 * of.radius * (of.e / of.fy).sqrt();
    // Iy·h0 / (2·Sx) is rts² of a doubly symmetric I.
    let rts = (of.weak * of.flanges / (2.0 * of.elastic)).sqrt();
    let own = of.torsion / (of.elastic * of.flanges);
    let reduced = 0.7 * of.fy / of.e;
    let lr = 1.95 * rts / reduced * (own + (own * own + 6.76 * reduced * reduced).sqrt()).sqrt();
    if free <= lp {
        plastic
    } else if free <= lr {
        let yields = 0.7 * of.fy * of.elastic;
        plastic - (plastic - yields) * (free - lp) / (lr - lp)
    } else {
        let slender = (free / rts).powi(2);
        let stress =
            std::f64::consts::PI.powi(2) * of.e / slender * (1.0 + 0.078 * own * slender).sqrt();
        (stress * of.elastic).min(plastic)
    }
}

/// Critical moment of a doubly symmetric I, newton metres: the lesser of that under an even moment and
/// that under an even load which lies so far above the middle, metres (C1 1.127, C2 0.454).
#[must_use]
pub fn critical_moment(of: &Section, free: f64, above: f64) -> f64 {
    let g = of.e / 2.6;
    let warping = of.weak * of.flanges.powi(2) / 4.0;
    let euler = std::f64::consts::PI.powi(2) * of.e * of.weak / (free * free);
    let square = warping / of.weak + g * of.torsion / euler;
    let lever = 0.454 * above;
    let loaded = 1.127 * euler * ((square + lever * lever).sqrt() - lever);
    (euler * square.sqrt()).min(loaded)
}

/// χ_LT of a rolled I from its slenderness: EN 1993-1-1 6.3.2.3, curve c where it is slimmer than 2,
/// else b.
#[must_use]
pub fn ec3_share(slenderness: f64, slim: f64) -> f64 {
    let imperfection = if slim > 2.0 { 0.49 } else { 0.34 };
    let square = slenderness * slenderness;
    let phi = 0.5 * (1.0 + imperfection * (slenderness - 0.4) + 0.75 * square);
    let share = 1.0 / (phi + (phi * phi - 0.75 * square).max(0.0).sqrt());
    if slenderness <= 0.4 { 1.0 } else { share.min(1.0).min(1.0 / square) }
}
