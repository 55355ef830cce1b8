//! Small shoring-like frames: posts pinned at the foot, hinged heads, ledgers as axial bars, a
//! "wall" is one diagonal in a vertical bay, "plan" a diagonal between heads.
//!
//! Source: ranks of the compatibility matrix computed once by an independent program; the rigidity
//! theory is Maxwell 1864 and Bolker and Crapo 1979. Each count is checked with posts as bars and
//! as beams; with beams, each post can also spin about its own axis, which is not counted.
//!
//! ```text
//!   corner trap in plan:   C is a corner of a braced tower
//!        G --- K           posts E, G, K each carry two ledgers square to one another,
//!        |     |           all joined to a braced tower, and are still loose
//!        C --- E
//! ```

use super::bar_frames::{Post, Posts};

fn expect(what: &str, expected: usize, build: impl Fn(&mut Posts)) {
    for beams in [false, true] {
        let mut posts = Posts::new(beams);
        build(&mut posts);
        let computed = posts.count();
        println!("{what:56} expected {expected} computed {computed} (beams: {beams})");
        assert_eq!(computed, expected, "{what}, beams: {beams}");
    }
}

#[test]
fn rows_of_posts() {
    expect("1 post", 2, |f| {
        f.post(0.0, 0.0);
    });
    expect("2 posts + ledger", 3, |f| {
        let (a, b) = (f.post(0.0, 0.0), f.post(1.0, 0.0));
        f.ledger(a, b);
    });
    expect("2 posts + ledger + diagonal", 2, |f| {
        let (a, b) = (f.post(0.0, 0.0), f.post(1.0, 0.0));
        f.ledger(a, b);
        f.wall(a, b);
    });
    expect("2 posts + ledger + both diagonals", 2, |f| {
        let (a, b) = (f.post(0.0, 0.0), f.post(1.0, 0.0));
        f.ledger(a, b);
        f.wall(a, b);
        f.wall(b, a);
    });
    expect("6 posts in a row, 5 ledgers, one braced bay", 6, |f| {
        let posts: Vec<Post> = (0..6).map(|k| f.post(f64::from(k), 0.0)).collect();
        for pair in posts.windows(2) {
            f.ledger(pair[0], pair[1]);
        }
        f.wall(posts[0], posts[1]);
    });
}

/// Four posts of a square, its ledgers, and the first `walls` walls.
fn square(f: &mut Posts, walls: &[usize]) -> [Post; 4] {
    let p = [f.post(0.0, 0.0), f.post(1.0, 0.0), f.post(1.0, 1.0), f.post(0.0, 1.0)];
    for k in 0..4 {
        f.ledger(p[k], p[(k + 1) % 4]);
    }
    for k in walls {
        f.wall(p[*k], p[(*k + 1) % 4]);
    }
    p
}

#[test]
fn four_posts_in_a_square() {
    for (walls, expected) in
        [(&[][..], 4), (&[0, 1][..], 2), (&[0, 1, 2][..], 1), (&[0, 1, 2, 3][..], 0)]
    {
        expect(&format!("square with {} walls", walls.len()), expected, |f| {
            square(f, walls);
        });
    }
    expect("square with 2 opposite walls", 2, |f| {
        square(f, &[0, 2]);
    });
    expect("square, 3 walls + plan", 0, |f| {
        let p = square(f, &[0, 1, 2]);
        f.plan(p[0], p[2]);
    });
    expect("square, 2 adjacent walls + plan", 1, |f| {
        let p = square(f, &[0, 1]);
        f.plan(p[0], p[2]);
    });
}

/// A tower with all four walls: A (0,0), B (1,0), C (1,1), D (0,1).
fn tower(f: &mut Posts) -> [Post; 4] {
    square(f, &[0, 1, 2, 3])
}

#[test]
fn posts_hung_on_a_tower() {
    expect("tower + E on one ledger in line", 1, |f| {
        let [_, b, ..] = tower(f);
        let e = f.post(2.0, 0.0);
        f.ledger(b, e);
    });
    let second_bay = |f: &mut Posts| {
        let [_, b, c, _] = tower(f);
        let (e, g) = (f.post(2.0, 0.0), f.post(2.0, 1.0));
        f.ledger(b, e);
        f.ledger(c, g);
        f.ledger(e, g);
        [b, c, e, g]
    };
    expect("tower + second bay without a new diagonal", 1, |f| {
        second_bay(f);
    });
    expect("tower + second bay + diagonal in its far side", 0, |f| {
        let [_, _, e, g] = second_bay(f);
        f.wall(e, g);
    });
}

/// The tower's corner C, then E along x, G along y, K beyond both.
fn corner_trap(f: &mut Posts) -> [Post; 4] {
    let [_, _, c, _] = tower(f);
    let (e, g, k) = (f.post(2.0, 1.0), f.post(1.0, 2.0), f.post(2.0, 2.0));
    f.ledger(c, e);
    f.ledger(c, g);
    f.ledger(g, k);
    f.ledger(e, k);
    [c, e, g, k]
}

#[test]
fn the_corner_trap() {
    expect("corner trap", 2, |f| {
        corner_trap(f);
    });
    expect("corner trap + plan C–K", 1, |f| {
        let [c, _, _, k] = corner_trap(f);
        f.plan(c, k);
    });
    expect("corner trap + wall E–K", 1, |f| {
        let [_, e, _, k] = corner_trap(f);
        f.wall(e, k);
    });
    expect("corner trap + walls E–K and G–K", 0, |f| {
        let [_, e, g, k] = corner_trap(f);
        f.wall(e, k);
        f.wall(g, k);
    });
}
