//! A proof that a load may grow to a factor, without asking how far it may.
//!
//! Holds if: it never says so beyond the greatest factor of the program, and does say so below it where
//! the forces at hand are those of the program or of one nearly alike (tests below).

use super::statics::{Blocks, Forces, rows, units};

/// Whether the load may surely grow to a factor: forces near those of alike blocks, scaled to it, are
/// brought into balance and held against every limit. Any forces in balance within the limits are a
/// proof (lower bound theorem). False says nothing.
pub(super) fn surely_grows(blocks: &Blocks, alike: &Forces, to: f64) -> bool {
    let Ok(Some((unit, largest))) = units(blocks) else { return false };
    let Some(&reached) = alike.first().filter(|reached| **reached >= to && to > 0.0) else {
        return false;
    };
    let rows = rows(blocks, (unit, largest));
    if rows.unknowns != alike.len() {
        return false;
    }
    let mut forces: Vec<f64> = alike.iter().map(|force| force * to / reached / unit).collect();
    forces[0] = to * largest / unit;
    // What is out of balance upright goes straight down, at the least expense of the rest.
    let mut gives = vec![1.0; rows.unknowns];
    rows.bears.iter().for_each(|&bears| gives[bears] = UPRIGHT);
    gives[0] = 0.0;
    rows.program().brought_into_limits(&mut forces, &gives)
}

/// How much more readily a contact's bearing changes than other forces.
const UPRIGHT: f64 = 100.0;

#[cfg(test)]
mod tests {
    use super::super::statics::{Bar, Contact, Growth, Sideways, growth_by};
    use super::{Blocks, surely_grows};
    use crate::assembly::model::{Point, Vector};

    /// Posts in a line, their heads joined and one bay braced; loads grow from post to post.
    fn line(posts: usize, friction: f64, more: f64) -> Blocks {
        let mut out = Blocks { plane: Some([1.0, 0.0]), ..Blocks::default() };
        let at = |k: usize, z: f64| Point::new(1.8 * k as f64, 0.0, z);
        let bar = |a: (usize, f64), b: (usize, f64), most: f64| Bar {
            ends: [(Some(a.0), at(a.0, a.1)), (Some(b.0), at(b.0, b.1))],
            pull: most,
            push: most,
        };
        for k in 0..posts {
            out.bodies.push(at(k, 0.0));
            out.contacts.push(Contact {
                body: k,
                on: None,
                at: at(k, 0.0),
                normal: Vector::z(),
                sideways: Sideways::Friction(friction),
                plate: 0.05,
                uplift: 0.0,
            });
            let load = 900.0 + more * (k % 3) as f64;
            out.dead.push((k, at(k, 2.4), Vector::new(0.0, 0.0, -load)));
            out.live.push((k, at(k, 2.4), Vector::new(30.0 + 0.01 * load, 0.0, 0.0)));
        }
        for k in 1..posts {
            out.bars.push(bar((k - 1, 2.4), (k, 2.4), f64::INFINITY));
        }
        out.bars.push(bar((0, 0.2), (1, 2.2), 6e3));
        out
    }

    #[test]
    fn it_is_sure_below_the_greatest_factor_and_never_above() {
        let mut sure = 0;
        for (posts, friction) in [(2, 0.3), (5, 0.3), (9, 0.2)] {
            for (was, is) in [(0.0, 0.0), (40.0, 60.0), (60.0, 40.0), (0.0, 400.0), (400.0, 0.0)] {
                let (_, forces) = growth_by(&line(posts, friction, was)).unwrap();
                let now = line(posts, friction, is);
                let (Growth::To(most, _), _) = growth_by(&now).unwrap() else {
                    panic!("no factor")
                };
                for share in [0.3, 0.6, 0.9, 0.98, 1.0 + 1e-6, 1.1, 2.0] {
                    let surely = surely_grows(&now, &forces, share * most);
                    assert!(!surely || share <= 1.0, "{posts} posts, {share} of {most}");
                    if was == is && share <= 0.98 {
                        assert!(surely, "{posts} posts, {share} of {most}, its own forces");
                    }
                    sure += usize::from(surely);
                }
            }
        }
        assert!(sure > 30, "sure {sure} times only");
    }
}
