//! What heavier posts of its lines may bend a post by beyond what is worked out for it.
//!
//! Planes that are asked by themselves do not tell what a push along one of them bends in the other, and feet
//! that hardly push or hardly pull may be down where they are taken to be up. Both come from what the
//! neighbours bear. Of what is used most nothing is lacking: in 5600 stages and directions under skewed drawn
//! loads what was said of it was 1.001 times what is due at least. But posts that bear little were used by up
//! to 8 % further than said, by at most 2.3 % of what the post used most is, where a share of 0.05 of what their
//! neighbours bend more was enough. Somewhat more is put on top, alike at every place of a post. Measured, not
//! proven: `tests/mechanics/whole_frame.rs`.

use super::recover::DIGITS;
use crate::assembly::MemberId;
use crate::mechanics::stage::bands::round_down;
use crate::mechanics::strength_model::PostStrength;
use std::collections::BTreeMap;

/// Of what the moment of another post of its lines is larger.
const SHARE: f64 = 0.08;

/// Puts it on top of what is said of each post. `lines`: by axis, posts in line. `weakest`: the least
/// resistance against bending of its pieces.
pub(super) fn add(
    posts: &mut [PostStrength],
    lines: &[Vec<Vec<MemberId>>],
    weakest: &dyn Fn(MemberId) -> f64,
) {
    let mut moment: BTreeMap<MemberId, f64> = BTreeMap::new();
    for post in posts.iter() {
        let most = moment.entry(post.post).or_insert(0.0);
        // One that yields is said to; beyond that it makes no others yield.
        *most = most.max(post.moment / post.usage.max(1.0));
    }
    let mut beside: BTreeMap<MemberId, f64> = BTreeMap::new();
    for line in lines.iter().flatten() {
        let most = line.iter().filter_map(|post| moment.get(post)).copied().fold(0.0, f64::max);
        // In bands, so that a little more of one post makes no other number of all others; downwards, so that
        // nothing is put on that one itself.
        let most = round_down(most, DIGITS);
        for &post in line {
            let of = beside.entry(post).or_insert(0.0);
            *of = of.max(most);
        }
    }
    for post in posts {
        let most = beside.get(&post.post).copied().unwrap_or(0.0);
        let more = SHARE * (most - post.moment).max(0.0);
        post.moment += more;
        post.usage += more / weakest(post.post);
    }
}

#[cfg(test)]
mod tests {
    use super::{SHARE, add};
    use crate::assembly::MemberId;
    use crate::mechanics::strength_model::PostStrength;

    fn post(post: u32, axis: u8, moment: f64) -> PostStrength {
        PostStrength {
            post: MemberId(post),
            axis,
            compression: 1000.0,
            moment,
            usage: 0.1 + moment / 1000.0,
            at: 1.0,
            sway: 0.0,
            critical: 1e5,
            effective_length: 2.0,
            service: 600.0,
        }
    }

    /// Posts 0 and 1 are in a line, 1 and 2 in one across it; 3 is alone.
    #[test]
    fn a_share_of_what_a_neighbour_bends_more_is_put_on_top() {
        let mut posts = [post(0, 0, 64.0), post(0, 1, 512.0), post(1, 0, 128.0), post(2, 0, 256.0)];
        let before = posts;
        let line = |a, b| vec![MemberId(a), MemberId(b)];
        let lines = [vec![line(0, 1)], vec![line(1, 2), vec![MemberId(3)]]];
        add(&mut posts, &lines, &|_| 500.0);
        let more: Vec<f64> = posts.iter().zip(&before).map(|(a, b)| a.moment - b.moment).collect();
        let due = [448.0, 0.0, 384.0, 0.0].map(|m| m * SHARE);
        for (k, (more, due)) in more.iter().zip(due).enumerate() {
            assert!((more - due).abs() < 1e-9, "{k}: {more}, {due}");
            let used = posts[k].usage - before[k].usage;
            assert!((used - due / 500.0).abs() < 1e-12, "{k}: {used}");
        }
    }

    /// Used to twice its yield, a post bends its neighbours as one that just yields would.
    #[test]
    fn what_yields_counts_as_far_as_to_its_yield() {
        let more = |moment, usage| {
            let mut posts = [PostStrength { usage, ..post(0, 0, moment) }, post(1, 0, 0.0)];
            add(&mut posts, &[vec![vec![MemberId(0), MemberId(1)]]], &|_| 500.0);
            posts[1].moment
        };
        assert_eq!(more(1024.0, 2.0), more(512.0, 1.0));
        assert_eq!(more(1024.0, 2.0), SHARE * 512.0);
    }

    /// What bends most is used as before, and a post in no line too.
    #[test]
    fn nothing_is_put_on_what_bends_most() {
        let mut posts = [post(0, 0, 64.0), post(1, 0, 63.0), post(2, 0, 1.0)];
        add(&mut posts, &[vec![vec![MemberId(0), MemberId(1)]]], &|_| 500.0);
        assert_eq!([posts[0].moment, posts[2].moment], [64.0, 1.0]);
        assert!(posts[1].moment > 63.0);
    }
}
