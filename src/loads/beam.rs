//! Statics of a bar on supports that can only push.
//!
//! One or two supports: lever rule, overhangs included. More: simple spans between neighbouring
//! supports, with the overhang's lever on the last two ([`reactions`]), or one continuous beam of
//! constant stiffness on supports that do not give way ([`continuous`]), which can put a quarter more
//! on an inner support. [`bounds`] takes the worse of both for each support, and each load that may
//! or may not be there at its worse.
//! Source: elementary statics (sum of forces, sum of moments about a support); the equation of three
//! moments (Clapeyron 1857; any textbook of structures).

/// A load for the statics: evenly spread between two stations, or a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    pub from: f64,
    pub to: f64,
    pub force: f64,
    pub centre: f64,
}

/// Reactions at sorted stations, upwards positive, as if every support could also pull.
///
/// Empty without supports. One support takes everything, balanced or not.
#[must_use]
pub fn reactions(stations: &[f64], loads: &[Piece]) -> Vec<f64> {
    let mut out = vec![0.0; stations.len()];
    match stations.len() {
        0 => {}
        1 => out[0] = loads.iter().map(|l| l.force).sum(),
        2 => loads.iter().for_each(|l| share(stations, l.centre, l.force, &mut out)),
        last => {
            for load in loads {
                let width = load.to - load.from;
                if width <= 0.0 {
                    share(stations, load.centre, load.force, &mut out);
                    continue;
                }
                // Each span takes the part that lies in it.
                for i in 0..last - 1 {
                    let low = if i == 0 { load.from } else { load.from.max(stations[i]) };
                    let high = if i == last - 2 { load.to } else { load.to.min(stations[i + 1]) };
                    if high > low {
                        let part = load.force * (high - low) / width;
                        share(stations, 0.5 * (low + high), part, &mut out);
                    }
                }
            }
        }
    }
    out
}

/// Lever rule between the two supports around a station, the last two beyond the ends.
fn share(stations: &[f64], at: f64, force: f64, out: &mut [f64]) {
    let mut i = 0;
    while i + 2 < stations.len() && at > stations[i + 1] {
        i += 1;
    }
    let span = stations[i + 1] - stations[i];
    if span > 1e-9 {
        let second = (at - stations[i]) / span;
        out[i] += force * (1.0 - second);
        out[i + 1] += force * second;
    } else {
        out[i] += force;
    }
}

/// Reactions of a continuous beam of constant stiffness at sorted stations, upwards positive, on
/// supports that do not give way and could also pull. As [`reactions`] for fewer than three.
///
/// A piece whose centre of gravity is not its middle counts as evenly spread over the longest
/// stretch about its centre that lies inside it.
#[must_use]
pub fn continuous(stations: &[f64], loads: &[Piece]) -> Vec<f64> {
    let n = stations.len();
    if n < 3 || stations.windows(2).any(|w| w[1] - w[0] <= 1e-9) {
        return reactions(stations, loads);
    }
    let span = |i: usize| stations[i + 1] - stations[i];
    // Load terms of the three moments: of each span, seen from its left and its right end; and the
    // reactions it would have alone. What overhangs gives end moments and goes to the end support.
    let mut left = vec![0.0; n - 1];
    let mut right = vec![0.0; n - 1];
    let mut out = vec![0.0; n];
    let mut ends = [0.0, 0.0];
    for load in loads {
        for (from, to, force) in even_parts(load, stations) {
            let centre = 0.5 * (from + to);
            if centre < stations[0] {
                ends[0] -= force * (stations[0] - centre);
                out[0] += force;
                continue;
            }
            if centre > stations[n - 1] {
                ends[1] -= force * (centre - stations[n - 1]);
                out[n - 1] += force;
                continue;
            }
            let i = (stations.partition_point(|&s| s <= centre).max(1) - 1).min(n - 2);
            let (l, a, b) = (span(i), from - stations[i], to - stations[i]);
            // Integral of x (l² - x²) / l over the load, per newton.
            let term = |a: f64, b: f64| {
                if b - a > 1e-9 {
                    let part = |x: f64| 0.5 * l * x * x - 0.25 * x.powi(4) / l;
                    (part(b) - part(a)) / (b - a)
                } else {
                    a * (l * l - a * a) / l
                }
            };
            left[i] += force * term(a, b);
            right[i] += force * term(l - b, l - a);
            let second = (centre - stations[i]) / l;
            out[i] += force * (1.0 - second);
            out[i + 1] += force * second;
        }
    }
    // M[i-1] l[i-1] + 2 M[i] (l[i-1] + l[i]) + M[i+1] l[i] = -left[i-1] - right[i], by elimination
    // (Thomas); the matrix is diagonally dominant.
    let mut moments = vec![0.0; n];
    (moments[0], moments[n - 1]) = (ends[0], ends[1]);
    let (mut upper, mut rest) = (vec![0.0; n], vec![0.0; n]);
    for i in 1..n - 1 {
        let mut due = -left[i - 1] - right[i];
        let mut pivot = 2.0 * (span(i - 1) + span(i));
        if i == 1 {
            due -= moments[0] * span(0);
        } else {
            pivot -= span(i - 1) * upper[i - 1];
            due -= span(i - 1) * rest[i - 1];
        }
        if i == n - 2 {
            due -= moments[n - 1] * span(i);
        } else {
            upper[i] = span(i) / pivot;
        }
        rest[i] = due / pivot;
    }
    for i in (1..n - 1).rev() {
        moments[i] = rest[i] - upper[i] * moments[i + 1];
    }
    for i in 0..n - 1 {
        let shear = (moments[i + 1] - moments[i]) / span(i);
        out[i] += shear;
        out[i + 1] -= shear;
    }
    out
}

/// A piece as evenly spread parts or points, cut at the supports.
fn even_parts(load: &Piece, stations: &[f64]) -> Vec<(f64, f64, f64)> {
    let (from, to) = (load.from.min(load.to), load.from.max(load.to));
    let half = (load.centre - from).min(to - load.centre).max(0.0);
    if half <= 1e-9 {
        return vec![(load.centre, load.centre, load.force)];
    }
    let (from, to) = (load.centre - half, load.centre + half);
    let mut cuts = vec![from];
    cuts.extend(stations.iter().copied().filter(|&s| s > from + 1e-9 && s < to - 1e-9));
    cuts.push(to);
    cuts.windows(2).map(|w| (w[0], w[1], load.force * (w[1] - w[0]) / (to - from))).collect()
}

/// A load that may be anything between two forces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranged {
    /// With the force it has now.
    pub piece: Piece,
    pub least: f64,
    pub greatest: f64,
}

/// Reactions at stations from loads.
type Model = fn(&[f64], &[Piece]) -> Vec<f64>;

/// Least and greatest reaction at each sorted station, upwards positive, as if every support could
/// also pull: single spans or continuous, and each load that varies, span by span, at its worse.
#[must_use]
pub fn bounds(stations: &[f64], loads: &[Ranged]) -> Vec<(f64, f64)> {
    let n = stations.len();
    let models: &[Model] = if n > 2 { &[reactions, continuous] } else { &[reactions] };
    let fixed: Vec<Piece> = loads
        .iter()
        .filter(|l| l.least == l.greatest)
        .map(|l| Piece { force: l.least, ..l.piece })
        .collect();
    let mut out = vec![(f64::INFINITY, f64::NEG_INFINITY); n];
    for model in models {
        let mut found: Vec<(f64, f64)> =
            model(stations, &fixed).into_iter().map(|r| (r, r)).collect();
        for load in loads.iter().filter(|l| l.least != l.greatest) {
            let unit = Piece { force: 1.0, ..load.piece };
            for (from, to, share) in even_parts(&unit, stations) {
                let part = Piece { from, to, centre: 0.5 * (from + to), force: share };
                for (sum, c) in found.iter_mut().zip(model(stations, &[part])) {
                    let (a, b) = (c * load.least, c * load.greatest);
                    sum.0 += a.min(b);
                    sum.1 += a.max(b);
                }
            }
        }
        for (all, one) in out.iter_mut().zip(found) {
            *all = (all.0.min(one.0), all.1.max(one.1));
        }
    }
    out
}

/// Reactions with supports that hold down only so much.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settled {
    /// What each support really takes; a pull only where it is held down enough. Where one would
    /// have to pull and cannot, it takes nothing and the others are worked out without it.
    pub taken: Vec<f64>,
    /// Supports that would lift, with the pull that was asked of them.
    pub lifting: Vec<(usize, f64)>,
    /// All supports but one lift, and the one that is left is not under the centre of gravity.
    pub tips: bool,
}

/// Lets go of each support that would have to pull more than it holds down, worst first.
///
/// `holds` gives for each support the pull in newtons that it can pass, 0 for bearing alone.
#[must_use]
pub fn settle(stations: &[f64], holds: &[f64], loads: &[Piece]) -> Settled {
    let total: f64 = loads.iter().map(|l| l.force).sum();
    let noise = 1e-9 * (1.0 + loads.iter().map(|l| l.force.abs()).sum::<f64>());
    let mut live: Vec<usize> = (0..stations.len()).collect();
    let mut settled = Settled { taken: vec![0.0; stations.len()], ..Settled::default() };
    loop {
        let at: Vec<f64> = live.iter().map(|&i| stations[i]).collect();
        let found = reactions(&at, loads);
        let worst = live
            .iter()
            .zip(&found)
            .filter(|&(&i, &r)| r < -noise && -r > holds[i] + noise)
            .min_by(|a, b| a.1.total_cmp(b.1))
            .map(|(&i, &r)| (i, r));
        match worst {
            Some((i, r)) if live.len() > 1 => {
                settled.lifting.push((i, r));
                live.retain(|&j| j != i);
            }
            _ => {
                for (&i, r) in live.iter().zip(found) {
                    settled.taken[i] = r;
                }
                break;
            }
        }
    }
    if let [only] = live[..] {
        let moment: f64 = loads.iter().map(|l| l.force * (l.centre - stations[only])).sum();
        settled.tips = moment.abs() > 1e-6 * (1.0 + total.abs());
    }
    settled
}
