//! Statics of a bar on supports that can only push.
//!
//! One or two supports: lever rule, overhangs included. More: simple spans between neighbouring
//! supports, with the overhang's lever on the last two. The envelope of the continuous beam, which
//! can put a quarter more on an inner support, is no part of this.
//! Source: elementary statics (sum of forces, sum of moments about a support).

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
