//! Counts of free movements of small shoring-like frames: posts pinned at the base, hinged heads,
//! ledgers as axial bars, "wall" one diagonal in a vertical bay, "plan" a diagonal at head level.
//!
//! Source of the expected counts: rank of the compatibility matrix of each frame (brute force), and
//! for the one-storey grids E. D. Bolker and H. Crapo, "Bracing rectangular frameworks. I", SIAM J.
//! Appl. Math. 36(3), 1979: k × l bays without braces have k + l + 2 movements; four outer walls
//! leave k + l − 2 roof braces to find.

use crate::loads::fixture::Site;
use standwell::restraint::of_stage;

/// Posts named by column letter and row digit at 2 m spacing.
fn posts(names: &str) -> Site {
    let mut site = Site::default();
    for name in names.split_whitespace() {
        let mut chars = name.bytes();
        let x = f64::from(chars.next().unwrap() - b'A');
        let y = f64::from(chars.next().unwrap() - b'1');
        site.post(name, 2.0 * x, 2.0 * y);
    }
    site
}

/// Ledgers `l`, walls `w` and plan braces `p`, written `"l:A1-B1 w:A1-B1"`.
fn with(mut site: Site, bars: &str) -> Site {
    for bar in bars.split_whitespace() {
        let (kind, ends) = bar.split_once(':').unwrap();
        let (a, b) = ends.split_once('-').unwrap();
        match kind {
            "l" => site.ledger(a, b),
            "w" => site.wall(a, b),
            _ => site.plan(a, b),
        };
    }
    site
}

fn freedoms(site: &Site) -> usize {
    let (assembly, stage) = site.build();
    of_stage(&assembly, &stage).freedoms
}

fn count(names: &str, bars: &str) -> usize {
    freedoms(&with(posts(names), bars))
}

const SQUARE: &str = "A1 B1 A2 B2";
const RING: &str = "l:A1-B1 l:A2-B2 l:A1-A2 l:B1-B2";

#[test]
fn single_posts_and_pairs() {
    assert_eq!(count("A1", ""), 2);
    assert_eq!(count("A1 B1", "l:A1-B1"), 3);
    assert_eq!(count("A1 B1", "l:A1-B1 w:A1-B1"), 2);
    assert_eq!(count("A1 B1", "l:A1-B1 w:A1-B1 w:B1-A1"), 2);
}

#[test]
fn four_posts_with_walls() {
    let square = |walls: &str| count(SQUARE, &format!("{RING} {walls}"));
    assert_eq!(square(""), 4);
    // Two walls, side by side or facing each other.
    assert_eq!(square("w:A1-B1 w:A1-A2"), 2);
    assert_eq!(square("w:A1-B1 w:A2-B2"), 2);
    assert_eq!(square("w:A1-B1 w:A2-B2 w:A1-A2"), 1);
    assert_eq!(square("w:A1-B1 w:A2-B2 w:A1-A2 w:B1-B2"), 0);
    assert_eq!(square("w:A1-B1 w:A2-B2 w:A1-A2 p:A1-B2"), 0);
    assert_eq!(square("w:A1-B1 w:A1-A2 p:A1-B2"), 1);
}

const TOWER: &str = "l:A1-B1 l:A2-B2 l:A1-A2 l:B1-B2 w:A1-B1 w:A2-B2 w:A1-A2 w:B1-B2";

#[test]
fn a_tower_and_what_hangs_on_it() {
    // E in line with A2–B2 on one ledger: free sideways.
    assert_eq!(count("A1 B1 A2 B2 C2", &format!("{TOWER} l:B2-C2")), 1);
    // A second bay with no diagonal of its own racks across the run; one diagonal holds it.
    let bay = format!("{TOWER} l:B1-C1 l:B2-C2 l:C1-C2");
    assert_eq!(count("A1 B1 A2 B2 C1 C2", &bay), 1);
    assert_eq!(count("A1 B1 A2 B2 C1 C2", &format!("{bay} w:C1-C2")), 0);
}

/// Tower A1–B2 with corner C = B2; E = C2 on a ledger along x, G = B3 on a ledger along y, K = C3
/// on ledgers from G (x) and E (y).
const TRAP: &str = "l:B2-C2 l:B2-B3 l:B3-C3 l:C2-C3";
const TRAP_POSTS: &str = "A1 B1 A2 B2 C2 B3 C3";

#[test]
fn the_corner_trap_is_loose() {
    let trap = format!("{TOWER} {TRAP}");
    assert_eq!(count(TRAP_POSTS, &trap), 2);
    assert_eq!(count(TRAP_POSTS, &format!("{trap} p:B2-C3")), 1);
    assert_eq!(count(TRAP_POSTS, &format!("{trap} w:C2-C3")), 1);
    assert_eq!(count(TRAP_POSTS, &format!("{trap} w:C2-C3 w:B3-C3")), 0);
}

#[test]
fn a_row_is_free_out_of_its_plane() {
    let ledgers = "l:A1-B1 l:B1-C1 l:C1-D1 l:D1-E1 l:E1-F1 w:B1-C1";
    assert_eq!(count("A1 B1 C1 D1 E1 F1", ledgers), 6);
}

/// k by l bays of ledgers, posts on every crossing.
fn grid(k: u8, l: u8) -> Site {
    let mut site = Site::default();
    let name = |i: u8, j: u8| format!("{}{}", char::from(b'A' + i), j + 1);
    for i in 0..=k {
        for j in 0..=l {
            site.post(&name(i, j), 2.0 * f64::from(i), 2.0 * f64::from(j));
        }
    }
    for i in 0..=k {
        for j in 0..=l {
            if i < k {
                site.ledger(&name(i, j), &name(i + 1, j));
            }
            if j < l {
                site.ledger(&name(i, j), &name(i, j + 1));
            }
        }
    }
    site
}

#[test]
fn unbraced_one_storey_grids() {
    for k in 1..=3 {
        for l in 1..=3 {
            assert_eq!(freedoms(&grid(k, l)), usize::from(k + l + 2));
        }
    }
}

#[test]
fn one_storey_one_bay() {
    let one = |braces: &str| freedoms(&with(grid(1, 1), braces));
    assert_eq!(one("w:A1-B1 w:A2-B2 w:A1-A2 w:B1-B2"), 0);
    assert_eq!(one("w:A1-B1 w:A2-B2 w:A1-A2"), 1);
    assert_eq!(one("w:A1-B1 w:A2-B2 w:A1-A2 p:A1-B2"), 0);
    assert_eq!(one("w:A1-B1 w:A1-A2 p:A1-B2"), 1);
}

const OUTER: &str = "w:A1-B1 w:A3-B3 w:A1-A2 w:C1-C2";

#[test]
fn one_storey_two_by_two() {
    let two = |braces: &str| freedoms(&with(grid(2, 2), braces));
    // Roof cells on the diagonal: a symmetric forest, one movement left. In one row: none.
    assert_eq!(two(&format!("{OUTER} p:A1-B2 p:B2-C3")), 1);
    assert_eq!(two(&format!("{OUTER} p:A1-B2 p:A2-B3")), 0);
    let roof = "p:A1-B2 p:B1-C2 p:A2-B3 p:B2-C3";
    // Two walls on one line and one across: the rigid roof turns.
    assert_eq!(two(&format!("{roof} w:A1-B1 w:B1-C1 w:A1-A2")), 1);
    // Three walls whose lines meet in one point: the same.
    assert_eq!(two(&format!("{roof} w:A1-B1 w:A1-A2 w:A2-A3")), 1);
    // Three that do not.
    assert_eq!(two(&format!("{roof} w:A1-B1 w:A3-B3 w:A1-A2")), 0);
}

#[test]
fn three_by_three_of_the_opening_case() {
    // Bolker and Crapo's opening case: 3 × 3 bays, four walls and four roof braces can do. One
    // choice of roof cells that does and one that does not, by rank.
    let walls = "w:A1-B1 w:A4-B4 w:A1-A2 w:D1-D2";
    let three = |roof: &str| freedoms(&with(grid(3, 3), &format!("{walls} {roof}")));
    // Row 0 all and one more in column 0: forest of a tree on 3 columns + 2 rows and one row alone.
    assert_eq!(three("p:A1-B2 p:B1-C2 p:C1-D2 p:A2-B3"), 0);
    // A closed square of four cells: one of them is wasted.
    assert_eq!(three("p:A1-B2 p:B1-C2 p:A2-B3 p:B2-C3"), 1);
}

/// Free motions of a plane grid of hinged squares: its heads with plan braces alone, less the three
/// rigid motions of the plane.
fn plane(k: u8, l: u8, cells: &[(u8, u8)]) -> usize {
    let mut site = grid(k, l);
    for &(row, column) in cells {
        let name = |i: u8, j: u8| format!("{}{}", char::from(b'A' + i), j + 1);
        site.plan(&name(column, row), &name(column + 1, row + 1));
    }
    freedoms(&site) - 3
}

#[test]
fn plane_grids_of_bolker_and_crapo() {
    // Free motions are the pieces of the row–column graph less one.
    assert_eq!(plane(2, 2, &[(0, 0), (0, 1), (1, 0)]), 0);
    assert_eq!(plane(2, 2, &[(0, 0), (1, 1)]), 1);
    assert_eq!(plane(3, 2, &[(0, 0), (0, 1), (0, 2), (1, 0)]), 0);
    assert_eq!(plane(3, 2, &[(0, 0), (0, 1), (1, 0), (1, 1)]), 1);
    assert_eq!(plane(3, 3, &[(0, 0), (0, 1), (0, 2), (1, 0), (2, 0)]), 0);
    assert_eq!(plane(3, 3, &[(0, 0), (0, 1), (1, 1), (1, 2), (2, 2)]), 0);
    assert_eq!(plane(3, 3, &[(0, 0), (0, 1), (1, 0), (1, 1), (2, 2)]), 1);
    assert_eq!(plane(3, 3, &[(0, 0), (1, 1), (2, 2)]), 2);
    let two_rows: Vec<(u8, u8)> = (0..2).flat_map(|r| (0..3).map(move |c| (r, c))).collect();
    assert_eq!(plane(3, 3, &two_rows), 1);
}

#[test]
fn rigid_minimal_patterns_of_plane_grids() {
    // r^(c−1) · c^(r−1) of the choices of r + c − 1 cells are rigid (Scoins): 4 of 4, 12 of 15,
    // 81 of 126.
    for (r, c, rigid, all) in [(2u8, 2u8, 4, 4), (2, 3, 12, 15), (3, 3, 81, 126)] {
        let cells: Vec<(u8, u8)> = (0..r).flat_map(|i| (0..c).map(move |j| (i, j))).collect();
        let (mut found, mut tried) = (0, 0);
        for mask in 0u32..1 << cells.len() {
            if mask.count_ones() != u32::from(r + c - 1) {
                continue;
            }
            let chosen: Vec<(u8, u8)> = cells
                .iter()
                .enumerate()
                .filter(|(i, _)| mask >> i & 1 == 1)
                .map(|(_, c)| *c)
                .collect();
            tried += 1;
            found += usize::from(plane(c, r, &chosen) == 0);
        }
        assert_eq!((found, tried), (rigid, all));
    }
}
