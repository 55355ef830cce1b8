//! AISC 360 appendix 6 (formerly C3), stiffness of member bracing, against the ideal stiffness that
//! the engine finds.
//!
//! Source: LRFD 1999 C3-1 to C3-6 (yumpu.com/en/document/view/43238225 p. 53); φ = 0.75. Required:
//! panel (1/φ)·2P/L, point (1/φ)·8P/L, storey 2ΣP/(φ·L). Twice the ideal stiffness in each case
//! (of a point brace: of the ideal for many spans, 4P/L), so that with the required stiffness
//! rigid links buckle at 2/φ = 2.667 times the load, or above.
//!
//! ```text
//!    o--/\/\--|      links of length L between springs β, P from the top
//!    |
//!    o--/\/\--|
//! ```

use standwell::mechanics::frame::{ElementForm, Release};

use super::frame_files::compare;
use super::planar::{FREE, GUIDE, PIN, Planar};

const PHI: f64 = 0.75;

/// Critical factor of `n` rigid links under P = 1, L = 1, with a spring to the ground at each joint.
fn links(n: usize, stiffness: f64) -> f64 {
    let mut p = Planar::default();
    let link = p.section(1e6, 1e6);
    let mut last = p.node(0.0, 0.0, PIN);
    for k in 1..=n {
        let next = p.node(0.0, k as f64, if k == n { GUIDE } else { FREE });
        let member = p.member(last, next, link, 1).start;
        p.release(member, 0, Release::Free);
        p.release(member, 1, Release::Free);
        if k < n {
            p.spring(next, [stiffness, 0.0, 0.0]);
        }
        last = next;
    }
    p.force(last, 0.0, -1.0);
    p.first(ElementForm::Exact)
}

#[test]
fn point_bracing() {
    let required = 8.0 / PHI;
    println!("required for a point brace: {required:.2} P/L");
    for n in 2..=12 {
        let factor = links(n, required);
        println!("{n:2} spans: critical factor {factor:.4}");
        assert!(factor > 2.0 / PHI);
        // Half the ideal for that many spans is not enough, whatever their number.
        assert!(links(n, 0.5 * 2.0 * (1.0 + (std::f64::consts::PI / n as f64).cos())) < 0.500_01);
    }
    // With many spans all reserve is used: 2/φ from above.
    compare("many spans", links(60, required), 2.0 / PHI, 0.1);
}

/// A brace that holds one end of the panel against the other: the ideal is P/L.
#[test]
fn panel_and_storey_bracing() {
    for posts in 1..=4 {
        let mut p = Planar::default();
        let link = p.section(1e6, 1e6);
        let mut heads = Vec::new();
        for k in 0..posts {
            let (a, b) = (p.node(k as f64, 0.0, PIN), p.node(k as f64, 1.0, FREE));
            let member = p.member(a, b, link, 1).start;
            p.release(member, 1, Release::Free);
            p.force(b, 0.0, -1.0);
            heads.push(b);
        }
        for pair in heads.windows(2) {
            p.bar(pair[0], pair[1], link);
        }
        // One brace for all: 2ΣP/(φL).
        p.spring(heads[0], [2.0 * posts as f64 / PHI, 0.0, 0.0]);
        let what = format!("storey of {posts}, required stiffness");
        compare(&what, p.first(ElementForm::Exact), 2.0 / PHI, 1e-3);
    }
}
